"""A conversation for every sample: the interview, answered as the sample's owner answered, gives the sample's answers."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from revive.commands.common import Held
from revive.model import DONT_KNOW, Record, RuleBase, Work
from revive.record import parse_record, read_record
from revive.record_edit import RecordText
from revive.recording import put_work
from revive.wizard.answering import Pen
from revive.wizard.screen import Option, Reply
from revive.wizard.sitting import sit_down

from .ready import TODAY
from .scripted import ScriptedScreen

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*/*.yaml"))


class Owner:
    """Answers each question as a record has it, and leaves open what it has not."""

    def __init__(self, base: RuleBase, sample: Record) -> None:
        self.by_words = {question.ask: question for question in base.questions.values()}
        self.sample, self.asked = sample, list[str]()
        self.screen = ScriptedScreen(self.reply)

    def reply(self, kind: str, options: Sequence[Option]) -> Reply:
        known = [option.value for option in options if not option.key]
        for wanted in ("on", "keep", "leave_both", "later"):
            if wanted in known:
                return Reply("value", wanted)
        if "print" in known:
            return Reply("value", "print")
        question = next(self.by_words[line] for line in reversed(self.screen.said) if line in self.by_words)
        self.asked.append(question.id)
        answer = self.sample.answers.get(question.id)
        if answer is None:
            return Reply("key", "l")
        if answer.value == DONT_KNOW:
            return Reply("key", "d")
        return Reply("value", f"{answer.value:g}" if isinstance(answer.value, float) else answer.value)


def hold_the_work_only(base: RuleBase, path: Path, sample: Record) -> Held:
    text = RecordText(b"")
    for name, work in sample.done.items():
        put_work(text, Record(), name, Work(work.on[:10], work.by, work.note, work.details))
    path.write_bytes(text.as_bytes())
    return Held(str(path), base, text.as_bytes(), parse_record(text.as_bytes(), str(path), base))


@pytest.mark.parametrize("sample", ["everything good", *SAMPLES], ids=lambda sample: Path(sample).stem)
def test_the_interview_gives_the_answers_of_the_sample(
    base: RuleBase, path: Path, crank_open: bytes, sample: Path | str
) -> None:
    wanted = read_record(sample, base) if isinstance(sample, Path) else parse_record(crank_open, "good", base)
    owner = Owner(base, wanted)
    sit_down(Pen(owner.screen, hold_the_work_only(base, path, wanted), TODAY, lambda: f"{TODAY}T10:00:00"))

    got = {name: answer.value for name, answer in read_record(path, base).answers.items()}
    assert got == {name: wanted.answers[name].value for name in owner.asked if name in wanted.answers}
    assert len(owner.asked) == len(set(owner.asked))
    firsts = {question.id for question in base.questions.values() if question.first}
    assert firsts & set(wanted.answers) <= set(got) | set(base.layouts[str(got["layout"])].settles)
