"""Kill the program at every step that it takes on the disk, and look at what is left. Prints how many kills were survived.

    python tests/hard/kills.py --count 1000

A forked copy of this process runs a command on a record and ends, as by SIGKILL, at its n-th step: before a file is
opened, made, renamed, removed or synced, and after each piece of a write. Then the record must be one of the states that
an undisturbed run goes through, in its order; the copy kept beside it too; and the next run must work and tidy up.
Random kills come from outside, by SIGKILL, after a time that nobody chose.
"""

import argparse
import builtins
import io
import os
import random
import signal
import sys
import tempfile
import time
from ast import literal_eval
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

NOW = "2026-11-25T12:00:00"
PIECES = 4
KILLED = 9
TYPED_ASK = b"1\n1\n1\n14\n2\n1\n1\n2\n1\n1\n3\n2\n"
TYPED_PRIME = b"1\n1\n0\n1\n3\n2\n1\nc\n6\n4\n1\n2\n1\n"
TWIN = ROOT / "samples" / "flat-twin" / "2-first-day.yaml"


@dataclass
class Steps:
    """Counts the steps of one process on one folder, and ends it at the one that is named.

    told: the steps by name. states: what each renamed file holds.
    """

    folder: str
    end_at: int = -1
    done: int = 0
    on: bool = False
    told: list[str] = field(default_factory=list)
    states: list[bytes] = field(default_factory=list)

    def take(self, name: str) -> None:
        """One step is about to be taken."""
        if self.on:
            if self.done == self.end_at:
                os._exit(KILLED)
            self.done += 1
            self.told.append(name)


_steps = Steps("")
_real_sleep = time.sleep
_EVENTS = {"os.rename": "rename", "os.remove": "remove", "os.chmod": "chmod", "os.mkdir": "mkdir"}


def _hook(event: str, args: tuple[Any, ...]) -> None:
    if not _steps.on or (event != "open" and event not in _EVENTS):
        return
    path = args[0]
    if not isinstance(path, int) and os.path.abspath(os.fsdecode(path)).startswith(_steps.folder):
        name = os.path.basename(os.fsdecode(args[1] if event == "os.rename" else path))
        _steps.take(f"{_EVENTS.get(event, event)} {name}")
        if event == "os.rename":
            _steps.on = False
            _steps.states.append(b"" if name.endswith(".bak") else Path(os.fsdecode(path)).read_bytes())
            _steps.on = True


def _place(handle: int) -> str:
    return os.readlink(f"/proc/self/fd/{handle}")


