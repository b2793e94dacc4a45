"""How soon `revive ask` shows its first question and takes an answer, against `import questionary` alone.

Both sides run on a pseudo-terminal and are timed from the start of the process to the moment when the words can be read
there; then the process is ended. For the floor that is the moment when Python has imported questionary and says so.

Run: python tests/bench/bench_start.py [--quick]
"""

import os
import pty
import re
import select
import shutil
import signal
import struct
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

import timing
from timing import PROCESS_HEAD, ROOT, TODAY, Taken, environment, revive

from revive.loading import default_rules_folder, load_rules

FLOOR = "import questionary"
TEXT_BUDGET, PROMPT_BUDGET = 0.6, 1.35
PROMPT = "? help"
"""Words of the line above the choices, which the prompt itself draws: when they stand there it takes keys."""
STATE = "Nothing is open yet"
SAMPLE = ROOT / "samples" / "flat-twin" / "1-first-answers.yaml"
PATIENCE_S = 60
_ESCAPES = re.compile(rb"\x1b\[[0-9;?]*[A-Za-z]|\x1b[=>]|\x1b\][^\x07]*\x07|[\r\x07]")


def until(command: Sequence[str], settings: Mapping[str, str], words: str) -> Taken:
    """Start a command on a pseudo-terminal of 80 by 24, wait until it has said these words, and end it.

    Raises:
        RuntimeError: it ended, or a minute went by, without saying them.
    """
    wanted, heard, said = words.encode(), b"", False
    begun = time.perf_counter()
    process, terminal = pty.fork()
    if process == 0:
        os.execve(command[0], list(command), dict(settings))
    _set_size(terminal)
    try:
        while time.perf_counter() - begun < PATIENCE_S:
            if not select.select([terminal], [], [], 1)[0]:
                continue
            try:
                piece = os.read(terminal, 65536)
            except OSError:
                break
            heard += piece
            if wanted in b" ".join(_ESCAPES.sub(b"", heard).split()):
                said = True
                break
        wall = time.perf_counter() - begun
    finally:
        os.kill(process, signal.SIGKILL)
        _, _, used = os.wait4(process, 0)
        os.close(terminal)
    if not said:
        raise RuntimeError(f"{' '.join(command)} never said {words!r}; it said {heard[-600:]!r}")
    return Taken(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def report(rounds: int) -> str:
    """The table: text and prompt, for a new record and for one that is there."""
    with tempfile.TemporaryDirectory() as folder:
        settings = environment(Path(folder) / "cache", TERM="xterm-256color", COLUMNS="80", LINES="24")
        new, there = Path(folder) / "new.yaml", Path(folder) / "there.yaml"
        shutil.copy(SAMPLE, there)
        os.environ["REVIVE_CACHE"] = settings["REVIVE_CACHE"]
        question = _first_question()

        def ask(path: Path, words: str) -> Taken:
            new.unlink(missing_ok=True)
            return until(revive("ask", str(path), "--today", TODAY), settings, words)

        imported = [sys.executable, "-c", "import questionary; print('it is there', flush=True)"]
        runs = {
            FLOOR: lambda: until(imported, settings, "it is there"),
            "new record, question read": lambda: ask(new, question),
            "new record, prompt answers": lambda: ask(new, PROMPT),
            "existing record, state read": lambda: ask(there, STATE),
            "existing record, prompt answers": lambda: ask(there, PROMPT),
        }
        taken = timing.alternate(runs, rounds)
    budgets = {name: PROMPT_BUDGET if "prompt" in name else TEXT_BUDGET for name in taken if name != FLOOR}
    rows = timing.process_rows(taken, FLOOR, budgets)
    notes = [
        f"Waited for: {question!r}; {STATE!r}, with which an existing record begins;",
        f"{PROMPT!r}, which the prompt draws above its choices. {rounds} rounds in turn; the rules are in the cache.",
    ]
    return timing.table("Start of revive ask, on a pseudo-terminal", PROCESS_HEAD, rows, notes)


def _first_question() -> str:
    """The words of the question that a new record is asked first; loading them also fills the cache."""
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems
    return next(question.ask for question in base.questions.values() if question.first == 1)


def _set_size(terminal: int) -> None:
    import fcntl
    import termios

    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))


def main() -> None:
    """Print the table."""
    given = timing.options(__doc__ or "")
    print(timing.machine_words(), end="\n\n")
    print(report(3 if given.quick else 15))


if __name__ == "__main__":
    main()
