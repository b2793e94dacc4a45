"""Damaged rule files, damaged records and wild command lines by the thousand; prints a table of what broke.

    python tests/hard/fuzz.py --count 10000 --seed 1
    python tests/hard/fuzz.py --replay records:1234

Every input comes from the seed, its kind and its number alone, so that each can be had again. Every one is run in a
process with limits (guard.py): no traceback, no exit code but 0, 1, 2 and 130, at most 2 s of work (8 s for commands that
make many plans), at most 300 MB more memory, no file touched outside a scratch folder, no control character in what is
printed, no record harmed.
"""

import argparse
import multiprocessing
import os
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
    __package__ = "hard"

from hard import guard, wild  # noqa: E402
from hard.hostile import UNSEEN  # noqa: E402
from hard.mutations import spoiled  # noqa: E402

SMALL = ROOT / "tests" / "loading" / "small_base"
KINDS = ("rules", "records", "commands")
SHOWN = 12
_scratch = Path()


def begin(folder: str) -> None:
    """Start a worker: its own scratch folder, the shipped rules read once, time that passes when one waits for it."""
    global _scratch
    import revive.commands.common
    import revive.loading
    from revive.loading import default_rules_folder, load_rules

    _scratch = Path(tempfile.mkdtemp(dir=folder))
    os.environ.update(REVIVE_CACHE=str(_scratch / "cache"), HOME=str(_scratch), TERM="dumb", COLUMNS="80")
    shipped = os.path.abspath(default_rules_folder())
    base, problems = load_rules(shipped)
    assert base is not None, problems[:3]
    real = revive.loading.load_rules

    def once(folder: object, extra: object = (), use_cache: bool = True) -> object:
        if use_cache and not extra and os.path.abspath(os.fspath(folder)) == shipped:  # type: ignore[call-overload]
            return base, []
        return real(folder, extra, use_cache)  # type: ignore[arg-type]

    revive.loading.load_rules = once  # type: ignore[assignment]
    passed = [0.0]
    time.sleep = lambda seconds: passed.__setitem__(0, passed[0] + seconds)
    steady = time.monotonic
    time.monotonic = lambda: steady() + passed[0]
    for argv in (
        ["plan", str(wild.SEEDS[0])],
        ["plan", str(wild.SEEDS[0]), "--as", "html"],
        ["rules", "check", str(SMALL)],
    ):
        _main(argv, silent=True)  # imports are not part of any input
    guard.begin(_scratch)


def _main(argv: list[str], silent: bool = False) -> int:
    from revive.cli import main

    if not silent:
        return main(argv)
    import contextlib
    import io

    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        return main(argv)


def one(kind: str, seed: int, number: int) -> tuple[str, int, list[str], float, str]:
    """Run one input: kind, number, faults, CPU seconds, and what became of it."""
    rng = random.Random(f"{seed} {kind} {number}")
    for entry in _scratch.iterdir():
        if entry.name not in ("cache", "tmp"):
            shutil.rmtree(entry) if entry.is_dir() and not entry.is_symlink() else entry.unlink()
    ran = {"rules": rules, "records": records, "commands": commands}[kind](rng)
    left = [entry.name for entry in (_scratch / "tmp").iterdir()]
    if left:
        ran.faults.append(f"left behind: {left[:3]}")
        for name in left:
            (_scratch / "tmp" / name).unlink()
    return kind, number, ran.faults, ran.cpu_s, f"exit {ran.code}"


def _say_nothing_unseen(ran: guard.Ran) -> None:
    for name, text in (("output", ran.out), ("error", ran.err)):
        if found := UNSEEN.search(text):
            ran.faults.append(
                f"control character U+{ord(found[0]):04X} in {name}: {text[max(0, found.start() - 40) :][:90]!r}"
            )


def rules(rng: random.Random) -> guard.Ran:
    """A small rule base with one file spoiled: checked, and where it is still sound, planned with."""
    folder = _scratch / "rules"
    shutil.copytree(SMALL, folder)
    pages = sorted(folder.rglob("*.yaml"))
    page = rng.choice(pages)
    page.write_bytes(spoiled(page.read_bytes(), rng))
    form = rng.choice(("text", "text", "json", "annotations"))
    ran = guard.run(_main, ["rules", "check", str(folder), "--as", form])
    _say_nothing_unseen(ran)
    if not ran.faults and ran.code == 0:
        wild.put(_scratch / "small.yaml", wild.SMALL_RECORD)
        more = rng.choice((["plan"], ["plan", "--as", "html"], ["why"], ["looks"], ["listing"], ["whatif"]))
        tail = {"why": ["fire"], "whatif": ["oil_look=gritty"]}.get(more[0], [])
        again = guard.run(_main, [more[0], "small.yaml", *more[1:], *tail, "--rules", str(folder)])
        ran.faults += [f"{fault} [planned]" for fault in again.faults]
        ran.cpu_s = max(ran.cpu_s, again.cpu_s)
    return ran


def records(rng: random.Random) -> guard.Ran:
    """A spoiled record under one of the commands; it may change only as it was asked to."""
    seed, sort = rng.choice(wild.SEEDS).read_bytes(), rng.random()
    before = wild.gentle(seed, rng) if sort < 0.4 else spoiled(seed if sort < 0.85 else wild.ODD_RECORD, rng)
    wild.put(_scratch / "m.yaml", before)
    argv, typed, changes = wild.on_record(rng)
    ran = guard.run(_main, argv, typed)
    _say_nothing_unseen(ran)
    _judge_record(ran, before, changes)
    return ran


