"""Run revive as a program: `python -m revive` and the installed command. The only place that exits."""

import gc
import sys

from revive.cli import main

COLLECT_AFTER = (50_000, 10, 10)
"""Thresholds of the garbage collector: a plan is many small values that stay until the end."""


def run() -> None:
    """Run the command line and leave with its exit code."""
    gc.set_threshold(*COLLECT_AFTER)
    code = main(sys.argv[1:])
    gc.freeze()  # the system takes it all back at once: nothing is looked through before
    sys.exit(code)


if __name__ == "__main__":
    run()
