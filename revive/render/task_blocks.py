"""Arrange one task of a plan: in full where it comes soon, short where it comes later. Its cautions stand in both."""

from dataclasses import replace

from revive.model import Question, RuleBase, Task
from revive.plan import Plan, PlanTask, Reason
from revive.render.blocks import Block, care, heading, line, listed
from revive.render.figures_page import says_by_task
from revive.render.wording import WHO, Names, flat, lower_first, part_words, sentence, task_time, wait_words
from revive.text import spoken

MOST_REASONS = 2


def meant_here(task: Task, left_out: tuple[str, ...]) -> Task:
    """The task without what is about parts that the machine does not have."""
    if not left_out:
        return task

    def kept(texts: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(text for text in texts if text not in left_out)

    return replace(
        task,
        tools=kept(task.tools),
        method=kept(task.method),
        cautions=kept(task.cautions),
        changes_plan_if=kept(task.changes_plan_if),
    )


class TaskWriter:
    """Writes the tasks of one plan as blocks."""

    def __init__(self, plan: Plan, base: RuleBase, names: Names) -> None:
        self.base, self.names, self.says = base, names, says_by_task(plan)
        self.reckoned = {
            (part.item, part.unit, part.tasks[0]): part.quantity for part in plan.parts if len(part.tasks) == 1
        }

    def blocks(self, planned: PlanTask, in_full: bool) -> list[Block]:
        """A task with heading, reasons, method and cautions; without tools, parts and method where it comes later."""
        task = meant_here(self.base.tasks[planned.id], planned.left_out)
        marks = [word for word, holds in _marks(planned) if holds]
        title = f"{planned.order}. {flat(planned.title)}" + (f" [{', '.join(marks)}]" if marks else "")
        made = [heading(4, title), line(self._who_and_time(planned, task))]
        if planned.allowed_now:
            made.append(line("This may be done now."))
        made += self._why(planned)
        if in_full:
            made += self._in_full(task)
        else:
            made += care(self._texts(task.cautions))
            made += [line(sentence(self.names.prose(task.done_when)), "Done when")] if task.done_when else []
        return made

    def _in_full(self, task: Task) -> list[Block]:
        made = listed("Reckoned for this machine", self.says.get(task.id, []))
        made += listed("Tools", ["; ".join(self._texts(task.tools))] if task.tools else [])
        made += listed("Parts", self.parts(task))
        made += care(self._texts(task.cautions))
        if task.method:
            made.append(Block("steps", label="How", items=self._texts(task.method)))
        if task.done_when:
            made.append(line(sentence(self.names.prose(task.done_when)), "Done when"))
        made += self._write_down(task)
        made += listed("What you find may change the plan", list(self._texts(task.changes_plan_if)))
        if task.waste:
            made.append(line(sentence("; ".join(self._texts(task.waste))), "Keep apart and hand in"))
        if task.sources:
            made.append(line(sentence(self.names.sources(task.sources)), "Method rests on"))
        return made

    def parts(self, task: Task) -> list[str]:
        """Parts of a task with their quantities."""
        return [
            part_words(part, self.reckoned.get((part.item, part.unit, task.id)))
            + (" (only if the look asks for it)" if part.if_found else "")
            for part in task.parts
        ]

    def _texts(self, texts: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(self.names.prose(text) for text in texts)

    def _who_and_time(self, planned: PlanTask, task: Task) -> str:
        words = f"{WHO[planned.who].capitalize()}. Hands-on {task_time(planned)}"
        if planned.wait_h:
            words += f", then {wait_words(planned.wait_h)} of waiting"
            words += f": {self.names.prose(task.wait_for)}" if task.wait_for else ""
        return sentence(words)

    def _why(self, planned: PlanTask) -> list[Block]:
        ranked = sorted(planned.reasons, key=lambda reason: reason.rule not in self.base.rules)
        shown = [self._reason(reason, planned) for reason in ranked[:MOST_REASONS]]
        rest = len(ranked) - len(shown)
        made = [line(words, "Why" if place == 0 else "And") for place, words in enumerate(shown)]
        if rest:
            made.append(
                Block(
                    "command",
                    f"revive why RECORD {planned.id}",
                    f"{rest} more reasons" if rest > 1 else "One more reason",
                )
            )
        return made

    def _reason(self, reason: Reason, planned: PlanTask) -> str:
        words = sentence(self.names.prose(reason.finding))
        if reason.rule in self.base.gates:
            words = (
                f'The gate "{lower_first(flat(self.base.gates[reason.rule].title))}" asks for it: {lower_first(words)}'
            )
        rule = self.base.rules.get(reason.rule)
        if rule and rule.why:
            words += " " + sentence(self.names.prose(rule.why))
        if reason.certainty == "assumed":
            words = f"If so (assumed, not seen: {self._look_first(reason, planned)}). {words}"
        return words

    def _look_first(self, reason: Reason, planned: PlanTask) -> str:
        asked = [because.question for because in reason.because if because.assumed]
        looks = [self.names.settled(task) for task in planned.decide_by if self._settles(task, asked)]
        looks = looks or [self.names.settled(task) for task in planned.decide_by]
        if looks:
            return f"look first, {' or '.join(looks[:2])}"
        return f"look first. {self.names.question(asked[0])}" if asked else "look first"

    def _settles(self, task: str, asked: list[str]) -> bool:
        return any(task in self.base.questions[name].settled_by for name in asked if name in self.base.questions)

    def _write_down(self, task: Task) -> list[Block]:
        made = [Block("command", f"revive done RECORD {task.id}", "Put on record when it is done")]
        hints = [self.note_hint(self.base.questions[name]) for name in task.records if name in self.base.questions]
        made += listed("Write down what you found, with: revive note RECORD question=value", hints)
        details = [
            f"{spoken(name)} ({'number' if kind == 'number' else 'in words'})" for name, kind in task.details.items()
        ]
        if details:
            made.append(line(sentence(", ".join(details)), "Write into the log as well"))
        return made

    def note_hint(self, question: Question) -> str:
        """How an answer is typed, with what it asks for and what may stand there."""
        if question.kind == "number":
            unit = f" {question.unit}" if question.unit else ""
            wanted = f"a number from {spoken(question.low)} to {spoken(question.high)}{unit}"
        elif question.kind == "yes_no":
            wanted = "yes or no"
        else:
            wanted = ("one or more, with commas: " if question.kind == "many" else "one of: ") + ", ".join(
                question.choices
            )
        return f"{question.id}=... {flat(question.ask)} ({wanted})"


def _marks(planned: PlanTask) -> tuple[tuple[str, bool], ...]:
    return (
        ("due again", planned.again),
        ("optional", planned.optional),
        ("if the look says so", planned.certainty == "assumed"),
    )
