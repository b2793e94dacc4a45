"""The benchmarks run: their generators, their translation and their tables at the smallest size. No time is judged here."""

import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.loading.proof import prove
from revive.record import read_record

BENCH = Path(__file__).resolve().parents[1] / "bench"
SCRIPTS = sorted(path.stem for path in BENCH.glob("bench_*.py"))


@pytest.fixture(autouse=True)
def bench_folder(monkeypatch, tmp_path):
    """The scripts import each other as plain modules, as they do when they are run; their cache is thrown away."""
    monkeypatch.syspath_prepend(str(BENCH))
    monkeypatch.setenv("REVIVE_CACHE", str(tmp_path / "cache"))


@pytest.fixture(scope="module")
def base():
    found, problems = load_rules(default_rules_folder(), use_cache=False)
    assert found is not None, problems
    return found


def body(table):
    """Rows of a table, cells apart."""
    lines = table.split("\n")
    rule = next(place for place, line in enumerate(lines) if line.startswith("---"))
    return [re.split(r"\s{2,}", line) for line in lines[rule + 1 :] if line][: lines[rule + 1 :].index("")]


def test_every_script_says_what_it_does_and_how_it_is_run():
    assert len(SCRIPTS) == 6
    for name in SCRIPTS:
        said = importlib.import_module(name).__doc__
        assert f"Run: python tests/bench/{name}.py [--quick]" in said
    done = subprocess.run([sys.executable, BENCH / "bench_check.py", "--help"], capture_output=True, text=True)
    assert done.returncode == 0 and "--quick" in done.stdout


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_the_pages_name_every_script_and_no_other(page):
    text = (BENCH.parents[1] / page).read_text(encoding="utf-8")

    assert set(re.findall(r"`(bench_[a-z]+)\.py`", text)) == set(SCRIPTS)


@pytest.mark.parametrize("size", [1, 91])
def test_a_made_up_rule_base_is_whole_and_gives_a_plan(tmp_path, size):
    synthetic = importlib.import_module("synthetic")
    written = synthetic.write_rules(tmp_path / "rules", size)
    synthetic.write_record(tmp_path / "record.yaml", size)

    made, problems = load_rules(tmp_path / "rules", use_cache=False)
    assert problems == [] and made is not None
    assert len(made.rules) == written == {1: 90, 91: 120}[size]
    assert prove(made) == []
    plan = make_plan(made, read_record(tmp_path / "record.yaml", made), "2026-11-25")
    assert {"certain", "assumed", "possible", "quiet"} == set(plan.rule_states.values())
    assert len(plan.tasks) > 10 and any(gate.state == "shut" for gate in plan.gates)


def test_the_same_size_and_seed_always_give_the_same_rules_and_records(tmp_path, base):
    synthetic, records = importlib.import_module("synthetic"), importlib.import_module("records")
    for name in ("one", "two"):
        synthetic.write_rules(tmp_path / name / "rules", 60)
        synthetic.write_record(tmp_path / name / "record.yaml", 60)
        (tmp_path / name / "club").mkdir()
        records.write_records(tmp_path / name / "club", 14, base)
    one, two = (
        {str(p.relative_to(tmp_path / name)): p.read_bytes() for p in (tmp_path / name).rglob("*.yaml")}
        for name in ("one", "two")
    )

    assert one == two
    made = [text for name, text in one.items() if name.startswith("club")]
    assert len(made) == 14 == len(set(made))


def test_made_up_records_can_be_read_and_differ_from_their_samples_in_answers(tmp_path, base):
    records = importlib.import_module("records")
    records.write_records(tmp_path, 26, base)
    samples = [read_record(path, base) for path in records.sample_files()]
    made = [read_record(path, base) for path in sorted(tmp_path.iterdir())]

    assert all(record.answers != samples[place % len(samples)].answers for place, record in enumerate(made))
    assert any(answer.value == "dont_know" for record in made for answer in record.answers.values())


