"""Fill the braces of sale phrases from a record, and say what each rests on. Refuses to guess: what is not on record
is said to be not known, and a date covers every day on which its evidence was taken."""

import re
from collections.abc import Iterable, Sequence

from revive.engine.conditions import NOT_APPLICABLE, Ticks
from revive.engine.sale_study import MAKE_UP, Ground, SaleStudy
from revive.model import DONT_KNOW, Record, RuleBase
from revive.plan import Plan
from revive.render.outlook import Outlook
from revive.render.wording import NO_SOURCE, Names, counted, day_words, flat, lower_first, sentence
from revive.text import spoken

UNKNOWN, NOT_MEASURED = "not known", "not measured"
SINCE = "Since then not repeated."
_BRACE = re.compile(r"\{(\w+)\}")
_ON_DATE = re.compile(r"\b([Oo]n|[Bb]y) \{date\}")
_UNIT_AFTER = re.compile(r" (?:bar|mm|percent|ml|km|V|s)\b")
_HOW = {"told": "as told", "papers": "by papers", "seen": "seen", "measured": "measured"}


class SaleWords:
    """Words for one record's sale sheet."""

    def __init__(self, base: RuleBase, record: Record, plan: Plan, study: SaleStudy) -> None:
        self.base, self.record, self.plan, self.study = base, record, plan, study
        self.names = Names(plan, base)
        self.outlook = Outlook(plan, base, self.names, "seller")
        self.done = [task.id for task in plan.tasks if task.id in record.done]
        self.to_do = [task for task in plan.tasks if task.state == "to_do" and task.certainty == "certain"]

    def fill(self, text: str, grounds: Sequence[Ground] = (), stops: Sequence[str] = (), lists: bool = True) -> str:
        """A phrase with its braces filled. stops: those that it names. lists: print lists of work in it, else refer."""
        when = self.when([ground for ground in grounds if not self._is_desk(ground)])
        text = _ON_DATE.sub(lambda found: when if found[1].lower() == "on" else f"by {_last_day(when)}", text)
        text = text.replace("{date}", re.sub(r"^(on|between) ", "", when).replace(" and ", " to "))
        made, place = "", 0
        for found in _BRACE.finditer(text):
            made += text[place : found.start()]
            words = self._brace(found[1], grounds, stops, lists)
            place = found.end()
            if words in (UNKNOWN, NOT_MEASURED) and (unit := _UNIT_AFTER.match(text, place)):
                place = unit.end()
            made += words
        made += text[place:]
        return sentence(re.sub(r"(not known|not measured) years old", "age not known", self.names.prose(made)))

    def fill_known(self, text: str, grounds: Sequence[Ground], stops: Sequence[str]) -> str:
        """The same without those clauses of it of which nothing is on record."""
        kept = []
        for whole in re.split(r"(?<=\.) ", flat(text)):
            clauses = whole.rstrip(".").split("; ")
            told = [clause for clause in clauses if not self._is_empty(clause)]
            if told or len(clauses) == 1:
                kept.append(sentence("; ".join(told or clauses)))
        return self.fill(" ".join(kept), grounds, stops, lists=False)

    def unnamed(self, text: str, grounds: Sequence[Ground]) -> str:
        """Findings behind a disclosure that its own words do not name."""
        named = set(_BRACE.findall(text))
        if not named.intersection(self.base.questions):
            return ""
        rest = [g for g in grounds if g.kind == "answer" and g.id not in (*named, *MAKE_UP) and not self._is_desk(g)]
        return "".join(f" {flat(self.base.questions[g.id].ask)} {sentence(self.value(g.id))}" for g in rest)

    def _is_empty(self, clause: str) -> bool:
        names = [name for name in _BRACE.findall(clause) if name in self.base.questions]
        return bool(names) and all(self.value(name) in (UNKNOWN, NOT_MEASURED, "") for name in names)

    def _brace(self, name: str, grounds: Sequence[Ground], stops: Sequence[str], lists: bool) -> str:
        rules = [rule for held in self.study.stops if held.stop.id in stops for rule in held.rules]
        if name == "name":
            who = dict.fromkeys(flat(ground.by) for ground in grounds if flat(ground.by))
            return " and ".join(who) or "a person who is not named"
        if name == "stop_title":
            return "; ".join(lower_first(flat(self.base.stops[stop].title)) for stop in stops) or UNKNOWN
        if name == "finding":
            return "; ".join(dict.fromkeys(lower_first(flat(self.base.rules[r].finding)) for r in rules)) or UNKNOWN
        if name == "done_list":
            own = [ground.id for ground in grounds if ground.kind == "task"]
            words = "; ".join(map(self.title, own or self.done)) or "nothing on record"
            return words if lists else "see the work done"
        if name == "undone_list":
            words = "; ".join(self.title(task.id) for task in self.to_do) or "nothing that is certain so far"
            return words if lists else "see the work not done"
        if name == "unasked_list":
            return f"{counted(len(self.study.unknown), 'point')}, named in the evidence sheet"
        if name == "assumed_list":
            return f"{counted(len(self.plan.assumed), 'answer')}, named in the evidence sheet"
        if name == "fallback_list":
            return f"{counted(len(self.fallbacks()), 'figure')}, named in the evidence sheet"
        if name in self.base.tasks:
            work = self.record.done.get(name)
            return f"yes, {day_words(work.on) or 'undated'}" if work else "not on record"
        if name in self.base.questions or name in self.base.facts:
            return self.value(name, unit=False)
        return self._detail(name, grounds)

    def _detail(self, name: str, grounds: Sequence[Ground]) -> str:
        first = [ground.id for ground in grounds if ground.kind == "task"]
        for task in dict.fromkeys([*first, *self.record.done]):
            found = self.record.done[task].details.get(name, "")
            if flat(found):
                return spoken(flat(found)) if isinstance(found, str) else spoken(found)
        return "not written down"

    def value(self, name: str, unit: bool = True) -> str:
        """A question's or fact's value in words, or that it is not known."""
        question = self.base.questions.get(name)
        number = question is not None and question.kind == "number"
        answer = self.study.answers.get(name)
        if answer is not None and answer.value != DONT_KNOW:
            if number:
                bare = not unit or (question is not None and question.unit == "year")
                return spoken(answer.value) if bare else self.names.value(name, answer.value)
            return self.names.value(name, answer.value)
        value = self.study.values[name]
        if isinstance(value, Ticks):
            return self.names.value(name, tuple(sorted(value.has))) if value.has else UNKNOWN
        if value is None or value != value or value == NOT_APPLICABLE:
            measured = question is not None and number and question.stage > 1 and question.unit not in ("years", "year")
            return NOT_MEASURED if measured else UNKNOWN
        if isinstance(value, float):
            return self.names.value(name, value) if unit else spoken(value)
        return self.names.value(name, value)

    def when(self, grounds: Iterable[Ground]) -> str:
        """The day, or the first and the last day, on which these were seen or done."""
        days = [ground.on[:10] for ground in grounds]
        dated = sorted(day for day in days if day)
        if not dated:
            return "on a day that was not written down"
        if len(dated) < len(days):
            return f"on days of which the last on record is {day_words(dated[-1])}"
        if dated[0] == dated[-1]:
            return f"on {day_words(dated[0])}"
        return f"between {day_words(dated[0])} and {day_words(dated[-1])}"

    def _is_desk(self, ground: Ground) -> bool:
        return ground.kind == "answer" and self.base.questions[ground.id].stage == 1

    def ground(self, ground: Ground) -> str:
        """One piece of evidence with its day, its name and how it is known."""
        told = f"{day_words(ground.on) or 'undated'}" + (f", by {flat(ground.by)}" if flat(ground.by) else ", no name")
        if ground.kind == "gate":
            return f"Gate open: {lower_first(flat(self.base.gates[ground.id].title))} ({day_words(ground.on) or 'undated'})"
        if ground.kind == "task":
            return f"Done: {lower_first(flat(self.base.tasks[ground.id].title))} ({told})"
        words = f"{flat(self.base.questions[ground.id].ask)} {sentence(self.value(ground.id))}"
        how = _HOW.get(ground.how, "told")
        return f"{words} ({how}, {told})" + (f" {SINCE}" if ground.old else "")

    def told_suffix(self, grounds: Sequence[Ground]) -> str:
        """A sentence for what rests on hearsay, wholly or in part."""
        known = [ground for ground in grounds if ground.kind == "answer" and ground.id not in (*MAKE_UP, "year_made")]
        told = [ground for ground in known if ground.how in ("told", "papers")]
        if not told:
            return ""
        works = any(ground.kind != "answer" for ground in grounds)
        return " In part as told." if works or len(told) < len(known) else " As told, not seen."

    def title(self, task: str) -> str:
        """A task by its title; work by others without paper says so."""
        said = " (said to have been done)" if task in self.study.said_only else ""
        return lower_first(self.outlook.shortened(self.base.tasks[task])) + said

    def fallbacks(self) -> list[str]:
        """Figures that stood in for the maker's manual, with what each rests on."""
        return [
            f"{self.names.prose(row['text'])}: {row['value']:g} {flat(row['unit'])} "
            f"({self.names.sources(self.base.limits[row['limit']].sources)})".replace("  ", " ")
            for row in self.plan.fallbacks
            if not row["from_maker"]
        ]

    def sources(self, refs: Iterable[str]) -> str:
        """Published sources by title, as far as the rule base has them."""
        return "; ".join(self.names.source(ref) for ref in refs if ref in self.base.sources or ref in NO_SOURCE)


def _last_day(when: str) -> str:
    return re.split(r" and | is |^on ", when)[-1]
