"""Arrange a sale description with its evidence sheet and the seller's notes, from judged claims. Decides nothing.

It prints a phrase as proved only where it was judged so, each with the number of its evidence; every disclosure that is
true on record; and what was not shown or not looked at. It refuses warranty words, and full numbers in what is published.
"""

import re
from collections.abc import Iterator, Sequence

from revive.engine.compiled import compile_base
from revive.engine.sale_study import Ground, JudgedClaim, JudgedDisclosure, SaleStudy, is_old
from revive.engine.summary import limits_in
from revive.model import DONT_KNOW, GATES, Answer, Condition, Question, Record, RuleBase
from revive.plan import Plan
from revive.render.blocks import GAP, Block, Page, care, heading, line, listed
from revive.render.sale_texts import (
    BORES_OILED,
    CAUTIONS,
    HAND_OVER,
    HAZARDS,
    LAW_SOURCES,
    NO_TRIAL,
    OPENING,
    PARTS_OF_IT,
    PHOTO_RULE,
    PHOTOGRAPHS,
    SIGNATURES,
    UNSURE,
    WHY_NOT,
)
from revive.render.sale_words import SINCE, SaleWords
from revive.render.wording import amount, day_words, flat, lower_first, sentence

ROAD = "not-for-the-road"
LISTS = ("not-looked-at", "work-done-and-not-done")
PUBLIC_KEYS = ("make", "model", "year", "colour", "color")
STOOD = ("years_stored", "storage_place", "climate", "layup_done", "last_run_state", "turned_in_storage", "start_tried")
IS = ("starter_kind", "cooling", "fuel_system", "final_drive", "front_brake", "rear_brake", "parts_missing")
RAN = ("start_result", "run_noise", "run_smoke", "run_leaks")
OILED = ("bore_oil", "preserve_again", "crankcase_oil_2t")
TOOL_KEYS = ("tool", "gauge", "meter", "tester")


def sale_pages(base: RuleBase, record: Record, plan: Plan, study: SaleStudy, number: str) -> tuple[Page, ...]:
    """The description, the evidence sheet and the seller's notes. number: of the plan, for cards and papers."""
    return _Sheet(base, record, plan, study, number).pages()


