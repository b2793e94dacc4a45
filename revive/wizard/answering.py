"""Put what was answered on a screen into the record, and say what it changes. Chooses no questions.

An unlikely answer is asked again with the reason; a contradiction is shown at once with both ends.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from revive import __version__
from revive.commands.common import Held
from revive.engine.calls import Caller
from revive.engine.changes import Change, changes
from revive.engine.interview import odd_answers
from revive.engine.planner import write_plan
from revive.engine.study import Study, study_case
from revive.model import Answer, Question, Record
from revive.plan import Clash, Plan
from revive.record_edit import RecordText
from revive.recording import put_answer, take_answer
from revive.wizard.asking import in_words
from revive.wizard.screen import Option, Screen

CONFIRMED = "asked again and confirmed"
TOLD_AT_MOST = 6


@dataclass
class Pen:
    """A record under the pen. day: ISO date of the plan. now: gives the moment of an answer. by: who answers.

    revisit: questions that the reader wants to answer again at once, because two answers clash.
    studied: the record that was studied last, and the study of it.
    """

    screen: Screen
    held: Held
    day: str
    now: Callable[[], str]
    by: str = ""
    revisit: list[str] = field(default_factory=list)
    studied: tuple[Record, Study] | None = None

    def plan(self) -> Plan:
        """The plan as the record stands now."""
        return write_plan(Caller(self.study()), __version__)

    def study(self, record: Record | None = None) -> Study:
        """The record in all its readings; another record where one is given. The last one is kept."""
        record = record or self.held.record
        if self.studied is None or self.studied[0] is not record:
            self.studied = record, study_case(self.held.base, record, self.day)
        return self.studied[1]

    def put(self, question: Question, value: Any, plan: Plan, on: str = "") -> Plan | None:
        """Save an answer; the new plan, or None where the reader would rather answer anew. plan: as it was before."""
        given = self.held.record.answers.get(question.id)
        if given is not None and given.value == value and not on:
            self.screen.say(f"-> {in_words(question, value)}, as before", 2)
            return plan
        answer = Answer(value, on or self.now(), self.by)
        sure = self._sure(question, answer)
        if sure is None:
            return None

        def edit(text: RecordText) -> None:
            put_answer(text, self.held.record, question.id, answer)
            if sure:
                plain = list(value) if isinstance(value, tuple) else value
                entry = {"value": plain, "on": answer.on, "by": answer.by, "note": CONFIRMED}
                text.put("answers", question.id, {key: said for key, said in entry.items() if said != ""})

        after = self.write(edit, plan, tell=False)
        self.screen.say(f"-> {in_words(question, value)}", 2)
        if given is not None:
            self.tell(changes(plan, after))
        known = {clash.id for clash in plan.contradictions}
        for clash in after.contradictions:
            if clash.id not in known:
                self._show_clash(clash)
        return after

    def take(self, question: Question, plan: Plan) -> Plan:
        """Take an answer out again; it is kept among the earlier ones."""
        if question.id not in self.held.record.answers:
            return plan
        return self.write(lambda text: take_answer(text, self.held.record, question.id), plan, tell=True)

    def write(self, edit: Callable[[RecordText], None], plan: Plan, tell: bool) -> Plan:
        """Change the record and save it; the new plan. tell: say what it changed."""
        text = RecordText(self.held.data or b"")
        edit(text)
        self.held.write(text.as_bytes())
        after = self.plan()
        if tell:
            self.tell(changes(plan, after))
        return after

    def tell(self, found: list[Change]) -> None:
        """What changed in the plan, the gravest first."""
        from revive.commands.changed import said

        if not found:
            self.screen.say("Nothing in the plan changes.", 2)
        for change in found[:TOLD_AT_MOST]:
            self.screen.say(said(change), 2)
        if len(found) > TOLD_AT_MOST:
            self.screen.say(f"and {len(found) - TOLD_AT_MOST} more; the plan shows them.", 2)

    def _sure(self, question: Question, answer: Answer) -> bool | None:
        """False where nothing is odd, True where something is and was confirmed, None to answer again."""
        record = replace(self.held.record, answers={**self.held.record.answers, question.id: answer})
        odd = odd_answers(self.study(record), question.id)
        known = odd_answers(self.study(), question.id) if odd else ()
        new = [oddity for oddity in odd if oddity not in known or oddity.question == question.id]
        for oddity in new:
            self.screen.say()
            self.screen.say(f"Please look again: {in_words(question, answer.value)} is unlikely here. {oddity.ask}")
            reply = self.screen.choose(
                [Option("again", "answer it again"), Option("keep", "it is so, I have looked again")]
            )
            if reply.kind != "value" or reply.value != "keep":
                return None
        return bool(new)

    def _show_clash(self, clash: Clash) -> None:
        """Both ends of a contradiction; either can be answered again at once."""
        base, answers = self.held.base, self.held.record.answers
        self.screen.say()
        self.screen.say(f"Two answers do not go together. {clash.text}")
        ends = [base.questions[name] for name in clash.questions if name in answers and name in base.questions]
        options = [Option("leave_both", "leave both for now; the plan prints it")]
        for end in ends:
            self.screen.say(f"{end.ask}  {in_words(end, answers[end.id].value)}", 2)
            options.append(Option(end.id, f"change: {end.ask}"))
        because = base.contradictions[clash.id].trust_text
        if clash.trusted in base.questions:
            self.screen.say(f"Believed meanwhile: {base.questions[clash.trusted].ask} ({because})", 2)
        elif because:
            self.screen.say(f"What counts: {because}", 2)
        reply = self.screen.choose(options)
        if reply.kind == "value" and reply.value != "leave_both":
            self.revisit.append(str(reply.value))
