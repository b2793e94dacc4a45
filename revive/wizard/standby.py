"""Stand by while the oilways are primed: bursts and rests counted, oil asked after, every burst logged. Turns nothing.

A burst is written down as it begins, and again with what was seen: a kill loses at most the open question.
"""

from dataclasses import dataclass, field, replace
from typing import Any

from revive.model import Work
from revive.plan import Plan
from revive.record_edit import RecordText
from revive.recording import put_reading, put_work
from revive.wizard.answering import Pen
from revive.wizard.cards import fill_card
from revive.wizard.clock import Clock
from revive.wizard.priming import READING, TASK, Burst, Setup, advice, bursts_since_mend, pumped, result_of
from revive.wizard.screen import Option, Reply

HOW = {"runs": "it runs without a break", "spits": "it spits, or comes broken"}


@dataclass
class Standby:
    """One session at the machine. bursts: since the last mend, earlier days too. rpm: as counted, None before.

    rested_at: when the rest is over. before: the record as it was before the last burst.
    """

    pen: Pen
    clock: Clock
    setup: Setup
    bursts: list[Burst] = field(default_factory=list)
    rpm: float | None = None
    rested_at: float = 0.0
    before: bytes = b""

    def run(self) -> Plan:
        """Burst, rest and look until oil runs everywhere, the budget is spent or the reader stops."""
        self.bursts = bursts_since_mend(self.pen.held.base, self.pen.held.record)
        self._say_what_to_watch()
        if not self._ready():
            return self.pen.plan()
        here = 0
        while self._left_s() > 0:
            if not self._next_burst(here):
                break
            self._burst()
            here += 1
            self._look()
            self._comment()
            if self._proved():
                break
        return self._conclude(here)

    def _left_s(self) -> float:
        return self.setup.budget_s - sum(burst.seconds for burst in self.bursts)

    def _say_what_to_watch(self) -> None:
        say, setup = self.pen.screen.say, self.setup
        say(f"Oil must be seen to run at {setup.needed or 'every'} points before this engine may be fired:")
        for point in setup.points:
            per = point.get("per", "engine")
            say(f"- {point['see']}{'' if per == 'engine' else f', one for each {per}'}. {point.get('how', '')}", 2)
        used = self.setup.budget_s - self._left_s()
        say(
            f"Cranking since the last mend: {used:g} s of {setup.budget_s:g} s. A burst is {self._burst_words()}, "
            f"then {setup.rest_s:g} s of rest."
        )

    def _burst_words(self) -> str:
        return f"{self.setup.kicks} kicks" if self.setup.kicks else f"{self.setup.burst_s:g} s"

    def _ready(self) -> bool:
        screen = self.pen.screen
        screen.say()
        for caution in self.setup.task.cautions:
            screen.say(f"CAUTION: {caution}")
        reply = screen.choose(
            [Option("yes", "all of this is so, and every point is wiped dry"), Option("no", "not yet, stop here")]
        )
        while reply.kind == "help":
            for step in self.setup.task.method:
                screen.say(f"- {step}")
            reply = screen.choose([Option("yes", "ready"), Option("no", "not yet, stop here")])
        return bool(reply.kind == "value" and reply.value == "yes")

    def _next_burst(self, here: int) -> bool:
        screen = self.pen.screen
        if here:
            self._rest()
        if self._left_s() <= 0:
            return False
        screen.say()
        if len(self.bursts) and len(self.bursts) % 3 == 0:
            screen.say("Feel the starter motor: too hot to hold means wait until it is hand-warm.")
        start = (
            "go, the countdown starts with your key"
            if not self.setup.kicks
            else "go, and press a key when they are done"
        )
        while True:
            screen.say(
                f"Burst {len(self.bursts) + 1}: {self._burst_words()}. {self._left_s():g} s of the budget are left."
            )
            reply = screen.choose([Option("go", start), Option("stop", "stop here")])
            if reply.kind == "value":
                return str(reply.value) == "go"
            for step in self.setup.task.method if reply.kind == "help" else ():
                screen.say(f"- {step}")

    def _burst(self) -> None:
        """Count one burst down. It is logged in full as it begins, so that a kill can only count too much."""
        start, allowed = self.clock.seconds(), min(self.setup.burst_s, self._left_s())
        if self.setup.kicks:
            self._log(Burst(self.clock.moment(), self._kicked_s()))
            return
        self._log(Burst(self.clock.moment(), allowed))
        try:
            for left in range(int(allowed), 0, -1):
                self.pen.screen.count(str(left))
                self.clock.wait(max(0.0, start + allowed - left + 1 - self.clock.seconds()))
            self.pen.screen.say("STOP")
        except KeyboardInterrupt:
            spent = round(min(allowed, max(1.0, self.clock.seconds() - start)))
            self._write(replace(self.bursts[-1], seconds=spent))
            self.pen.screen.say(f"Broken off; {spent} s are logged.")
            raise
        self.rested_at = self.clock.seconds() + self.setup.rest_s
        self.pen.screen.forget_keys()

    def _kicked_s(self) -> float:
        """Kicks given, as seconds of cranking."""
        each = self.setup.burst_s / self.setup.kicks
        while True:
            reply = self.pen.screen.line(f"How many kicks were given? Enter for {self.setup.kicks}")
            typed = str(reply.value or "") if reply.kind == "value" else ""
            if not typed:
                return self.setup.burst_s
            if typed.isdigit() and 0 < int(typed) <= 2 * self.setup.kicks:
                return round(int(typed) * each, 1)
            self.pen.screen.say(f"'{typed}' is not a number of kicks from 1 to {2 * self.setup.kicks}.", 2)

    def _log(self, burst: Burst) -> None:
        self.bursts.append(burst)
        self.rested_at = self.clock.seconds() + self.setup.rest_s
        self.before = self.pen.held.data or b""
        self._write(burst)

    def _write(self, burst: Burst) -> None:
        """Write the last burst, in place of what was written of it before."""
        self.bursts[-1] = burst
        text = RecordText(self.before)
        entry: dict[str, Any] = {"what": READING, "on": burst.on, "seconds": burst.seconds}
        if burst.points_seen is not None:
            entry |= {"points_seen": burst.points_seen, "how": burst.how}
        put_reading(text, entry)
        self.pen.held.write(text.as_bytes())

    def _look(self) -> None:
        """Ask how many points show oil and how; correct the seconds, take the turning speed."""
        screen, most = self.pen.screen, self.setup.needed or 12
        letters = [
            Option("less", "it was cranked for less than that", "c"),
            Option("speed", "valve openings were counted in it", "v"),
        ]
        while True:
            screen.say(f"At how many of the {most} points does oil show now? Oil put there by hand does not count.")
            reply = self._count_points(most, [] if self.setup.kicks else letters)
            if reply.kind == "value" and reply.value.isdigit() and int(reply.value) <= most:
                break
            if reply.kind == "value":
                screen.say(f"'{reply.value}' is not a number from 0 to {most}.", 2)
            elif reply.kind == "key":
                self._correct(str(reply.value))
            else:
                for point in self.setup.points:
                    screen.say(f"- {point['see']}: {point.get('how', '')}", 2)
        points, how = int(reply.value), "dry"
        if points:
            screen.say("How does it come?")
            reply = screen.choose([Option(value, text) for value, text in HOW.items()])
            while reply.kind != "value":
                screen.say("It runs when it leaves the point without a break. Some run, others spit: take spits.", 2)
                reply = screen.choose([Option(value, text) for value, text in HOW.items()])
            how = str(reply.value)
        self._write(replace(self.bursts[-1], points_seen=points, how=how))

    def _count_points(self, most: int, letters: list[Option]) -> Reply:
        """The count as text: by one key where one digit will do."""
        if most > 9:
            return self.pen.screen.line(f"Number of points, 0 to {most}", letters)
        counts = [Option(str(count), "none, all dry" if not count else "", str(count)) for count in range(most + 1)]
        reply = self.pen.screen.choose([*counts, *letters])
        return Reply("value", reply.value) if reply.kind == "key" and str(reply.value).isdigit() else reply

    def _correct(self, letter: str) -> None:
        screen, last = self.pen.screen, self.bursts[-1]
        reply = screen.line(
            "Seconds it was cranked" if letter == "c" else "Openings of one exhaust valve in this burst"
        )
        typed = str(reply.value or "") if reply.kind == "value" else ""
        if not typed.isdigit() or not 0 < int(typed) <= (self.setup.burst_s if letter == "c" else 200):
            screen.say("Nothing is changed: a whole number was expected.", 2)
        elif letter == "c":
            self._write(replace(last, seconds=float(typed)))
        else:
            self.rpm = int(typed) * 2 * 60 / last.seconds
            slow = " That is slow: charge the battery." if self.rpm < 200 else ""
            screen.say(
                f"The crank turns at about {self.rpm:.0f} rpm; 200 or more is good on a starter (from memory).{slow}", 2
            )

    def _comment(self) -> None:
        """Where it stands against the pump and the budget, and what the trade says now."""
        say, total = self.pen.screen.say, self.setup.budget_s - self._left_s()
        last, moved = self.bursts[-1], pumped(self.setup, total, self.rpm)
        say()
        say(
            f"{total:g} s cranked of {self.setup.budget_s:g} s. "
            f"{last.points_seen} of {self.setup.needed or '?'} points: {last.how}."
        )
        if moved and self.setup.dry_ml:
            say(
                f"By now the pump should have moved {moved[0]:.0f} to {moved[1]:.0f} ml; about {self.setup.dry_ml:g} ml "
                "were dry, filter and gallery filled by hand first (from memory)."
            )
        for text in advice(self.setup, self.bursts):
            say(text)

    def _rest(self) -> None:
        left = self.rested_at - self.clock.seconds()
        if left <= 0:
            return
        self.pen.screen.say("Rest, hands off the button. Seconds left:")
        while (left := self.rested_at - self.clock.seconds()) > 0.05:
            self.pen.screen.count(f"{left:.0f}")
            self.clock.wait(left % 10 or min(10.0, left))
        self.pen.screen.say("ready")
        self.pen.screen.forget_keys()

    def _proved(self) -> bool:
        """Every point ran in this burst and in the one before, which confirms it."""
        if result_of(self.setup, self.bursts) != "all_streams":
            return False
        if len(self.bursts) > 1 and result_of(self.setup, self.bursts[:-1]) == "all_streams":
            return True
        if self._left_s() > 0:
            self.pen.screen.say("Every point runs. One last burst confirms it.")
        return False

    def _conclude(self, here: int) -> Plan:
        pen, base, say = self.pen, self.pen.held.base, self.pen.screen.say
        plan, result = pen.plan(), result_of(self.setup, self.bursts)
        say()
        if self._left_s() <= 0 and result != "all_streams":
            say("STOP: the budget is spent. Only a named cause, found and mended, opens a new one. To check:")
            for task in _checks(base, result):
                say(f"- {base.tasks[task].title}", 2)
        if not result:
            say("Nothing was looked at, so nothing is put on record but the bursts." if here else "No burst was given.")
            return plan
        total = self.setup.budget_s - self._left_s()
        question = base.questions["prime_result"]
        say(f"To be put on record: {question.ask} {question.choices[result]}; {total:g} s of cranking.")
        options = [
            Option("yes", "put it on record"),
            Option("no", "leave it; the bursts are logged, go on another time"),
        ]
        unfinished = result != "all_streams" and self._left_s() > 0
        reply = pen.screen.choose(options[::-1] if unfinished else options)
        if reply.kind != "value" or reply.value != "yes":
            return plan
        if result == "all_streams":
            work = Work(self.clock.moment(), pen.by)
            plan = pen.write(lambda text: put_work(text, pen.held.record, TASK, work), plan, tell=False)
        before = plan
        for name, value in (("prime_result", result), ("prime_crank_s", total)):
            plan = pen.put(base.questions[name], value, plan, self.clock.moment()) or plan
        if result == "all_streams":
            plan = fill_card(pen, TASK, plan)
        from revive.engine.changes import changes

        pen.tell(changes(before, plan))
        return plan


def _checks(base: Any, result: str) -> list[str]:
    """Work that the rules on this result call for."""
    from revive.engine.conditions import names_in

    found: dict[str, None] = {}
    for rule in base.rules.values():
        if rule.stop and "prime_result" in names_in(rule.when) and result in str(rule.when):
            found.update(dict.fromkeys(task for task in rule.adds if task != TASK))
    return list(found)
