"""What is said above a prompt: the stage and its caution, where we are, the question. Needs nothing of the engine."""

from revive.model import Question, Stage
from revive.wizard.screen import Screen

FIRST_HEAD = "Stage {stage} of {stages}. Then a first plan: {left} to go at most."


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