class Torn(io.RawIOBase):
    """A file whose writes reach it in pieces; a kill can come between any two of them."""

    def __init__(self, handle: int) -> None:
        self.handle = handle

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self.handle

    def write(self, data: Any, /) -> int:
        whole = bytes(data)
        size = max(1, -(-len(whole) // PIECES))
        for at in range(0, len(whole), size):
            _steps.take("write")
            os.write(self.handle, whole[at : at + size])
        return len(whole)

    def close(self) -> None:
        if not self.closed:
            super().close()
            os.close(self.handle)


def _arm() -> None:
    """Let every write and sync of this process be a step."""
    real_open, real_sync = builtins.open, os.fsync

    def torn_open(file: Any, mode: str = "r", *rest: Any, **named: Any) -> Any:
        if not isinstance(file, int) or "w" not in mode or not _place(file).startswith(_steps.folder):
            return real_open(file, mode, *rest, **named)
        raw = io.BufferedWriter(Torn(file))
        return raw if "b" in mode else io.TextIOWrapper(raw, encoding="utf-8", newline="\n")

    def sync(handle: int) -> None:
        _steps.take(f"fsync {os.path.basename(_place(handle))}")
        real_sync(handle)

    builtins.open = torn_open  # type: ignore[assignment]
    os.fsync = sync
    os.fdopen = torn_open  # type: ignore[assignment]
    sys.addaudithook(_hook)


@dataclass(frozen=True)
class Job:
    """A command whose writing is disturbed. file: what it writes; typed: its standard input."""

    name: str
    argv: tuple[str, ...]
    begin: bytes | None
    typed: bytes = b""
    file: str = "m.yaml"


def jobs() -> list[Job]:
    """The commands that write, on records that are ready for them."""
    from wizard.ready import record_open_to

    from revive.loading import default_rules_folder, load_rules

    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems[:3]
    ready = record_open_to(base, "crank", layout="flat_twin_wet", starter_kind="electric", cylinders=2.0)
    day = ("--today", "2026-11-25")
    twin = TWIN.read_bytes()
    return [
        Job("note", ("note", "m.yaml", "oil_look=milky", "petrol_smell=none", "--by=A. Member", *day), twin),
        Job("done", ("done", "m.yaml", "oil_drain", "sump_drop", "--note=sludge: first", *day), twin),
        Job("ask", ("ask", "--plain", "m.yaml", *day), None, TYPED_ASK),
        Job("prime", ("prime", "--plain", "m.yaml", *day), ready, TYPED_PRIME),
        Job("plan --out", ("plan", "m.yaml", "--out", "plan.md", "--as", "markdown", *day), twin, file="plan.md"),
    ]


class Bench:
    """Runs one job again and again in a folder of its own. states: what the file is after each rename, in order."""

    def __init__(self, job: Job, folder: Path) -> None:
        self.job, self.folder, self.path = job, folder, folder / job.file
        self.states: list[bytes | None] = []
        self.seconds = 0.0
        self.told = self._undisturbed()

    def _ready(self) -> None:
        for entry in self.folder.iterdir():
            entry.unlink()
        if self.job.begin is not None:
            (self.folder / "m.yaml").write_bytes(self.job.begin)
        if self.job.file != "m.yaml":
            self.path.write_bytes(b"the plan of yesterday\n")

    def _undisturbed(self) -> list[str]:
        """Learn the steps, and the states that the file goes through."""
        self._ready()
        self.states = [self.path.read_bytes() if self.path.exists() else None]
        start = time.perf_counter()
        child, reader = self._fork(-1, tell=True)
        with os.fdopen(reader, "rb") as pipe:
            told, states = literal_eval(pipe.read().decode())
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) in (0, 130), self.job.name
        self.seconds = time.perf_counter() - start
        self.states += [state for state in states if state]
        return list(told)

    def _fork(self, end_at: int, tell: bool = False) -> tuple[int, int]:
        reader, writer = os.pipe()
        child = os.fork()
        if child:
            os.close(writer)
            return child, reader
        code = 70
        try:
            code = self._child(end_at, writer if tell else -1)
        finally:
            os._exit(code)

    def _child(self, end_at: int, writer: int) -> int:
        """In the copy: run the command on quiet streams."""
        from revive.cli import main

        os.chdir(self.folder)
        sys.stdin = io.TextIOWrapper(io.BytesIO(self.job.typed), encoding="utf-8")
        sys.stdout = sys.stderr = io.StringIO()
        _steps.folder, _steps.end_at, _steps.on = str(self.folder), end_at, True
        code = main(list(self.job.argv))
        _steps.on = False
        if writer >= 0:
            with os.fdopen(writer, "wb") as pipe:
                pipe.write(repr((_steps.told, _steps.states)).encode())
        return code

    def _run_to(self, step: int) -> int:
        self._ready()
        child, reader = self._fork(step)
        os.close(reader)
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])

    def kill_at(self, step: int) -> list[str]:
        """Kill before this step; what was wrong afterwards."""
        code = self._run_to(step)
        wrong = self.left_wrong()
        return wrong if code == KILLED else [*wrong, f"was not killed but ended with {code}"]

    def kill_after(self, seconds: float) -> list[str]:
        """Kill from outside after some time; what was wrong afterwards."""
        self._ready()
        child, reader = self._fork(-1)
        _real_sleep(seconds)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(reader)
        return self.left_wrong()

    def left_wrong(self) -> list[str]:
        """What is not as it should be after a kill, each in words; then the next run is tried."""
        wrong = []
        now = self.path.read_bytes() if self.path.exists() else None
        if now not in self.states:
            wrong.append(f"{self.job.file} is neither the old nor the new one: {now!r:.80}")
        copy = self.folder / (self.job.file + ".bak")
        if copy.exists() and copy.read_bytes() not in self.states:
            wrong.append("the copy kept beside it is not whole")
        if self.job.file == "m.yaml" and not wrong:
            wrong += self._next_run(now)
        return wrong

    def _next_run(self, now: bytes | None) -> list[str]:
        """A save after the kill: works, loses nothing and leaves only the record and its copy."""
        from revive.model import ReviveError
        from revive.record_save import save

        try:
            save(self.path, (now or b"record: 1\n") + b"# after\n", now)
        except ReviveError as error:
            return [f"the next run was refused: {error}"]
        names = {entry.name for entry in self.folder.iterdir()}
        stray = names - {"m.yaml", "m.yaml.bak"}
        return [f"left behind: {sorted(stray)}"] if stray else []


