"""Arrange one task of a plan: its whole card where it comes soon, title and cautions where it comes later.

Its cautions stand in both, in full. Refuses to say when a task comes; gathers which sources the whole cards name.
"""

from revive.engine.meant import planned_task
from revive.model import Question, RuleBase, Task
from revive.plan import Plan, PlanTask, Reason
from revive.render.blocks import Block, care, heading, line, listed, run_on
from revive.render.figures_page import says_by_task
from revive.render.wording import WHO, Names, counted, flat, lower_first, part_words, sentence, task_time, wait_words
from revive.text import span, spoken


class TaskWriter:
    """Writes the tasks of one plan as blocks. cited: ids of the sources named so far, in order."""

    def __init__(self, plan: Plan, base: RuleBase, names: Names) -> None:
        self.base, self.names, self.says = base, names, says_by_task(plan)
        self.cited: dict[str, None] = {}
        self.reckoned = {
            (part.item, part.unit, task): share
            for part in plan.parts
            for task, share in zip(part.tasks, part.shares, strict=True)
        }

    def whole(self, planned: PlanTask, every_reason: bool) -> list[Block]:
        """A task with everything that is needed at the machine. every_reason: all that call for it, not only the first."""
        task = planned_task(self.base, planned)
        made = [heading(4, f"{planned.order}. {flat(planned.title)}{_marked(planned)}")]
        words = " This may be done now." if planned.allowed_now and planned.state == "to_do" else ""
        words += " On record as done." if planned.state == "done" else ""
        made.append(line(self._who_and_time(planned, task) + words))
        made += self._why(planned, every_reason)
        return made + self._in_full(task)

    def brief(self, planned: PlanTask) -> list[Block]:
        """A task by its title, who and how long, why, when it is done, with its cautions and the look that comes before it."""
        task = planned_task(self.base, planned)
        times = f"{WHO[planned.who]}, {span(planned.minutes['likely'])}"
        times += f", then {wait_words(planned.wait_h)} of waiting" if planned.wait_h else ""
        times += ", may be done now" if planned.allowed_now else ""
        title = f"{planned.order}. {flat(planned.title)} ({times}){_marked(planned)}"
        made = [Block("heading", title, level=4, tight=True)]
        made += self._why(planned, False)[:1]
        if task.done_when:
            made.append(line(sentence(self.names.prose(task.done_when)), "Done when"))
        assumed = next((reason for reason in planned.reasons if reason.certainty == "assumed"), None)
        if planned.certainty == "assumed" and assumed:
            made.append(line(f"If so (assumed, not seen: {self._look_first(assumed, planned)})."))
        return made + care(self._texts(task.cautions), "", tight=True)

    def _in_full(self, task: Task) -> list[Block]:
        made = listed("Reckoned for this machine", self.says.get(task.id, []))
        made += listed("Tools", ["; ".join(self._texts(task.tools))] if task.tools else [])
        made += run_on("Parts", self.parts(task))
        made += care(self._texts(task.cautions))
        if task.method:
            made.append(Block("steps", label="How", items=self._texts(task.method)))
        if task.done_when:
            made.append(line(sentence(self.names.prose(task.done_when)), "Done when"))
        made += self._write_down(task)
        made += listed("What you find may change the plan", [self.names.pointed(text) for text in task.changes_plan_if])
        if task.waste:
            made.append(line(sentence("; ".join(self._texts(task.waste))), "Keep apart and hand in"))
        if task.sources:
            self.cited.update(dict.fromkeys(ref.id for ref in task.sources))
            made.append(line(sentence(self.names.cited(task.sources)), "Method rests on"))
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

    def _why(self, planned: PlanTask, every_reason: bool) -> list[Block]:
        ranked = sorted(planned.reasons, key=lambda reason: reason.rule not in self.base.rules)
        shown = [self._reason(reason, planned) for reason in (ranked if every_reason else ranked[:1])]
        made = [line(words, "Why" if place == 0 else "And") for place, words in enumerate(shown)]
        if len(ranked) > len(shown):
            rest = counted(len(ranked) - len(shown), "more reason")
            made.append(Block("command", f"revive why RECORD {planned.id}", rest))
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


def _marked(planned: PlanTask) -> str:
    marks = {
        "due again": planned.again,
        "optional": planned.optional,
        "if the look says so": planned.certainty == "assumed",
    }
    words = [word for word, holds in marks.items() if holds]
    return f" [{', '.join(words)}]" if words else ""