def holds(formula, table):
    """A formula judged plainly, as the other engines are asked to judge it."""
    translate = importlib.import_module("translate")
    if isinstance(formula, translate.Group):
        return (any if formula.any_ else all)(holds(part, table) for part in formula.parts)
    value = table[formula.name]
    if isinstance(formula, translate.OneOf):
        found = value in formula.words
    elif isinstance(formula, translate.AnyIn):
        found = bool(set(formula.words) & set(value))
    elif isinstance(formula, translate.Less):
        found = value < table[formula.than] or (formula.or_equal and value == table[formula.than])
    else:
        found = value
    return found is not formula.not_


def test_the_translated_rules_mean_what_the_rules_mean(base):
    engines, ours = importlib.import_module("bench_engines"), importlib.import_module("ours")
    translator = engines.Translator(base)
    seen = set()
    for record in engines.cases(base, 24):
        table = translator.table(record, "2026-11-25")
        for rule, truth in ours.rule_pass(base, record, "2026-11-25")().items():
            sure, never = translator.formulas[rule]
            assert (holds(sure, table), holds(never, table)) == (truth is True, truth is False), rule
            seen.add(truth)

    assert seen == {True, False, None}


def test_an_engine_that_is_not_installed_or_judges_otherwise_is_named(base, monkeypatch):
    bench = importlib.import_module("bench_engines")
    monkeypatch.setitem(bench.ENGINES, "pytest", lambda translator: lambda table: {})
    monkeypatch.setitem(bench.ENGINES, "no-such-engine", lambda translator: lambda table: {})
    rows = body(bench.report(base, bench.cases(base, 2), 1, 1, ["pytest", "no-such-engine"]))

    assert rows[0][0] == "pytest" and rows[0][2] == f"DIFFER in {2 * len(base.rules):,}"
    assert rows[1] == ["no-such-engine", "not installed"]


def test_an_engine_that_judges_alike_is_timed_beside_ours(base, monkeypatch):
    bench = importlib.import_module("bench_engines")
    cases = bench.cases(base, 1)
    judged = bench.rule_pass(base, cases[0], "2026-11-25")
    same = {rule: bench.STATE[truth] for rule, truth in judged().items()}
    monkeypatch.setitem(bench.ENGINES, "pytest", lambda translator: lambda table: dict(same))
    rows = body(bench.report(base, cases, 1, 1, ["pytest"]))

    assert [row[0] for row in rows] == ["ours", "pytest"] and rows[1][2] == f"{len(base.rules):,} equal"


def test_the_tables_of_sizes_can_be_printed():
    plan, check, club = (importlib.import_module(name) for name in ("bench_plan", "bench_check", "bench_club"))
    grown = body(plan.growth([90, 360], 1))
    assert [row[0] for row in grown] == [*plan.PARTS, plan.STEPS]
    assert 0.8 < float(grown[-1][3]) < 1.2, "four times the rules take four times the calls"
    assert [row[0] for row in body(check.report([90], 1, shipped_too=False))] == ["90 made up"]
    assert [row[:2] for row in body(club.report([2]))] == [["2", "2"]]


def test_the_start_of_ask_is_seen_on_a_terminal():
    pytest.importorskip("pty", reason="this system has no pseudo-terminals")
    rows = body(importlib.import_module("bench_start").report(1))

    assert len(rows) == 5 and rows[0][0] == "import questionary"


def test_a_table_says_plainly_whether_a_budget_was_kept():
    timing = importlib.import_module("timing")
    assert timing.within(0.59, 0.6) == "0.6 x: kept" and timing.within(0.61, 0.6) == "0.6 x: NOT KEPT"
    slow, fast = [timing.Taken(4, 2), timing.Taken(8, 2)], [timing.Taken(2, 1), timing.Taken(4, 1)]
    assert timing.ratio(slow, fast) == timing.Ratio(2.0, 2.0, 2.0)
    assert timing.table("Title", ["what", "s"], [["one", "1.0"]], ["Note."]).endswith("one   1.0\n\nNote.")


def test_a_command_that_fails_is_no_measurement():
    timing = importlib.import_module("timing")
    with pytest.raises(RuntimeError, match="ended with 3"):
        timing.run_process([sys.executable, "-c", "raise SystemExit(3)"], {})