def trial(count: int, seed: int, tell: Callable[[str], None]) -> list[str]:
    """At least `count` kills over all jobs, a fifth of them at random times; what was wrong, each in words."""
    import revive.commands.common as common

    steady, passed = time.monotonic, [0.0]
    rng, wrong = random.Random(seed), []
    sys.stdin, kept = io.StringIO(), sys.stdin
    with tempfile.TemporaryDirectory(prefix="kills-") as place:
        os.environ["REVIVE_CACHE"] = os.path.join(place, "cache")
        every = jobs()
        base = common.rule_base(argparse.Namespace(rules=None, extra=[]))
        common.moment = lambda arguments: NOW
        for name in ("ask", "note", "done", "prime", "plan", "changed"):
            __import__(f"revive.commands.{name}")
            module = sys.modules[f"revive.commands.{name}"]
            if hasattr(module, "rule_base"):
                module.rule_base = lambda arguments: base  # type: ignore[attr-defined]
            if hasattr(module, "moment"):
                module.moment = lambda arguments: NOW  # type: ignore[attr-defined]
        time.sleep = lambda seconds: passed.__setitem__(0, passed[0] + seconds)  # nobody waits out a rest
        time.monotonic = lambda: steady() + passed[0]
        _arm()
        total, rows = 0, []
        for job in every:
            folder = Path(place).resolve() / job.name.split()[0]
            folder.mkdir()
            bench = Bench(job, folder)
            steps = list(range(len(bench.told)))
            share = count // len(every) * 4 // 5
            chosen = steps if len(steps) <= share else [steps[at * len(steps) // share] for at in range(share)]
            for step in chosen:
                wrong += [f"{job.name}, step {step} ({bench.told[step]}): {what}" for what in bench.kill_at(step)]
            by_chance = max(count // len(every) - len(chosen), 1)
            for _ in range(by_chance):
                seconds = rng.uniform(0, bench.seconds * 1.1)
                wrong += [f"{job.name}, after {seconds:.4f} s: {what}" for what in bench.kill_after(seconds)]
            total += len(chosen) + by_chance
            rows.append(f"{job.name:12}{len(steps):7}{len(bench.states):8}{len(chosen):9}{by_chance:9}")
    sys.stdin = kept
    tell(f"{'command':12}{'steps':>7}{'states':>8}{'at steps':>9}{'by chance':>10}")
    for row in rows:
        tell(row)
    tell(f"{total} kills, {len(wrong)} after which something was wrong.")
    for what in wrong[:12]:
        tell(what)
    return wrong


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    sys.exit(1 if trial(given.count, given.seed, print) else 0)
