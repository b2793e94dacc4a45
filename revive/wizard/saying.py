"""What is said above a prompt: the stage and its caution, where we are, the question. Needs nothing of the engine."""

from revive.model import DONT_KNOW, Question, Record, Stage
from revive.text import inert
from revive.wizard.screen import Screen

FIRST_HEAD = "Stage {stage} of {stages}. Then a first plan: {left} to go at most."


def say_record(screen: Screen, record: Record) -> None:
    """How much is on record; nothing for an empty one."""
    if record.answers or record.done:
        unknown = sum(answer.value == DONT_KNOW for answer in record.answers.values())
        name = inert(record.machine.get("name", "")) or "This record"
        known = f"{len(record.answers)} answers" + (f", {unknown} of them don't know" if unknown else "")
        screen.say(f"{name}: {known}; {len(record.done)} pieces of work done.")


def say_stage(screen: Screen, stage: Stage) -> None:
    """The title of a stage and what to beware of in it."""
    screen.say()
    screen.say(f"STAGE {stage.number}: {stage.title}")
    screen.say(f"CAUTION: {stage.caution}")


def say_question(screen: Screen, question: Question, head: str) -> None:
    """Where we are, the question, and what to beware of in looking."""
    screen.say()
    screen.say(head)
    screen.say(question.ask)
    if question.caution:
        screen.say(f"CAUTION: {question.caution}", 2)
