"""Make again what is shown: the plans beside the sample records, and the outputs in README.md. Changes no record.

Run it as: python tests/make_samples.py

Each record gives NAME.plan.txt, NAME.plan.md and NAME.plan.json, made through the command line, as of the day of the
record's newest entry. The digest of the rule base is left out of them, so that a comment in a rule file changes none.
"""

import io
import re
import sys
from collections.abc import Iterator
from contextlib import redirect_stdout
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "samples"
FORMS = {"terminal": "plan.txt", "markdown": "plan.md", "json": "plan.json"}
NO_DIGEST = "(left out)"
_DAY = re.compile(r"\bon: (\d{4}-\d\d-\d\d)")
_DIGEST = re.compile(r"(?:(?<=rule base )|(?<=rule\nbase )|(?<=\"digest\": \"))[0-9a-f]{12,64}")


def records() -> list[Path]:
    """Every sample record, in order of name."""
    return sorted(SAMPLES.glob("*/*.yaml"))


def day_of(record: Path) -> str:
    """The newest date in a record: its plan is made as of that day."""
    return max(_DAY.findall(record.read_text(encoding="utf-8")))


def plans_of(record: Path) -> Iterator[tuple[Path, str]]:
    """The plans that a record gives: where each is kept, and its text."""
    from revive.cli import main

    for form, ending in FORMS.items():
        out = io.StringIO()
        with redirect_stdout(out):
            code = main(["plan", str(record), "--as", form, "--today", day_of(record)])
        if code:
            raise SystemExit(f"{record}: no plan as {form}; revive plan ended with {code}")
        yield record.with_suffix(f".{ending}"), _DIGEST.sub(NO_DIGEST, out.getvalue())


def make() -> int:
    """Write every plan that differs from what is kept; how many were written."""
    written = 0
    for record in records():
        for place, text in plans_of(record):
            if not place.exists() or place.read_bytes() != text.encode("utf-8"):
                place.write_bytes(text.encode("utf-8"))
                print(place.relative_to(ROOT))
                written += 1
    return written


def make_readme() -> bool:
    """Write the outputs that README.md shows again; whether any differed."""
    import tempfile

    from shown_commands import Bench, remake

    with tempfile.TemporaryDirectory() as folder:
        return remake(ROOT / "README.md", Bench(Path(folder)))


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    print(f"{make()} plans written, {len(records())} records.")
    print("README.md written." if make_readme() else "README.md is as it was.")
