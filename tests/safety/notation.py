"""The short notation of table.yaml -> conditions as the model holds them, and back. Knows nothing of the rule files.

oil_look = gritty            leak_marks has acid           not (rear_brake = none)
oil_look in {gritty, tar}    years_stored >= parked_y      comp_low_bar < 0.85 * comp_high_bar
done(oil_drain)              a and b or c ("and" binds closer)        always
"""

import re
from collections.abc import Collection

from revive.model import Condition

_TOKEN = re.compile(r"\s*(>=|<=|[=<>(){},*]|[a-z][a-z0-9_]*|-?\d+(?:\.\d+)?)")
_SIGNS = {">=": "at_least", ">": "more_than", "<=": "at_most", "<": "less_than"}


def parse(text: str, limits: Collection[str]) -> Condition:
    """A condition from its short form. limits: names that stand for shared numbers; other names are asked or derived."""
    reader = _Reader(text, limits)
    made = reader.either()
    if reader.tokens:
        raise ValueError(f"{' '.join(reader.tokens)!r} is left over in {text!r}")
    return made


class _Reader:
    def __init__(self, text: str, limits: Collection[str]) -> None:
        self.text, self.limits = text, limits
        self.tokens: list[str] = []
        at, end = 0, len(text.rstrip())
        while at < end:
            found = _TOKEN.match(text, at)
            if not found:
                raise ValueError(f"{text[at:]!r} is not understood in {text!r}")
            self.tokens.append(found[1])
            at = found.end()

    def take(self, wanted: str = "") -> str:
        if not self.tokens or (wanted and self.tokens[0] != wanted):
            raise ValueError(f"{wanted or 'more'} was expected in {self.text!r}")
        return self.tokens.pop(0)

    def either(self) -> Condition:
        parts = [self.both()]
        while self.tokens[:1] == ["or"]:
            self.take()
            parts.append(self.both())
        return parts[0] if len(parts) == 1 else ("any", tuple(parts))

    def both(self) -> Condition:
        parts = [self.one()]
        while self.tokens[:1] == ["and"]:
            self.take()
            parts.append(self.one())
        return parts[0] if len(parts) == 1 else ("all", tuple(parts))

    def one(self) -> Condition:
        word = self.take()
        if word == "(":
            inner = self.either()
            self.take(")")
            return inner
        if word == "not":
            self.take("(")
            inner = self.either()
            self.take(")")
            return ("not", inner)
        if word == "always":
            return ("always",)
        if word == "done":
            self.take("(")
            task = self.take()
            self.take(")")
            return ("done", task)
        sign = self.take()
        if sign == "=":
            return ("is", word, (self.take(),))
        if sign == "has":
            return ("has", word, self.take())
        if sign == "in":
            return ("is", word, tuple(self.listed()))
        return ("compare", word, _SIGNS[sign], *self.reference())

    def listed(self) -> list[str]:
        self.take("{")
        found = [self.take()]
        while self.tokens[:1] == [","]:
            self.take()
            found.append(self.take())
        self.take("}")
        return found

    def reference(self) -> tuple[tuple[str, str | float], float]:
        times, word = 1.0, self.take()
        if self.tokens[:1] == ["*"]:
            self.take()
            times, word = float(word), self.take()
        if not word[0].isalpha():
            return ("number", float(word)), times
        return ("limit" if word in self.limits else "fact", word), times


def show(condition: Condition | None) -> str:
    """The short form of a condition."""
    if condition is None:
        return ""
    kind = condition[0]
    if kind in ("all", "any"):
        word = " and " if kind == "all" else " or "
        return word.join(f"({show(p)})" if p[0] in ("all", "any") and p[0] != kind else show(p) for p in condition[1])
    if kind == "not":
        return f"not ({show(condition[1])})"
    if kind == "done":
        return f"done({condition[1]})"
    if kind == "is":
        values = condition[2]
        return f"{condition[1]} = {values[0]}" if len(values) == 1 else f"{condition[1]} in {{{', '.join(values)}}}"
    if kind == "has":
        return f"{condition[1]} has {condition[2]}"
    if kind == "compare":
        sign = {word: sign for sign, word in _SIGNS.items()}[condition[2]]
        number = condition[3][1]
        much = f"{number:g}" if isinstance(number, int | float) else number
        return f"{condition[1]} {sign} {'' if condition[4] == 1 else f'{condition[4]:g} * '}{much}"
    if kind == "always":
        return "always"
    raise ValueError(f"no short form for {kind}")


def plain(condition: Condition | None) -> Condition | None:
    """The same condition in one standing order, so that two ways of writing it down compare as equal."""
    if condition is None:
        return None
    kind = condition[0]
    if kind in ("all", "any"):
        parts = []
        for part in map(plain, condition[1]):
            parts += part[1] if part and part[0] == kind else [part]
        return (kind, tuple(sorted(set(parts), key=repr))) if len(set(parts)) > 1 else parts[0]
    if kind == "not":
        return ("not", plain(condition[1]))
    if kind == "when":
        return ("when", plain(condition[1]), plain(condition[2]))
    if kind == "is":
        return ("is", condition[1], tuple(sorted(condition[2])))
    if kind == "compare":
        where, name = condition[3]
        return (*condition[:3], (where, float(name) if where == "number" else name), float(condition[4]))
    return condition
