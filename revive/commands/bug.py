"""Tell the user that something broke which is our doing, and keep the details in a file to send."""

import sys
import tempfile
import traceback
from collections.abc import Sequence

from revive import __version__


def report_bug(argv: Sequence[str]) -> int:
    """Write the details of the exception in hand to a file and say where; returns exit code 3."""
    details = f"revive {__version__}, Python {sys.version}\narguments: {list(argv)!r}\n\n{traceback.format_exc()}"
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="revive-bug-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.write(details)
        print(f"revive: a fault of the program. Please send {file.name} to its makers.", file=sys.stderr)
    except OSError:
        print(f"revive: a fault of the program, and no file could be written.\n{details}", file=sys.stderr)
    return 3
