"""The interview: which question is next, back and forth along the trail, what is said between. Saving is the pen's.

Flow is replay: the next question is worked out afresh from the record each time. Nothing is kept but the trail of
questions that were on the screen, so that one can go back along it and forth again without typing.
"""

from dataclasses import dataclass, field

from revive.model import Question
from revive.plan import Plan
from revive.text import hours_words, span
from revive.wizard.answering import Pen
from revive.wizard.asking import Outcome, ask_one, in_words
from revive.wizard.saying import FIRST_HEAD, say_stage
from revive.wizard.screen import Option


@dataclass
class Interview:
    """One sitting. trail: questions that were on the screen, in order. at: the place on it.

    later: questions put off in this sitting. cautioned: stages whose caution was shown.
    offered: whether the first plan was offered. stage: of the last new question after that.
    early: a question that was asked before the plan was made, and what became of it.
    """

    pen: Pen
    trail: list[str] = field(default_factory=list)
    at: int = 0
    later: set[str] = field(default_factory=set)
    cautioned: set[int] = field(default_factory=set)
    offered: bool = False
    stage: int = 0
    early: tuple[str, Outcome] | None = None

    def run(self, plan: Plan) -> Plan:
        """Ask until nothing is left or the reader has enough; the plan as it then stands."""
        self._lay_trail(plan)
        forth = True
        while True:
            name, new = self._here(plan, forth)
            if name is None:
                return plan
            question = self.pen.held.base.questions[name]
            if new and (turn := self._pause_before(question, plan)):
                if turn == "print":
                    return plan
                plan, forth = self.pen.plan(), turn != "back"
                continue
            outcome = self._ask(question, plan, new)
            plan = self._after(question, outcome, plan, new)
            forth = outcome.kind != "back"

    def revise(self, plan: Plan) -> Plan:
        """Let any answer be changed, as many as wanted; the plan as it then stands."""
        base, last = self.pen.held.base, ""
        while True:
            answers = self.pen.held.record.answers
            options = [
                Option(q.id, f"{q.ask} {in_words(q, answers[q.id].value)}")
                for q in _in_order(self.pen)
                if q.id in answers
            ]
            self.pen.screen.say()
            self.pen.screen.say("Which answer is to change?")
            reply = self.pen.screen.choose([*options, Option("", "none, go on", "n")], last)
            if reply.kind == "help":
                self.pen.screen.say("Take an answer to see its question again. What it changes in the plan is told.", 2)
                continue
            if reply.kind != "value":
                return plan
            last = str(reply.value)
            plan = self.answer_now(base.questions[last], plan)

    def answer_now(self, question: Question, plan: Plan) -> Plan:
        """Put one question outside the trail, and those that it leads to."""
        todo = [question.id]
        while todo:
            question = self.pen.held.base.questions[todo.pop()]
            outcome = self._ask(question, plan, new=False, head="Seen or changed by itself; b leaves it as it is.")
            if outcome.kind == "other":
                todo.append(str(outcome.value))
            elif outcome.kind == "later":
                plan = self.pen.take(question, plan)
            elif outcome.kind == "answer":
                kept = self.pen.put(question, outcome.value, plan)
                todo += [question.id] if kept is None else self._revisits()
                plan = kept or plan
        return plan

    def _lay_trail(self, plan: Plan) -> None:
        """On a record with answers the trail holds them: back reaches every one."""
        self.trail = [question.id for question in _in_order(self.pen) if question.id in self.pen.held.record.answers]
        self.at = len(self.trail)
        self.offered = bool(self.trail) and not self._first_left(plan)

    def _here(self, plan: Plan, forth: bool) -> tuple[str | None, bool]:
        """The question to show, and whether it is new; questions that no longer apply are passed over."""
        while self.at < len(self.trail):
            name = self.trail[self.at]
            if name not in plan.skipped:
                return name, False
            forth = forth or self.at == 0
            self.at += 1 if forth else -1
        return next((name for name in plan.to_ask if name not in self.later), None), True

    def _first_left(self, plan: Plan) -> list[str]:
        return [name for name in plan.to_ask if self.pen.held.base.questions[name].first and name not in self.later]

    def _pause_before(self, question: Question, plan: Plan) -> str:
        """Offer the plan once the first questions are done and before each later stage; empty to ask the question."""
        if question.first:
            return ""
        if not self.offered:
            self.offered, self.stage = True, question.stage
            return self._offer(question, plan, "That is enough for a first plan.")
        before, self.stage = self.stage, question.stage
        if before and question.stage != before:
            return self._offer(question, plan, "That stage is done.")
        return ""

    def _offer(self, question: Question, plan: Plan, said: str) -> str:
        """Print it, or go on? print, look (the trail has the look), changed or back; empty to ask the question."""
        base, screen = self.pen.held.base, self.pen.screen
        stage = base.stages[question.stage]
        left = len([name for name in plan.to_ask if name not in self.later])
        screen.say()
        screen.say(f"{said} {plan.verdict.sentence}")
        screen.say(f"About {left} more questions can still change the plan. Everything so far is saved.")
        telling, worth = telling_look(self.pen, plan)
        options = [
            Option("print", "print the plan and stop here"),
            Option("on", f"go on with stage {stage.number}: {stage.title}"),
        ]
        if telling and telling != question.id:
            options.append(Option("look", f"first the look that tells most: {base.questions[telling].ask}{worth}"))
        options.append(Option("change", "see or change an answer"))
        while True:
            reply = screen.choose(options)
            if reply.kind == "back" and self.trail:
                self.at = len(self.trail) - 1
                return "back"
            if reply.kind == "value" and reply.value == "look":
                self.trail.append(telling)
            if reply.kind == "value" and reply.value == "change":
                self.revise(plan)
                self.offered = False  # the same offer stands again, on the plan as it then is
            if reply.kind == "value":
                return "" if reply.value == "on" else str(reply.value)
            screen.say("After printing, the same command goes on from here, today or another day.", 2)

    def _ask(self, question: Question, plan: Plan, new: bool, head: str = "") -> Outcome:
        base, screen = self.pen.held.base, self.pen.screen
        early, self.early = self.early, None
        stage, said_before = base.stages[question.stage], question.stage in self.cautioned
        self.cautioned.add(question.stage)
        if early and early[0] == question.id:
            return early[1]
        if stage.caution and not said_before:
            say_stage(screen, stage)
        given = self.pen.held.record.answers.get(question.id)
        return ask_one(screen, base, question, given, self.pen.day, head or self._head(question, plan, new))

    def _head(self, question: Question, plan: Plan, new: bool) -> str:
        """Where we are and about how many more; what is counted is what can still change the plan as it stands."""
        base = self.pen.held.base
        stage = f"Stage {question.stage} of {len(base.stages)}"
        if not new:
            return f"{stage}. Seen before; right arrow or f goes forward."
        if question.id in self.pen.held.record.answers:
            return f"{stage}. Asked again, since work was done after the answer was given."
        first = self._first_left(plan)
        if question.first and first:
            return FIRST_HEAD.format(stage=question.stage, stages=len(base.stages), left=len(first))
        more = len([n for n in plan.to_ask if n not in self.later and base.questions[n].stage == question.stage]) - 1
        return f"{stage}. About {more} more in this stage." if more > 0 else f"{stage}. The last one in this stage."

    def _after(self, question: Question, outcome: Outcome, plan: Plan, new: bool) -> Plan:
        """Save what was said and move along the trail."""
        name, screen = question.id, self.pen.screen
        if outcome.kind == "back":
            if self.at == 0:
                screen.say("This is the first question.", 2)
            self.at = max(0, self.at - 1)
            return plan
        if outcome.kind == "forward":
            if self.at < len(self.trail):
                self.at += 1
            else:
                screen.say("Nothing was asked after this one yet. Answer it, or take l: not looked yet.", 2)
            return plan
        if outcome.kind == "other":
            self._go_to(str(outcome.value))
            return plan
        if outcome.kind == "later":
            self.later.add(name)
            screen.say("-> not looked yet, left open", 2)
            plan = self.pen.take(question, plan)
        else:
            kept = self.pen.put(question, outcome.value, plan, self.pen.now() if new else "")
            if kept is None:
                return plan
            plan = kept
            self.later.discard(name)
        if self.at >= len(self.trail):
            self.trail.append(name)
        self.at += 1
        for other in self._revisits():
            self._go_to(other)
        return plan

    def _go_to(self, name: str) -> None:
        """Make a question the next one on the screen; from there the trail leads forward again."""
        if name in self.trail:
            self.at = self.trail.index(name)
        else:
            self.trail.insert(self.at, name)

    def _revisits(self) -> list[str]:
        names, self.pen.revisit = self.pen.revisit, []
        return names


def telling_look(pen: Pen, plan: Plan) -> tuple[str, str]:
    """The open question that decides most for the least effort, and what it is worth in words; empty where none is open."""
    from revive.engine.worth import rank_looks

    for look in rank_looks(pen.held.base, pen.held.record, plan.made_on, pairs=False):
        if look.question in plan.to_ask and look.allowed_now:
            return look.question, f" ({span(look.minutes)}, decides {hours_words(look.hours_least, look.hours_most)})"
    return (plan.to_ask[0], "") if plan.to_ask else ("", "")


def _in_order(pen: Pen) -> list[Question]:
    """Every question in asking order."""
    questions = pen.held.base.questions.values()
    return sorted(questions, key=lambda question: (0, question.first) if question.first else (question.stage, 0))
