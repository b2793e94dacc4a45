"""A short run of the fuzzing script; REVIVE_FUZZ: how many inputs of each kind (80 if unset)."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COUNT = int(os.environ.get("REVIVE_FUZZ", "80"))


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the limits are those of a POSIX system with /proc")
def test_no_damaged_input_gets_a_traceback_a_hang_or_a_file_that_is_not_its_own() -> None:
    script = ROOT / "tests" / "hard" / "fuzz.py"
    ran = subprocess.run([sys.executable, str(script), "--count", str(COUNT)], capture_output=True, text=True, cwd=ROOT)

    assert ran.returncode == 0, ran.stdout + ran.stderr
    rows = re.findall(r"^(rules|records|commands) +(\d+) +(\d+) ", ran.stdout, re.MULTILINE)
    assert rows == [(kind, str(COUNT), "0") for kind in ("rules", "records", "commands")], ran.stdout


HARMS = {
    "raise KeyError('x')": "exit code 3: KeyError",
    "sys.exit(7)": "traceback: SystemExit",
    "[x for x in iter(int, 1)]": "hang",
    "bytearray(400_000_000)": "memory",
    "open('../elsewhere', 'w').close()": "touched: open",
    "os.rename('none', '/tmp/none')": "touched: os.rename",
    "subprocess.run(['true'])": "touched: subprocess.Popen",
    "print('\\x1b[2J')": "control character U+001B",
    "open('m.yaml', 'wb').write(b'record: 1'); return 0": "changed a record that was only to be read",
}


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the limits are those of a POSIX system with /proc")
def test_the_guard_sees_what_it_is_there_to_see(tmp_path: Path) -> None:
    code = (
        f"import sys, os, subprocess; sys.path[:0] = [{str(ROOT)!r}, {str(ROOT / 'tests')!r}]\n"
        "from hard import fuzz, guard, wild\n"
        f"fuzz.begin({str(tmp_path)!r})\n"
        "import revive.commands.plan as plan\n"
        "guard.CPU_S = 0.5\n"
        f"for harm in {list(HARMS)!r}:\n"
        "    exec(f'def harmful(arguments):\\n    {harm}\\n    return 0\\nplan.run = harmful')\n"
        "    wild.put(fuzz._scratch / 'm.yaml', b'record: 1\\n')\n"
        "    ran = guard.run(fuzz._main, ['plan', 'm.yaml'])\n"
        "    fuzz._say_nothing_unseen(ran)\n"
        "    fuzz._judge_record(ran, b'record: 1\\n', frozenset())\n"
        "    print(*ran.faults, sep='; ')\n"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)

    told = ran.stdout.strip().split("\n")
    assert len(told) == len(HARMS), ran.stdout + ran.stderr
    for wanted, got in zip(HARMS.values(), told, strict=True):
        assert wanted in got, (wanted, got, ran.stderr)
