"""Spoil a YAML file: by its bytes, by its lines, by its tree. The same generator always spoils it the same way."""

import json
import random
from typing import Any

import yaml

from .hostile import TEXTS

NUMBERS = (
    *("0", "-1", "1e9", "1e400", "999999999999999999999", "0.0000001", "-0.5", "3,5", "007", "1_0", "٣", "nan", "inf"),
    *("true", "yes", "no", "dont_know", "2026-11-25", "2026-02-30", "0001-01-01", "9999-12-31T23:59:59", "T10:00"),
)
RAW = (
    *(b"\x00", b"\xff\xfe", b"\xc3\x28", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\t", b"\x1b[2J", b"\xe2\x80\xae", b"\x85"),
    *(b": ", b"- ", b"{", b"}", b"[", b"]", b"'", b'"', b"&a ", b"*a", b"!!python/name:os.system ", b"<<: ", b"|\n"),
    *(b"---\n", b"...\n", b"? ", b"#", b"%TAG ! x\n", b"\n\n\n", b"  ", b"\\x", b"@", b"`"),
)


def spoiled(data: bytes, rng: random.Random) -> bytes:
    """The file after one to four changes of one sort."""
    sort = rng.random()
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        if sort < 0.3:
            data = by_bytes(data, rng)
        elif sort < 0.55:
            data = by_lines(data, rng)
        else:
            data = by_tree(data, rng)
    return data


def by_bytes(data: bytes, rng: random.Random) -> bytes:
    """Some bytes put in, taken out, turned, cut or repeated; or the whole in another encoding."""
    at, length = rng.randrange(len(data) + 1), rng.choice((1, 1, 2, 10, 200))
    kind = rng.randrange(9)
    if kind < 3:
        return data[:at] + rng.choice(RAW) * rng.choice((1, 1, 1, 3, 60)) + data[at:]
    if kind == 3:
        return data[:at] + data[at + length :]
    if kind == 4:
        return data[:at] + bytes(rng.randrange(256) for _ in range(length)) + data[at + length :]
    if kind == 5:
        return data[:at]
    if kind == 6:
        return data[:at] + data[at : at + length] * rng.choice((2, 20)) + data[at + length :]
    if kind == 7:
        return data.replace(b"\n", b"\r\n")
    return data.decode("utf-8", "replace").encode(rng.choice(("utf-16", "utf-8-sig", "latin-1")), "replace")


def by_lines(data: bytes, rng: random.Random) -> bytes:
    """A line doubled, taken out, moved, set in or out, or one of odd content put in."""
    lines = data.split(b"\n")
    at = rng.randrange(len(lines))
    kind = rng.randrange(7)
    if kind == 0:
        lines[at:at] = [lines[at]] * rng.choice((1, 1, 30))
    elif kind == 1:
        del lines[at]
    elif kind == 2:
        other = rng.randrange(len(lines))
        lines[at], lines[other] = lines[other], lines[at]
    elif kind == 3:
        lines[at] = b" " * rng.choice((1, 2, 4)) + lines[at]
    elif kind == 4:
        lines[at] = lines[at].lstrip()
    elif kind == 5:
        lines[at] = lines[at].partition(b":")[0] + b": " + rng.choice(TEXTS).encode("utf-8", "replace")
    else:
        lines.insert(at, b" " * rng.choice((0, 2, 4)) + json.dumps(rng.choice(TEXTS)).encode() + b": x")
    return b"\n".join(lines)


def by_tree(data: bytes, rng: random.Random) -> bytes:
    """One place of the tree changed: another kind, another value, another name; nested, repeated or taken out."""
    try:
        top = yaml.load(data.decode("utf-8-sig"), Loader=yaml.CBaseLoader)
    except (yaml.YAMLError, ValueError):
        return by_bytes(data, rng)
    spots = list(_spots(top))
    if not spots or len(data) > 300_000:
        return by_lines(data, rng)
    holder, key = rng.choice(spots)
    change = rng.randrange(10)
    if change == 0:
        del holder[key]
    elif change == 1:
        holder[key] = rng.choice(NUMBERS)
    elif change == 2:
        holder[key] = rng.choice(TEXTS)
    elif change == 3:
        other, at = rng.choice(spots)
        holder[key] = json.loads(json.dumps(other[at]))
    elif change == 4:
        holder[key] = rng.choice(([], {}, [holder[key]], {"value": holder[key]}, [[]], {"": ""}, None))
    elif change == 5 and isinstance(holder, dict):
        holder[_slip(str(key), rng)] = holder.pop(key)
    elif change == 6 and isinstance(holder, dict):
        holder[rng.choice(TEXTS) or "x"] = rng.choice(NUMBERS)
    elif change == 7:
        for _ in range(rng.choice((3, 39, 45, 300))):
            holder[key] = {"all": holder[key]} if rng.random() < 0.5 else [holder[key]]
    elif change == 8 and isinstance(holder, list):
        holder.extend(holder[key] for _ in range(rng.choice((1, 3, 400))))
    else:
        holder[key] = rng.choice(NUMBERS) if isinstance(holder[key], str) else str(holder[key])[:200]
    return _written(top, rng)


def _spots(value: Any) -> Any:
    """Every place of a tree as (container, key)."""
    items = (
        list(value.items()) if isinstance(value, dict) else list(enumerate(value)) if isinstance(value, list) else []
    )
    for key, inner in items:
        yield value, key
        yield from _spots(inner)


def _slip(name: str, rng: random.Random) -> str:
    at = rng.randrange(len(name) + 1)
    return rng.choice(
        (name[:at] + name[at + 1 :], name + "x", name.upper(), name[:at] + "\u0435" + name[at:], name * 60)
    )


def _written(top: Any, rng: random.Random) -> bytes:
    class Plain(yaml.SafeDumper):
        """No anchors: they are spoiled by bytes and lines."""

        def ignore_aliases(self, data: Any) -> bool:
            return True

    Plain.add_representer(str, _word)
    try:
        text = yaml.dump(top, Dumper=Plain, allow_unicode=rng.random() < 0.9, sort_keys=False, width=100)
    except RecursionError:
        text = json.dumps(str(top)[:1000])
    return text.encode("utf-8", "replace")


def _word(dumper: yaml.SafeDumper, text: str) -> yaml.Node:
    """Words without quotes where that is possible, so that they stay the kind of value that they were."""
    plain = text.isascii() and text.replace("_", "a").replace("-", "a").replace(".", "a").replace(":", "a").isalnum()
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=None if not plain else "")
