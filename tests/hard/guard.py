"""Run one input in this process under limits, and tell every way in which the program broke its word.

Limits: CPU seconds an input, wall seconds, memory over what the process had, and files: an audit hook sees every path
opened for writing, made, renamed or removed, and every start of another program or connection.
"""

import contextlib
import io
import os
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

CPU_S, WALL_S, MEMORY_MB = 2.0, 60.0, 300
LONG_CPU_S, LONG = 8.0, ("looks", "why", "rules")
"""`looks` and `why` make many plans to find what each answer would change; `rules check` proves the whole base."""
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_CHANGES = {"os.mkdir": 0, "os.remove": 0, "os.rmdir": 0, "os.chmod": 0, "os.truncate": 0, "os.chown": 0, "os.utime": 0}
_PAIRS = {"os.rename", "os.link", "os.symlink"}
_FOREIGN = ("subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "socket.connect", "os.fork", "os.kill")
_watched: list[str] = []
_allowed: list[str] = []
_on = False


class TooLong(BaseException):
    """An input took more time than it may."""


def _hook(event: str, args: tuple[Any, ...]) -> None:
    if not _on:
        return
    if event == "open":
        path, mode, flags = args
        writing = (isinstance(mode, str) and set(mode) & set("wax+")) or (isinstance(flags, int) and flags & _WRITING)
        if writing and not isinstance(path, int):
            _see(event, path)
    elif event in _CHANGES:
        _see(event, args[0])
    elif event in _PAIRS:
        _see(event, args[0])
        _see(event, args[1])
    elif event in _FOREIGN:
        _watched.append(f"{event} {args!r}"[:200])


def _see(event: str, path: Any) -> None:
    name = os.path.abspath(os.fsdecode(path)) if isinstance(path, str | bytes | os.PathLike) else str(path)
    if not any(name == place or name.startswith(f"{place}/") for place in _allowed):
        _watched.append(f"{event} {name!r}")


def begin(scratch: Path) -> None:
    """Set the limits of this process; its work is done in `scratch`, the only place where it may write."""
    sys.dont_write_bytecode = True  # what Python itself would keep beside the modules is none of the program's doing
    sys.addaudithook(_hook)
    os.chdir(scratch)
    tempfile.tempdir = str(scratch / "tmp")
    (scratch / "tmp").mkdir()
    _allowed[:] = [str(scratch), os.devnull, "/dev/full"]
    with open("/proc/self/statm", encoding="ascii") as file:
        now = int(file.read().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (now + MEMORY_MB * 1_000_000, resource.RLIM_INFINITY))
    for number in (signal.SIGPROF, signal.SIGALRM):
        signal.signal(number, _stop)


def _stop(*_: object) -> None:
    raise TooLong


@contextlib.contextmanager
def _limited(cpu_s: float) -> Iterator[None]:
    global _on
    signal.setitimer(signal.ITIMER_PROF, cpu_s)
    signal.setitimer(signal.ITIMER_REAL, WALL_S)
    _watched.clear()
    _on = True
    try:
        yield
    finally:
        _on = False
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)


class Ran:
    """What came of one command line. code: exit code, None where there is none; faults: each a line of text."""

    def __init__(self) -> None:
        self.code: int | None = None
        self.out = self.err = ""
        self.cpu_s = 0.0
        self.faults: list[str] = []


def run(main: Callable[[list[str]], int], argv: list[str], typed: bytes = b"") -> Ran:
    """One command line with standard input `typed`, its output kept."""
    ran = Ran()
    streams = [io.TextIOWrapper(io.BytesIO(data), encoding="utf-8", newline="\n") for data in (typed, b"", b"")]
    kept = sys.stdin, sys.stdout, sys.stderr
    streams[2].reconfigure(errors="backslashreplace")
    sys.stdin, sys.stdout, sys.stderr = streams
    start = time.process_time()
    most_s = LONG_CPU_S if argv[:1] and argv[0] in LONG else CPU_S
    try:
        with _limited(most_s):
            ran.code = main(argv)
    except TooLong:
        ran.faults.append(f"hang: more than {most_s:g} s of work or {WALL_S:g} s of waiting")
    except MemoryError:
        ran.faults.append("memory")
    except BaseException as error:
        last = traceback.extract_tb(error.__traceback__)[-1]
        ran.faults.append(
            f"traceback: {type(error).__name__}: {error} ({Path(last.filename).name}:{last.lineno})"[:200]
        )
    finally:
        ran.cpu_s = time.process_time() - start
        sys.stdin, sys.stdout, sys.stderr = kept
    for name, stream in zip(("out", "err"), streams[1:], strict=True):
        with contextlib.suppress(ValueError):
            stream.flush()
            setattr(ran, name, stream.buffer.getvalue().decode("utf-8", "replace"))  # type: ignore[attr-defined]
    ran.faults += [f"touched: {what}" for what in _watched]
    if "not enough memory" in ran.err:
        ran.faults.append("memory: more than it may have")
    if ran.code is not None and ran.code not in (0, 1, 2, 130):
        ran.faults.append(f"exit code {ran.code}: {_bug(ran.err)}")
    if ran.code in (1, 2) and not ran.err.strip() and not ran.out.strip():
        ran.faults.append(f"exit code {ran.code} without a word")
    return ran


def _bug(said: str) -> str:
    """The last line of the report that the program wrote of its own fault."""
    for word in said.split():
        if "revive-bug-" in word and Path(word).is_file():
            lines = Path(word).read_text("utf-8").strip().split("\n")
            Path(word).unlink()
            where = next((line.strip() for line in reversed(lines) if "/revive/" in line), "")
            return f"{lines[-1]} ({where})"[:300]
    return said.strip()[-200:]
