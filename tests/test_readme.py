"""What the pages show is what happens: every command is run, and every output shown is compared."""

import re
import tomllib

import pytest
from shown_commands import MORE, ROOT, Bench, as_shown, blocks, commands_in

README = ROOT / "README.md"
REMAKE = "Read the new output; if it is right, remake the page: python tests/make_samples.py"
MARKED = re.compile(r"<!-- ([a-z-]+) -->\n```sh\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def marked(name):
    found = dict(MARKED.findall(README.read_text(encoding="utf-8")))
    return [line for line in found[name].split("\n") if line]


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    return Bench(tmp_path_factory.mktemp("readme"))


def test_every_output_that_the_readme_shows_is_what_the_command_prints(bench):
    checked = 0
    for block in blocks(README, "console"):
        for shown in commands_in(block):
            _, lines = bench.run(shown.command)
            assert list(shown.lines) == as_shown(shown, lines), f"{shown.command}\n{REMAKE}"
            checked += bool(shown.lines)

    assert checked >= 6


def test_commands_that_are_shown_succeed_except_the_slip(bench):
    codes = {
        shown.command: bench.run(shown.command)[0]
        for block in blocks(README, "console")
        for shown in commands_in(block)
    }

    assert [command for command, code in codes.items() if code] == ["revive note twin.yaml oil_lok=milky"]
    assert codes["revive note twin.yaml oil_lok=milky"] == 1


def test_the_commands_of_the_samples_page_work_as_they_stand(bench):
    lines = [line for block in blocks(ROOT / "samples" / "README.md", "sh") for line in block.split("\n") if line]

    assert len(lines) == 3
    for line in lines:
        code, said = bench.run(line)
        assert code == 0, (line, said)


def test_set_up_is_two_commands_the_main_job_one_and_the_tests_one():
    assert [len(marked(name)) for name in ("set-up", "main-job", "tests")] == [2, 1, 1]


def test_the_main_job_prints_a_plan(bench):
    command = marked("main-job")[0]
    assert command.startswith(".venv/bin/revive plan samples/")
    code, lines = bench.run(command.removeprefix(".venv/bin/"))

    assert code == 0
    assert "Nothing is open yet: do not turn, crank or start it." in lines[1]


def test_set_up_makes_the_folder_that_every_later_command_uses():
    text = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    make, install = marked("set-up")

    assert make == "python3 -m venv .venv"
    assert re.fullmatch(r'\.venv/bin/pip install .*--editable "\.\[test\]"', install)
    assert "test" in tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    for name in ("set-up", "main-job", "tests"):
        assert f"readme {name})" in text
    assert marked("tests") == [".venv/bin/pytest -n auto --dist loadfile"]


def test_the_job_stands_in_one_paragraph_at_the_top():
    title, job, *_ = README.read_text(encoding="utf-8").split("\n\n")

    assert title == "# revive"
    assert "gate" in job and "plan" in job and not job.startswith(("#", "-", "|", "`", ">"))


def test_the_table_of_commands_names_every_command_that_there_is(bench):
    text = README.read_text(encoding="utf-8")
    _, lines = bench.run("revive --help")
    body = "\n".join(lines).split("COMMAND\n", 1)[-1]
    commands = re.findall(r"^    ([a-z]+)\s", body, re.MULTILINE)

    assert len(commands) >= 10
    assert [name for name in commands if f"`revive {name}" not in text] == []


def test_a_block_is_taken_apart_as_it_reads():
    first, second = commands_in(f"$ one\na\n\nb\n\n$ two\nc\n{MORE}\n")

    assert (first.command, first.lines, first.cut) == ("one", ("a", "", "b"), False)
    assert (second.command, second.lines, second.cut) == ("two", ("c",), True)
    assert as_shown(second, ["x", "y"]) == ["x"]
