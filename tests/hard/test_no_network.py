"""No command reaches for a network: run with every socket barred, and looked at as source.

The bar is an audit hook that ends the process with code 97 at the first socket of any kind, name look-up or connection. A
prompt by keys is waited for by an event loop of the standard library, which wakes itself through a pair of sockets joined
to each other within the process; only where keys are asked for is that pair let pass, and nothing else.
"""

import ast
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest

ROOT = Path(__file__).resolve().parents[2]
DAY = ["--today", "2026-10-11"]
BARRED = 97
HOOK = f"""
import os, sys
def bar(event, arguments, _local=os.environ.get("LET_PAIRS_PASS") == "1"):
    if not event.startswith(("socket.", "urllib.", "http.client.", "ftplib.", "smtplib.", "imaplib.", "webbrowser.")):
        return
    if _local and event == "socket.__new__" and int(arguments[1]) == 1:
        return
    os.write(2, f"BARRED: {{event}} {{arguments!r}}\\n".encode())
    os._exit({BARRED})
sys.addaudithook(bar)
"""
DRIVER = """
import io, json, sys
import revive.club_work
from revive.cli import main
revive.club_work.HELPERS_FROM = 2
codes = []
for arguments, typed in json.loads(sys.argv[1]):
    sys.stdin = io.StringIO(typed)
    codes.append(main(arguments))
print("\\n" + json.dumps(codes))
"""
COMMANDS = [
    (["plan", "twin.yaml"], ""),
    *((["plan", "twin.yaml", "--as", form, "--full"], "") for form in ("markdown", "html", "json")),
    (["ask", "--plain", "new.yaml"], "1\n"),
    (["note", "twin.yaml", "oil_look=milky", "--on", "2026-10-11T09:00"], ""),
    (["done", "twin.yaml", "rocker_covers_off", "--on", "2026-10-11T10:00", "--no-card"], ""),
    (["why", "twin.yaml", "crank"], ""),
    (["whatif", "twin.yaml", "bore_look=rust_bands"], ""),
    (["looks", "twin.yaml"], ""),
    (["listing", "twin.yaml", "--as", "html"], ""),
    (["lists", "twin.yaml"], ""),
    (["club", "club"], ""),
    (["prime", "--plain", "twin.yaml"], "\n"),
    (["rules", "check", "small"], ""),
    (["rules", "show", "oil-milky"], ""),
    (["rules", "new", "rule", "new-rule", "oil/new", "--in", "rules"], ""),
    (["rules", "schema", "schemas"], ""),
]
"""Command lines, and what is typed. Those without a day of their own get one."""
NETWORK = {
    *(
        "socket",
        "ssl",
        "socketserver",
        "asyncio",
        "http",
        "urllib",
        "ftplib",
        "smtplib",
        "poplib",
        "imaplib",
        "telnetlib",
    ),
    *(
        "xmlrpc",
        "nntplib",
        "webbrowser",
        "wsgiref",
        "requests",
        "httpx",
        "aiohttp",
        "urllib3",
        "subprocess",
        "pty",
        "ctypes",
    ),
}
STARTS = re.compile(r"(system|popen|posix_spawnp?|startfile|exec[lv]p?e?|spawn[lv]p?e?)")


@pytest.fixture
def barred(tmp_path):
    """Settings in which every Python that starts has the bar, and a folder with a record, a club and rules."""
    (tmp_path / "bar").mkdir()
    (tmp_path / "bar" / "sitecustomize.py").write_text(HOOK)
    here = tmp_path / "here"
    shutil.copytree(ROOT / "samples" / "club-batch", here / "club")
    shutil.copy(ROOT / "samples" / "flat-twin" / "2-first-day.yaml", here / "twin.yaml")
    shutil.copytree(ROOT / "rules", here / "rules")
    shutil.copytree(ROOT / "tests" / "loading" / "small_base", here / "small")
    path = os.pathsep.join([str(tmp_path / "bar"), str(ROOT)])
    return here, {**os.environ, "PYTHONPATH": path, "REVIVE_CACHE": str(tmp_path / "cache"), "TERM": "xterm"}


def run(barred, *arguments):
    here, settings = barred
    return subprocess.run(
        [sys.executable, *arguments], cwd=here, env=settings, capture_output=True, text=True, encoding="utf-8"
    )


