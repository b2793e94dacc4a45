"""Write a finished text to a file, whole or not at all."""

import os
import tempfile
from pathlib import Path

from revive.model import ReviveError


def write_text(path: str, text: str) -> None:
    """Replace the file by the text; ReviveError where the folder or the disk does not take it."""
    target = Path(path)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent or ".")
        try:
            with open(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
            os.chmod(name, 0o644)
            os.replace(name, target)
        except BaseException:
            os.unlink(name)
            raise
    except OSError as error:
        raise ReviveError(
            f"{path}: the file cannot be written ({error.strerror or error}).\n    Name another with --out."
        ) from None