def _judge_record(ran: guard.Ran, before: bytes, changes: frozenset[str]) -> None:
    """What was in the record is in it still, save for `changes`; what was refused changed nothing."""
    from revive.commands.common import rule_base
    from revive.model import ReviveError
    from revive.record import parse_record

    after = (_scratch / "m.yaml").read_bytes()
    names = sorted(entry.name for entry in _scratch.iterdir() if entry.name not in ("cache", "tmp", "out"))
    if names not in (["m.yaml"], ["m.yaml", "m.yaml.bak"]):
        ran.faults.append(f"files: {names}")
    if after == before:
        return
    if not changes:
        ran.faults.append("changed a record that was only to be read")
        return
    base = rule_base(argparse.Namespace(rules=None, extra=[]))
    try:
        new = parse_record(after, "after", base)
        old = parse_record(before, "before", base) if before.strip() else None
    except ReviveError as error:
        ran.faults.append(f"record no longer whole: {error}"[:300])
        return
    if old is None or "*" in changes:
        return
    for part in ("answers", "done"):
        was, now = getattr(old, part), getattr(new, part)
        lost = [name for name in was if name not in changes and now.get(name) != was[name]]
        grown = [name for name in now if name not in was and name not in changes]
        if lost or grown:
            ran.faults.append(f"{part} not as they were: {lost[:3]} {grown[:3]}")
    if (new.machine, new.maker, new.readings) != (old.machine, old.maker, old.readings):
        ran.faults.append("machine, maker or readings not as they were")
    if new.earlier[: len(old.earlier)] != old.earlier:
        ran.faults.append("earlier answers not as they were")


def commands(rng: random.Random) -> guard.Ran:
    """A wild command line over a folder with good and bad files; files that it does not name stay as they are."""
    wild.furnish(_scratch, rng)
    names = {path: path.read_bytes() for path in _scratch.iterdir() if path.is_file()}
    argv, typed = wild.line(rng)
    ran = guard.run(_main, argv, typed)
    ran.faults = [f"{fault} {argv}"[:400] for fault in ran.faults]
    _say_nothing_unseen(ran)
    for path, was in names.items():
        if (
            path.name not in argv
            and not ((path.name == "good.yml" and "link.yaml" in argv) or path.is_symlink())
            and (not path.is_file() or path.read_bytes() != was)
        ):
            ran.faults.append(f"changed {path.name}, which was not named: {argv}")
    return ran


def spread(count: int, seed: int, kinds: tuple[str, ...], workers: int, tell: Callable[[str], None]) -> int:
    """Run `count` inputs of each kind and print the table; how many faults there were."""
    tell(f"Limits an input: {guard.CPU_S:g} s of work ({', '.join(guard.LONG)}: {guard.LONG_CPU_S:g} s),")
    tell(f"{guard.MEMORY_MB} MB more memory, no file but its own. Seed {seed}.")
    tell(f"{'inputs':10}{'run':>8}{'faulty':>8}{'slowest':>10}{'in all':>9}   what became of them")
    context, faults = multiprocessing.get_context("spawn"), 0
    with (
        tempfile.TemporaryDirectory(prefix="fuzz-") as folder,
        ProcessPoolExecutor(workers, mp_context=context, initializer=begin, initargs=(folder,)) as pool,
    ):
        for kind in kinds:
            start, chunk = time.perf_counter(), max(1, min(50, count // 8))
            done = list(pool.map(one, [kind] * count, [seed] * count, range(count), chunksize=chunk))
            faults += _table(kind, done, time.perf_counter() - start, tell)
    return faults


def _table(
    kind: str, done: list[tuple[str, int, list[str], float, str]], seconds: float, tell: Callable[[str], None]
) -> int:
    """One line for a kind of input, and below it the faults, those that are alike together; how many."""
    ends = ", ".join(f"{end} x {times}" for end, times in Counter(row[4] for row in done).most_common())
    faulty = sum(bool(row[2]) for row in done)
    tell(f"{kind:10}{len(done):8}{faulty:8}{max(row[3] for row in done):9.2f}s{seconds:8.0f}s   {ends}")
    groups: dict[str, list[str]] = {}
    for _, number, faults, _, _ in done:
        for fault in faults:
            groups.setdefault(fault[:110], []).append(f"{kind}:{number}  {fault}")
    for same in sorted(groups.values(), key=len, reverse=True)[:SHOWN]:
        tell(f"{len(same):5} x {same[0]}")
    return sum(map(len, groups.values()))


def _print(line: str) -> None:
    print(line, flush=True)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=10_000, help="inputs of each kind")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", choices=KINDS, action="append", help="only these")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--replay", metavar="KIND:NUMBER", help="run one input again and show what it left behind")
    given = parser.parse_args()
    if given.replay:
        kind, _, number = given.replay.partition(":")
        with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
            begin(folder)
            real = guard.run

            def shown(main: Callable[[list[str]], int], argv: list[str], typed: bytes = b"") -> guard.Ran:
                for path in sorted(_scratch.glob("*.yaml")) if kind == "records" else ():
                    shutil.copy(path, tempfile.gettempdir())
                print("$ revive", argv, typed)
                ran = real(main, argv, typed)
                print(ran.out[-2000:], ran.err[-2000:], f"exit {ran.code}, {ran.cpu_s:.2f} s", sep="\n")
                return ran

            guard.run = shown
            print(*one(kind, given.seed, int(number))[2], sep="\n")
            if kind == "records":
                print(
                    (_scratch / "tmp").parent / "m.yaml",
                    (_scratch / "m.yaml").read_bytes()[:6000].decode("utf-8", "replace"),
                )
        return 0
    return 1 if spread(given.count, given.seed, tuple(given.kind or KINDS), given.workers, _print) else 0


if __name__ == "__main__":
    sys.exit(main())
