"""The whole interview: which question is next, back and forth, what to say between them. Saves after every answer.

Flow is replay: the next question is worked out afresh from the record each time. Nothing is kept but the trail of
questions that were on the screen, so that one can go back along it and forth again.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from revive import __version__
from revive.asking import Outcome, ask_one, in_words
from revive.commands.common import Held
from revive.engine.changes import Change, changes
from revive.engine.interview import odd_answers
from revive.engine.planner import make_plan
from revive.engine.study import study_case
from revive.model import Answer, Question
from revive.plan import Clash, Plan
from revive.record_edit import RecordText
from revive.recording import put_answer, take_answer
from revive.screen import Option, Screen

FIRST_AT_MOST = 12
CONFIRMED = "asked again and confirmed"


@dataclass
class Interview:
    """One sitting. day: ISO date of the plan. now: gives the moment of an answer. by: who answers.

    trail: questions that were on the screen, in order. at: the place on it. later: questions put off in this sitting.
    """

    screen: Screen
    held: Held
    day: str
    now: Callable[[], str]
    by: str = ""
    trail: list[str] = field(default_factory=list)
    at: int = 0
    later: set[str] = field(default_factory=set)
    cautioned: set[int] = field(default_factory=set)
    offered: bool = False
    stage: int = 0
    answered: int = 0

    def plan(self) -> Plan:
        """The plan as the record stands now."""
        return make_plan(self.held.base, self.held.record, self.day, __version__)

    def run(self) -> Plan:
        """Ask until nothing is left or the reader has enough; the plan as it then stands."""
        plan = self.plan()
        self._begin(plan)
        forth = True
        while True:
            name, new = self._here(plan, forth)
            if name is None:
                return plan
            question = self.held.base.questions[name]
            if new and not self._pause_before(question, plan):
                return plan
            outcome = self._ask(question, plan, new)
            plan = self._after(question, outcome, plan)
            forth = outcome.kind != "back"

    def _begin(self, plan: Plan) -> None:
        """On a record with answers, the trail holds them: back reaches every one."""
        order = sorted(self.held.base.questions.values(), key=lambda q: (0, q.first) if q.first else (q.stage, 0))
        self.trail = [q.id for q in order if q.id in self.held.record.answers]
        self.at = len(self.trail)
        self.offered = bool(self.trail) and not self._first_left(plan)

    def _here(self, plan: Plan, forth: bool) -> tuple[str | None, bool]:
        """The question to show, and whether it is new; questions that no longer apply are passed over."""
        while self.at < len(self.trail):
            name = self.trail[self.at]
            if name not in plan.skipped or name in self.held.record.answers:
                return name, False
            if not forth and self.at == 0:
                forth = True
            self.at += 1 if forth else -1
        return self._next(plan), True

    def _next(self, plan: Plan) -> str | None:
        return next((name for name in plan.to_ask if name not in self.later), None)

    def _first_left(self, plan: Plan) -> list[str]:
        return [n for n in plan.to_ask if self.held.base.questions[n].first and n not in self.later]

    def _pause_before(self, question: Question, plan: Plan) -> bool:
        """Offer the plan once the first questions are done and before each later stage; False to end here."""
        if question.first:
            return True
        if not self.offered:
            self.offered, self.stage = True, question.stage
            return self._offer(question, plan, "That is enough for a first plan.")
        if self.stage and question.stage != self.stage:
            self.stage = question.stage
            return self._offer(question, plan, "That stage is done.")
        self.stage = question.stage
        return True

    def _offer(self, question: Question, plan: Plan, said: str) -> bool:
        base = self.held.base
        stage = base.stages[question.stage]
        left = len([n for n in plan.to_ask if n not in self.later])
        self.screen.say()
        self.screen.say(f"{said} {plan.verdict.sentence}")
        self.screen.say(f"Still open: about {left} questions that can change the plan, most of them looks at the machine.")
        telling, worth = telling_look(plan)
        options = [Option("print", "print the plan and stop here; everything is saved")]
        options += [Option("on", f"go on with stage {stage.number}: {stage.title}")]
        if telling and telling != question.id:
            options += [Option("look", f"the look that tells most: {base.questions[telling].ask}{worth}")]
        while True:
            reply = self.screen.choose(options)
            if reply.kind == "value":
                if reply.value == "look":
                    self.trail.append(telling)
                return str(reply.value) != "print"
            if reply.kind == "back" and self.trail:
                self.at = len(self.trail) - 1
                return True
            self.screen.say("Printing ends the questions for now; the same command goes on from here another day.", 2)

    def _ask(self, question: Question, plan: Plan, new: bool) -> Outcome:
        stage = self.held.base.stages[question.stage]
        if question.stage not in self.cautioned and stage.caution:
            self.cautioned.add(question.stage)
            self.screen.say()
            self.screen.say(f"STAGE {stage.number}: {stage.title}")
            self.screen.say(f"CAUTION: {stage.caution}")
        given = self.held.record.answers.get(question.id)
        return ask_one(self.screen, self.held.base, question, given, self.day, self._head(question, plan, new))

    def _head(self, question: Question, plan: Plan, new: bool) -> str:
        """Where we are and about how many more; what is counted is what can still change the plan as it stands."""
        base = self.held.base
        stage = f"Stage {question.stage} of {len(base.stages)}"
        if not new:
            return f"{stage}, answered before. Right arrow or f goes forward, back to where you were."
        first = self._first_left(plan)
        if question.first and first:
            return f"{stage}. First questions: {len(first)} to go at most, then a first plan."
        here = [n for n in plan.to_ask if n not in self.later and base.questions[n].stage == question.stage]
        more = len(here) - 1
        return f"{stage}. About {more} more in this stage." if more > 0 else f"{stage}. The last one in this stage, as it stands."

    def _after(self, question: Question, outcome: Outcome, plan: Plan) -> Plan:
        """Save what was said, tell what it changed, and move along the trail."""
        name, given = question.id, self.held.record.answers.get(question.id)
        if outcome.kind == "back":
            if self.at == 0:
                self.screen.say("This is the first question.", 2)
            else:
                self.at -= 1
            return plan
        if outcome.kind == "forward":
            if self.at < len(self.trail):
                self.at += 1
            else:
                self.screen.say("Nothing has been asked after this one yet. Answer it, or take l: not looked yet.", 2)
            return plan
        if outcome.kind == "other":
            self._insert(str(outcome.value), name)
            return plan
        if outcome.kind == "later":
            self.later.add(name)
            self.screen.say("-> not looked yet, left open", 2)
            if given:
                plan = self._save(plan, lambda text: take_answer(text, self.held.record, name), True)
        else:
            if given is None or given.value != outcome.value:
                kept = self._put(question, outcome.value, plan)
                if kept is None:
                    return plan
                plan = kept
            else:
                self.screen.say(f"-> {in_words(question, given.value)}, as before", 2)
            self.later.discard(name)
        if self.at >= len(self.trail):
            self.trail.append(name)
        self.at += 1
        return plan

    def _insert(self, name: str, before: str) -> None:
        if name in self.trail:
            self.at = self.trail.index(name)
        else:
            self.trail.insert(self.at, name)

    def _put(self, question: Question, value: Any, plan: Plan) -> Plan | None:
        """Save an answer, asked again where it is unlikely; None where the reader would rather answer anew."""
        given = self.held.record.answers.get(question.id)
        answer = Answer(value, self.now(), self.by)
        sure = self._sure(question, answer)
        if sure is None:
            return None
        self.screen.say(f"-> {in_words(question, value)}", 2)

        def edit(text: RecordText) -> None:
            put_answer(text, self.held.record, question.id, answer)
            if sure:
                entry = {"value": list(value) if isinstance(value, tuple) else value, "on": answer.on, "by": answer.by}
                text.put("answers", question.id, {k: v for k, v in entry.items() if v != ""} | {"note": CONFIRMED})

        after = self._save(plan, edit, given is not None)
        self.answered += 1
        for clash in after.contradictions:
            if clash.id not in {old.id for old in plan.contradictions}:
                self._show_clash(clash)
        return after

    def _sure(self, question: Question, answer: Answer) -> bool | None:
        """False where nothing is odd, True where something is and was confirmed, None to answer again."""
        record = replace(self.held.record, answers={**self.held.record.answers, question.id: answer})
        odd = odd_answers(study_case(self.held.base, record, self.day), question.id)
        old = odd_answers(study_case(self.held.base, self.held.record, self.day), question.id)
        new = [oddity for oddity in odd if oddity not in old or oddity.question == question.id]
        for oddity in new:
            self.screen.say()
            self.screen.say(f"Please look again: {in_words(question, answer.value)} is unlikely here. {oddity.ask}")
            options = [Option("again", "answer it again"), Option("keep", "it is so, I have looked again")]
            reply = self.screen.choose(options)
            if reply.kind != "value" or reply.value != "keep":
                return None
        return bool(new)

    def _show_clash(self, clash: Clash) -> None:
        """Both ends of a contradiction; either can be changed at once."""
        base, answers = self.held.base, self.held.record.answers
        self.screen.say()
        self.screen.say(f"Two answers do not go together: {clash.text}")
        ends = [base.questions[name] for name in clash.questions if name in base.questions]
        options = [Option("", "leave both for now; the plan prints it")]
        for end in ends:
            if end.id in answers:
                self.screen.say(f"{end.ask}  {in_words(end, answers[end.id].value)}", 2)
                options.append(Option(end.id, f"change: {end.ask}"))
        if clash.trusted in base.questions:
            self.screen.say(f"Believed meanwhile: {base.questions[clash.trusted].ask}")
        reply = self.screen.choose(options)
        if reply.kind == "value" and reply.value:
            self.trail.insert(self.at, str(reply.value))
            self.at -= 1

    def _save(self, plan: Plan, edit: Callable[[RecordText], None], tell: bool) -> Plan:
        """Write the record; tell: say what it changed in the plan."""
        text = RecordText(self.held.data or b"")
        edit(text)
        self.held.write(text.as_bytes())
        after = self.plan()
        if tell:
            self._tell(changes(plan, after))
        return after

    def _tell(self, found: list[Change]) -> None:
        from revive.commands.changed import HEADS

        if not found:
            self.screen.say("Nothing in the plan changes.", 2)
        for change in found[:8]:
            self.screen.say(f"{HEADS[change.kind]}: {change.text}", 2)
        if len(found) > 8:
            self.screen.say(f"and {len(found) - 8} more changes; the plan shows them.", 2)


def telling_look(plan: Plan) -> tuple[str, str]:
    """The open question whose answer decides most, and what it is worth in words; empty where none is open.

    The one place where the choice is made: for now the next in asking order, without a worth.
    """
    return (plan.to_ask[0], "") if plan.to_ask else ("", "")