def test_every_command_works_with_every_socket_barred(barred):
    lines = [
        (arguments if arguments[0] in ("reckon", "rules") else [*arguments, *DAY], typed)
        for arguments, typed in [*COMMANDS, (["reckon"], ""), (["reckon", "premix", "ratio=25", "petrol_l=4"], "")]
    ]
    done = run(barred, "-c", DRIVER, json.dumps(lines))

    assert done.returncode == 0, done.stderr[-2000:]
    codes = dict(zip((" ".join(line) for line, _ in lines), json.loads(done.stdout.split("\n")[-2]), strict=True))
    stopped = {line: code for line, code in codes.items() if code}
    assert [line.split()[0] for line in stopped] == ["ask", "prime"], stopped  # no more was typed, and no oil is in it
    assert (barred[0] / "club" / "club-sheets" / "overview.html").exists()


def test_every_command_that_there_is_was_tried(barred):
    tried = {arguments[0] for arguments, _ in COMMANDS} | {"reckon"}
    tried_rules = {arguments[1] for arguments, _ in COMMANDS if arguments[0] == "rules"}
    shown = [run(barred, "-m", "revive", *more, "--help").stdout for more in ((), ("rules",))]
    known, known_rules = (set(re.findall(r"^    ([a-z]+)\s", text.split("[-h]")[1], re.MULTILINE)) for text in shown)

    assert len(known) >= 12 and known == tried
    assert known_rules == {"check", "show", "new", "schema"} == tried_rules


def test_questions_by_keys_reach_for_no_network_either(barred):
    here, settings = barred
    child = pexpect.spawn(
        sys.executable, ["-m", "revive", "ask", "keys.yaml", *DAY], cwd=here, env={**settings, "LET_PAIRS_PASS": "1"}
    )
    child.expect_exact("? help", timeout=60)
    child.send("1")
    child.expect_exact("? help", timeout=60)
    child.send("\x03")
    child.expect(pexpect.EOF, timeout=60)
    child.close()

    assert (child.exitstatus, b"BARRED" in child.before) == (130, False)
    assert "answers:" in (here / "keys.yaml").read_text(encoding="utf-8")


REACHES = {
    "a socket": "import socket; socket.socket()",
    "a name": "import socket; socket.getaddrinfo('localhost', 80)",
    "a page": "import urllib.request; urllib.request.urlopen('http://127.0.0.1:9')",
    "a helper's": "import multiprocessing as m, socket; p = m.Process(target=socket.socket); p.start(); p.join(); exit(p.exitcode)",
    "beside a pair": "import os, socket; socket.socketpair(); socket.socket().connect(('127.0.0.1', 9))",
}


@pytest.mark.parametrize("reach", REACHES)
def test_the_bar_ends_whatever_reaches_for_a_network(barred, reach):
    here, settings = barred
    passing = {"LET_PAIRS_PASS": "1"} if reach == "beside a pair" else {}
    done = run((here, {**settings, **passing}), "-c", REACHES[reach])

    assert done.returncode == BARRED and "BARRED: " in done.stderr


def imports_and_calls(path):
    """Top names of the modules that a file imports, and the names of the functions and methods that it calls."""
    imported, called = set(), []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            imported |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and not node.level:
            imported.add((node.module or "").partition(".")[0])
        elif isinstance(node, ast.Call):
            called.append((getattr(node.func, "attr", getattr(node.func, "id", "")), node))
    return imported, called


def test_no_module_of_the_program_imports_a_network_or_starts_another_program():
    files = sorted((ROOT / "revive").rglob("*.py"))
    assert len(files) > 100
    for path in files:
        imported, called = imports_and_calls(path)
        assert not imported & NETWORK, path
        for name, call in called:
            assert not STARTS.fullmatch(name), (path, call.lineno)
            if name in ("import_module", "__import__"):
                first = call.args[0].values[0] if isinstance(call.args[0], ast.JoinedStr) else call.args[0]
                assert str(first.value).startswith("revive."), (path, call.lineno)


def test_no_page_of_the_program_fetches_anything():
    pages = [path for path in (ROOT / "revive").rglob("*") if path.suffix in (".html", ".css")]
    assert len(pages) > 5
    for path in pages:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"https?://|//[a-z]|@import|url\(|<script|<link|<iframe|src=", text), path