class _Sheet:
    def __init__(self, base: RuleBase, record: Record, plan: Plan, study: SaleStudy, number: str) -> None:
        self.base, self.record, self.plan, self.study, self.number = base, record, plan, study, flat(number)
        self.words = SaleWords(base, record, plan, study)
        self.evidence: list[tuple[str, tuple[Ground, ...]]] = []
        self.proved = [claim for claim in study.claims if claim.proved]
        self.unproved = [claim for claim in study.claims if not claim.proved]
        self.open_gates = {gate.id for gate in plan.gates if gate.state == "open"}

    def pages(self) -> tuple[Page, ...]:
        published = Page("sale", tuple(self._published()))
        return published, Page("evidence", tuple(self._evidence())), Page("seller", tuple(self._seller()))

    # What is published

    def _published(self) -> Iterator[Block]:
        name = flat(self.record.machine.get("name", "")) or "A motorcycle"
        yield heading(1, f"{name}: sale description of {day_words(self.plan.made_on)}")
        yield line(PARTS_OF_IT)
        yield GAP
        yield heading(2, "Description")
        yield line(f"{sentence(name)} {self._what()}")
        yield line(f"{self._ask('plan_goal')} Plan {self.number}.", "Goal of the plan")
        road = [told for told in self.study.disclosures if told.id == ROAD and told.known]
        box = [self._told(told) for told in road]
        box += [
            f"{sentence(flat(held.stop.title))} {sentence(self.words.names.prose(held.stop.text))}"
            for held in self.study.stops
            if not held.stop.shuts_words_only
        ]
        yield from care(box, "Read this first")
        must = [told for told in self.study.disclosures if told.known and told.id not in (ROAD, *LISTS)]
        yield from listed("What must be told", [self._told(told) for told in must])
        yield from listed("What was seen, done and measured", [self._claim(claim) for claim in self.proved])
        if not self.proved:
            yield line("Nothing so far that the record proves.", "What was seen, done and measured")
        yield from listed("As told, not checked", self._answers(STOOD))
        yield from listed("What it is", [*self._answers(IS), *self._numbers()])
        yield from listed("How it ran, or why it was not run", [self._how_it_ran()])
        not_shown = [
            self.words.fill(claim.claim.unproved, lists=False) for claim in self.unproved if claim.why != "never"
        ]
        told_more = [
            one for one in dict.fromkeys(not_shown) if not any(o != one and o.startswith(one) for o in not_shown)
        ]
        yield from listed("Not shown", told_more)
        unsure = [
            UNSURE.get(told.id, flat(told.id).replace("-", " ")) for told in self.study.disclosures if not told.known
        ]
        if unsure:
            yield line(sentence("; ".join(unsure)), "Not known either way, because nobody looked")
        for told in self.study.disclosures:
            if told.known and told.id in LISTS:
                for words in re.split(r"(?<=\.) (?=[A-Z])", self.words.fill(told.text)):
                    label, _, rest = words.partition(": ")
                    yield line(rest, label) if rest else line(words)
        yield from care(list(self._hazards()), "For buyer and carrier")
        yield from listed("How to collect", list(self._collect()))
        yield line(OPENING)

    def _what(self) -> str:
        layout = self.base.layouts.get(str(self.study.values["layout"]))
        known = [flat(layout.title)] if layout else []
        told = {
            name: self.words.value(name)
            for name in ("year_made", "displacement_cc", "cylinders")
            if name in self.study.answers and self.study.answers[name].value != DONT_KNOW
        }
        known += [f"made {text}" if name == "year_made" else text for name, text in told.items()]
        known += [f"{key} {flat(text)}" for key, text in self.record.machine.items() if key in PUBLIC_KEYS]
        return sentence("; ".join(known))

    def _ask(self, name: str) -> str:
        return sentence(self.words.value(name))

    def _claim(self, claim: JudgedClaim) -> str:
        words = self.words.fill(claim.claim.proved, claim.grounds)
        hearsay = self.words.told_suffix(claim.grounds)
        if re.search(r"\b(told|states|said|knowledge)\b", words, re.I):
            hearsay = ""
        old = f" {SINCE}" if any(ground.old for ground in claim.grounds) else ""
        return f"{words}{hearsay}{old} [{self._number(flat(claim.claim.phrase), claim.grounds)}]"

    def _told(self, told: JudgedDisclosure) -> str:
        words = self.words.fill_known(told.text, told.grounds, told.stops) + self.words.unnamed(told.text, told.grounds)
        found = [ground for held in self.study.stops if held.stop.id in told.stops for ground in held.grounds]
        grounds = told.grounds or tuple(dict.fromkeys(found))
        hearsay = "" if "as told" in words.lower() else self.words.told_suffix(grounds)
        return f"{words}{hearsay}" + (f" [{self._number(told.id.replace('-', ' '), grounds)}]" if grounds else "")

    def _number(self, what: str, grounds: tuple[Ground, ...]) -> str:
        self.evidence.append((what, grounds))
        return f"E{len(self.evidence)}"

    def _answers(self, names: Sequence[str]) -> list[str]:
        return [
            f"{flat(self.base.questions[name].ask)} {self._ask(name)}"
            for name in names
            if name in self.base.questions and name in self.study.answers
        ]

    def _numbers(self) -> Iterator[str]:
        for key, text in self.record.machine.items():
            if re.search(r"frame|engine|chassis|vin|registration", key.lower()) and re.search(r"\d", flat(text)):
                digits = re.sub(r"[^0-9A-Za-z]", "", flat(text))
                yield f"{flat(key).capitalize()}, last four signs: {digits[-4:] if len(digits) > 6 else 'ask the seller'}."

    def _how_it_ran(self) -> str:
        if "first_start" in self.record.done:
            said = " ".join(self._answers(RAN))
            return f"Run {self.words.when([Ground('task', '', self.record.done['first_start'].on)])}. {said}".strip()
        gate = next((gate for gate in GATES[:4] if gate not in self.open_gates), "fire")
        title = lower_first(flat(self.base.gates[gate].title)) if gate in self.base.gates else gate
        return f"It was not run in this work. The first gate that is not open: {title}."

    def _hazards(self) -> Iterator[str]:
        yield NO_TRIAL
        oiled = [task for task in OILED if task in self.record.done]
        if oiled and not ("fire" in self.open_gates and "first_start" in self.record.done):
            yield f"{BORES_OILED} ({day_words(self.record.done[oiled[0]].on) or 'undated'})"
        yield from HAZARDS

    def _collect(self) -> Iterator[str]:
        yield (
            "By trailer or van. It is not ridden away."
            if "road" not in self.open_gates
            else ("By agreement. The rider's own check and local law come first.")
        )
        layup = self.record.done.get("preserve_again")
        yield (
            f"Laid up again: {day_words(layup.on) or 'undated'}, by {flat(layup.by) or 'a person who is not named'}."
            if layup
            else "Laying up again is not on record."
        )
        gate = next((gate for gate in self.base.gates if gate not in self.open_gates), None)
        if gate:
            yield f"The buyer goes on at this gate: {lower_first(flat(self.base.gates[gate].title))}. The plan goes with it."

    # What goes with it

    def _evidence(self) -> Iterator[Block]:
        yield heading(2, "Evidence sheet, to hand over")
        yield line(
            f"Plan {self.number}, made on {day_words(self.plan.made_on)}, rule base {flat(self.plan.rules_digest)[:12]}."
        )
        known = [f"{flat(key)}: {flat(text)}" for key, text in self.record.machine.items() if flat(text)]
        yield from listed("The machine, as written in the record", known)
        yield heading(3, "What each line rests on")
        for at, (what, grounds) in enumerate(self.evidence, start=1):
            yield from listed(f"E{at}, {what}", [self.words.ground(ground) for ground in grounds])
        yield from self._stops()
        yield heading(3, "What was looked at and found")
        for stage in self.base.stages.values():
            rows = [
                self.words.ground(_as_ground(self.base.questions[name], answer, self.plan.made_on, self.record))
                for name, answer in self.study.answers.items()
                if self.base.questions[name].stage == stage.number and answer.value != DONT_KNOW
            ]
            yield from listed(flat(stage.title), rows)
        yield heading(3, "What was done")
        yield from listed("", [self._work(task) for task in self.words.done]) or [line("No work is on record.")]
        yield from listed("Not done, though the plan asks for it", [self.words.title(t.id) for t in self.words.to_do])
        yield heading(3, "Readings")
        yield from listed("", list(self._readings())) or [line("No reading is on record.")]
        yield heading(3, "What was not looked at")
        yield from listed("", [flat(self.base.questions[name].ask) for name in self.study.unknown])
        assumed = [
            f"{self.words.names.question(one.question)} Taken as: {self.words.names.value(one.question, one.value)}."
            for one in self.plan.assumed
        ]
        yield from listed("Assumed for planning only; it proves nothing", assumed)
        yield from listed("Figures that stood in for the maker's manual", self.words.fallbacks())
        yield heading(3, "Signatures")
        yield from listed("", list(SIGNATURES))

    def _stops(self) -> Iterator[Block]:
        yield heading(3, "Stops")
        standing = [
            f"{sentence(flat(held.stop.title))} Raised by: "
            f"{' '.join(sentence(flat(self.base.rules[rule].finding)) for rule in held.rules)} "
            f"Cleared by: {sentence(self.words.names.prose(held.stop.clears_text))}"
            for held in self.study.stops
        ]
        yield from listed("Standing", standing) or [line("None stands on what is recorded.")]
        cleared = [flat(stop.title) for stop in self.plan.stops if stop.state == "cleared"]
        yield from listed("Cleared by evidence on record", cleared)

    def _work(self, task: str) -> str:
        work = self.record.done[task]
        said = "; ".join(f"{flat(key)}: {flat(value)}" for key, value in work.details.items() if flat(value))
        note = "; ".join(part for part in (flat(work.note), said) if part)
        again = next((one.again for one in self.plan.tasks if one.id == task), False)
        return (
            f"{flat(self.base.tasks[task].title)}: {day_words(work.on) or 'undated'}, by {flat(work.by) or 'no name'}."
            + (" Said to have been done: no invoice or photograph." if task in self.study.said_only else "")
            + (" A newer finding asks for it again." if again else "")
            + (f" {sentence(note)}" if note else "")
        )

    def _readings(self) -> Iterator[str]:
        guides = self._guides()
        for name, answer in self.study.answers.items():
            question = self.base.questions[name]
            if question.kind != "number" or question.stage == 1 or answer.value == DONT_KNOW:
                continue
            ground = _as_ground(question, answer, self.plan.made_on, self.record)
            guide = "; ".join(guides.get(name, ()))
            yield (
                f"{flat(question.ask)} {self.words.value(name)}, {day_words(ground.on) or 'undated'}, "
                f"{'as told' if ground.how in ('told', 'papers') else 'tool: ' + self._tool(name)}."
                + (f" {SINCE}" if ground.old else "")
                + (f" Guide: {guide}." if guide else "")
            )
        for reading in self.record.readings:
            parts = [
                f"{flat(key).replace('_', ' ')} {flat(value)}"
                for key, value in reading.items()
                if key not in ("what", "on")
            ]
            on = flat(reading.get("on", ""))
            old = f" {SINCE}" if is_old(on, self.plan.made_on, self.record) else ""
            yield f"{flat(reading.get('what', '')).replace('_', ' ')}: {', '.join(parts)}, {day_words(on) or 'undated'}.{old}"

    def _tool(self, question: str) -> str:
        for task, work in self.record.done.items():
            if question in self.base.tasks[task].records:
                for key in TOOL_KEYS:
                    if flat(work.details.get(key, "")):
                        return flat(work.details[key])
        return "not written down"

    def _guides(self) -> dict[str, list[str]]:
        """Question -> the limits with which the phrases compare it."""
        found: dict[str, dict[str, None]] = {}
        for claim in self.study.claims:
            for condition in (claim.claim.evidence, claim.claim.forbidden):
                for name, limit in self._compared(condition):
                    found.setdefault(name, {})[limit] = None
        return {name: [self._guide(limit) for limit in limits] for name, limits in found.items()}

    def _guide(self, name: str) -> str:
        limit, maker = self.base.limits[name], self.record.maker.get(name)
        mark = "the maker's figure" if maker else self.words.names.sources(limit.sources)
        return (
            f"{self.words.names.prose(limit.text)} {amount(maker.value if maker else limit.value, limit.unit)} ({mark})"
        )

    def _compared(self, condition: Condition | None) -> Iterator[tuple[str, str]]:
        """(question, limit) for each comparison of a condition that is meant for this machine."""
        if condition is None:
            return
        kind, test = condition[0], compile_base(self.base).test
        if kind in ("all", "any"):
            others = [part for part in condition[1] if part[0] != "compare"]
            if kind == "any" or not any(
                test(part, as_need=False)(self.study.reading.sight) is False for part in others
            ):
                for part in condition[1]:
                    yield from self._compared(part)
        elif kind in ("not", "when"):
            for part in condition[1:]:
                yield from self._compared(part)
        elif kind == "compare":
            yield from ((condition[1], limit) for limit in limits_in(condition))

    # For the seller alone

    def _seller(self) -> Iterator[Block]:
        yield heading(2, "For the seller, not for publication")
        yield heading(3, "Words that this record does not allow")
        for why, words in WHY_NOT.items():
            phrases = [f'"{flat(claim.claim.phrase)}"' for claim in self.unproved if claim.why == why]
            if why == "forbidden":
                phrases = [self._against(claim) for claim in self.unproved if claim.why == why]
            yield from listed(sentence(words).removesuffix("."), phrases)
        yield heading(3, "Photographs to take")
        yield line(f"{PHOTO_RULE} This plan is {self.number}.")
        shots = [f"{what}: {show}" for what, show, needs in PHOTOGRAPHS if self.study.values_say_yes(needs)]
        yield Block("steps", label="", items=tuple(sentence(shot) for shot in shots))
        yield heading(3, "To hand over with it")
        yield from listed("", list(HAND_OVER))
        own = [
            f"{sentence(flat(held.stop.title))} {sentence(self.words.names.prose(held.stop.text))}"
            for held in self.study.stops
            if held.stop.shuts_words_only
        ]
        yield from care([*own, *CAUTIONS], "Cautions")
        yield line(sentence(self.words.sources(LAW_SOURCES)), "These rest, for Great Britain, on")

    def _against(self, claim: JudgedClaim) -> str:
        against = "; ".join(
            f"{flat(self.base.questions[one.id].ask)} {self.words.value(one.id)}"
            for one in claim.grounds
            if one.kind == "answer"
        )
        return f'"{flat(claim.claim.phrase)}"' + (f". Against it: {sentence(against)}" if against else "")


def _as_ground(question: Question, answer: Answer, today: str, record: Record) -> Ground:
    how = answer.how or ("told" if question.stage == 1 else "seen")
    old = question.kind == "number" and question.stage > 1 and is_old(answer.on, today, record)
    return Ground("answer", question.id, answer.on, answer.by, how, old)
