"""A record survives a kill at every step of every command that writes it. REVIVE_KILLS: how many kills (40 if unset)."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
KILLS = int(os.environ.get("REVIVE_KILLS", "40"))


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="steps are seen by what Linux tells of open files")
def test_after_every_kill_the_old_or_the_new_record_is_whole_and_the_next_run_works() -> None:
    script = ROOT / "tests" / "hard" / "kills.py"
    ran = subprocess.run([sys.executable, str(script), "--count", str(KILLS)], capture_output=True, text=True, cwd=ROOT)

    lines = ran.stdout.strip().split("\n")
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert f"{KILLS} kills, 0 after which something was wrong." in lines
    states = {line.split()[0]: int(line.split()[-3]) for line in lines[1:5]}
    assert states == {"note": 2, "done": 2, "ask": 13, "prime": 11}


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="steps are seen by what Linux tells of open files")
def test_a_kill_that_tears_the_record_is_noticed(tmp_path: Path) -> None:
    """The trial itself can fail: a save that writes into the record in place is found out."""
    torn = tmp_path / "torn.py"
    torn.write_text(
        f"import sys; sys.path[:0] = [{str(ROOT)!r}, {str(ROOT / 'tests')!r}]\n"
        "import os, revive.whole_file as whole_file, hard.kills as kills\n"
        "def in_place(target, data, mode=None, synced=False):\n"
        "    with open(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644), 'wb') as file:\n"
        "        file.write(data)\n"
        "    os.rename(target, target)\n"
        "whole_file.replace = in_place\n"
        "kills.jobs = lambda: [kills.Job('note', ('note', 'm.yaml', 'oil_look=milky'), kills.TWIN.read_bytes())]\n"
        "sys.exit(1 if kills.trial(20, 1, print) else 0)\n",
        "utf-8",
    )
    ran = subprocess.run([sys.executable, str(torn)], capture_output=True, text=True, cwd=ROOT)

    assert ran.returncode == 1 and "is neither the old nor the new one" in ran.stdout, ran.stdout + ran.stderr
