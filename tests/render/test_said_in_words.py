"""What `note`, `done`, `whatif`, `why` and `plan --card` say: each thing once, in words, nothing that cannot be so."""

import re
import shutil
from pathlib import Path

import pytest

from revive.cli import main
from revive.render.wording import amount

SAMPLE = Path(__file__).parents[2] / "samples" / "flat-twin" / "2-first-day.yaml"
DAY = "2026-10-11"


@pytest.fixture
def said(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    record = tmp_path / "twin.yaml"
    shutil.copy(SAMPLE, record)

    def run(command: str, *rest: str) -> str:
        assert main([command, str(record), *rest, "--today", DAY]) == 0
        return capsys.readouterr().out

    return run


def test_what_changed_is_said_once(said):
    text = said("note", "oil_look=milky", "--on", f"{DAY}T09:00") + said("done", "rocker_covers_off")

    assert "Due again: Look into every bore with the crank still\n" in text
    assert "Done: Lift rocker or cam covers and read what lies there\n" in text
    assert text.count("There is water in the oil") == 1
    assert "Now also holds shut: cranking and priming (crank): There is water" in text


@pytest.mark.parametrize("name", ["crank", "settled-dirt", "oil-milky", "oil_warm_flush", "oil_drain", "oil_look"])
def test_reasons_are_given_in_words_with_ids_only_in_brackets(said, name: str):
    bare = re.sub(r"\([^()]*\)|revive \w+ RECORD \S+|written in .*", "", said("why", name))

    assert not re.search(r"\b[a-z]+_[a-z_]+\b|dont_know", bare)


def test_the_least_that_would_open_a_gate_never_offers_an_answer_at_will(said):
    steps = [line for line in said("why", "crank").split("The least that would open it")[1].splitlines() if "=" in line]

    assert len(steps) > 10
    assert all(
        re.search(r"look, and if you find: |somebody knows it, or it is proved: |; only if ", line) for line in steps
    )
    started = next(line for line in steps if "(start_tried=none)" in line)
    assert "if somebody knows it, or it is proved: Has anyone tried to start" in started


@pytest.mark.parametrize(
    ("quantity", "unit", "words"),
    [
        (1, "years", "1 year"),
        (14, "years", "14 years"),
        (1, "set", "1 set"),
        (2, "set", "2 sets"),
        (1986, "year", "1986"),
        (0.5, "l", "0.5 l"),
        (1, "kg", "1 kg"),
        (1, "days", "1 day"),
    ],
)
def test_units_agree_with_their_number(quantity: float, unit: str, words: str):
    assert amount(quantity, unit) == words


def test_no_plan_counts_one_of_many(said):
    assert not re.search(r"\b1 (?:years|days|sets|points|tasks|gates|things|reasons|parts)\b", said("plan", "--full"))


def test_a_card_is_found_by_id_and_by_number(said, capsys: pytest.CaptureFixture[str]):
    by_id = said("plan", "--card", "hand_turn")
    number = re.search(r"^ *(\d+) Turn the crank by hand", by_id, re.M)

    assert number and said("plan", "--card", number[1]) == by_id
    assert main(["plan", str(SAMPLE), "--card", "hand_trun", "--today", DAY]) == 1
    assert "Did you mean 'hand_turn'?" in capsys.readouterr().err
