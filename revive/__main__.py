"""Run revive as a program: `python -m revive` and the installed command. The only place that exits."""

import sys

from revive.cli import main


def run() -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(main(sys.argv[1:]))


if __name__ == "__main__":
    run()
