"""Run revive as a program: `python -m revive` and the installed command. The only place that exits."""

import gc
import sys

from revive.cli import main


def run() -> None:
    """Run the command line and leave with its exit code."""
    gc.set_threshold(20_000, 10, 10)  # a plan is many small values that stay until the end
    sys.exit(main(sys.argv[1:]))


if __name__ == "__main__":
    run()
