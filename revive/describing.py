"""An entry of the rule base as a page of plain words: rule, task, question, gate, stop, limit, fact. Judges no machine."""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from revive.engine.compiled import questions_behind
from revive.engine.conditions import names_in
from revive.model import GATES, Claim, Condition, Contradiction, Fact, Gate, Limit, Question, Rule, RuleBase, Stop, Task
from revive.plain_words import answer_words, condition_lines, fact_lines, source_lines, title_of, worst_words
from revive.readers import Reader, readers_of, readers_of_limit, users_of_task
from revive.text import inert, span, spoken

WHO = {
    "owner": "the owner",
    "with_helper": "the owner with a helper",
    "skilled": "skilled hands",
    "shop": "a workshop",
}
SEVERITIES = {
    "note": "worth doing",
    "attention": "needs attention",
    "must_do": "must be done",
    "stop": "a stop",
}
MOST_RULES = 8
Lines = Iterator[str]


def describe(base: RuleBase, kind: str, name: str) -> list[str]:
    """The page of one entry. kind: one of KINDS; lines of a list are indented under their heading."""
    return list(KINDS[kind][1](base, KINDS[kind][0](base)[name]))


def kinds_of(base: RuleBase, name: str) -> list[str]:
    """The kinds of entry that have this id, in the order of KINDS."""
    return [kind for kind, (table, _) in KINDS.items() if name in table(base)]


def _para(head: str, lines: Iterable[str]) -> Lines:
    body = list(lines)
    if body:
        yield f"{head}:"
        yield from (f"  {line}" for line in body)


def _when(base: RuleBase, head: str, condition: Condition | None) -> Lines:
    if condition is not None:
        yield from _para(head, condition_lines(base, condition))


def _one(head: str, text: object) -> Lines:
    if text:
        yield f"{head}: {inert(text)}"


def _rule(base: RuleBase, rule: Rule) -> Lines:
    yield f"Rule {rule.id}, {SEVERITIES[rule.severity]} ({rule.place})"
    yield from _when(base, "It fires where", rule.when)
    yield from _one("It says", rule.finding)
    yield from _one("Because", rule.why)
    yield from _para("It calls for", (_task_line(base, task) for task in rule.adds))
    stop = base.stops.get(rule.stop)
    for gate in (gate for gate in GATES if gate in rule.holds):
        title = f'It holds the gate "{inert(base.gates[gate].title)}" ({gate})'
        if stop is not None:
            yield f"{title}, by the stop below."
        elif rule.holds[gate]:
            yield from _para(f"{title} until this is done", (_task_line(base, task) for task in rule.holds[gate]))
        else:
            yield f"{title} until the finding changes; no work alone releases it."
    if stop is not None:
        yield f'It raises the stop "{inert(stop.title)}" ({stop.id}): {inert(stop.text)}'
        for gate, condition in stop.clears.get(rule.id, {}).items():
            where = f" at the gate {gate}" if gate else ""
            yield from _when(base, f"What clears the stop for this rule{where}", condition)
    yield from _para("It rests on", source_lines(base, rule.sources))
    yield from _one("Not for", rule.not_for)
    yield from _one("Replaces", rule.overrides and f"{rule.overrides}, by {rule.approved_by}, because {rule.reason}")
    asked = _asked_by(base, rule.when)
    unsure = [f'{name}: "don\'t know" stands for {worst_words(base, base.questions[name])}' for name in asked]
    yield from _para("Where nobody knows", unsure)
    others = [reader for reader in readers_of(base, _own(base, rule.when)) if reader[:2] != ("rule", rule.id)]
    yield from _para("Who else reads the same answers", _few_rules(others))


def _asked_by(base: RuleBase, condition: Condition) -> list[str]:
    return list(questions_behind(base, tuple(names_in(condition))))


def _own(base: RuleBase, condition: Condition) -> list[str]:
    """The questions that a condition names itself, the engine layout left out; where there are none, what it names."""
    named = list(dict.fromkeys(names_in(condition)))
    return [name for name in named if name in base.questions and name != "layout"] or named


def _few_rules(readers: list[Reader]) -> Lines:
    """Readers in a line each; of the rules among them only the first MOST_RULES, with the count of the rest."""
    rules = [reader for reader in readers if reader[0] == "rule"]
    yield from _reader_lines(rules[:MOST_RULES])
    if len(rules) > MOST_RULES:
        yield f"and {len(rules) - MOST_RULES} more rules"
    yield from _reader_lines(reader for reader in readers if reader[0] != "rule")


def _reader_lines(readers: Iterable[Reader]) -> Lines:
    for kind, name, words in readers:
        yield f"{kind} {name}: {inert(words)}" if words else f"{kind} {name}"


def _task_line(base: RuleBase, task: str) -> str:
    return f"{title_of(base, task)} ({task})"


def _task(base: RuleBase, task: Task) -> Lines:
    yield f"Task {task.id} ({task.place})"
    least, likely, most = (span(minutes) for minutes in task.minutes)
    yield f"{inert(task.title)}. By {WHO[task.who]}; hands-on {likely} ({least} to {most})."
    if task.wait_h:
        yield f"It then waits {task.wait_h:g} h" + (f" for {inert(task.wait_for)}." if task.wait_for else ".")
    gate = base.gates.get(task.gate)
    yield f'Due before the gate "{inert(gate.title) if gate else task.gate}" ({task.gate}).'
    yield from _when(base, "Only on machines where", task.only_if)
    yield from _para("After, where they are in the plan", (_task_line(base, name) for name in task.after))
    yield from _para("Caution", _guarded(base, task, task.cautions))
    yield from _para("Steps", _guarded(base, task, task.method, numbered=True))
    yield from _one("Done when", task.done_when)
    yield from _para("Changes the plan if", map(inert, task.changes_plan_if))
    yield from _para("Doing it answers", (f"{inert(base.questions[name].ask)} ({name})" for name in task.records))
    again = (f"{inert(base.questions[name].ask)} ({name})" for name in task.asks_again)
    yield from _para("Afterwards these are asked again", again)
    yield from _para("It rests on", source_lines(base, task.sources))
    yield from _para("Who uses it", _reader_lines(users_of_task(base, task.id)))


def _guarded(base: RuleBase, task: Task, texts: Iterable[str], numbered: bool = False) -> Lines:
    """Texts of a task; under one that is meant for some machines only, for which."""
    for number, text in enumerate(texts, start=1):
        yield f"{number}. {inert(text)}" if numbered else inert(text)
        if text in task.guards:
            yield "  only where:"
            yield from condition_lines(base, task.guards[text], indent=2)


def _question(base: RuleBase, question: Question) -> Lines:
    yield f"Question {question.id}, stage {question.stage} ({question.place})"
    yield inert(question.ask)
    if question.kind == "number":
        unit = f" {question.unit}" if question.unit else ""
        yield f"Answer: a number from {question.low:g} to {question.high:g}{unit}"
    else:
        choices = (f"{name}: {inert(words)}" for name, words in question.choices.items())
        yield from _para("Answers, several may be ticked" if question.kind == "many" else "Answers", choices)
    yield from _one("Caution", question.caution)
    yield from _one("How to look", question.how)
    yield from _one("Why it is asked", question.why)
    yield f'"Don\'t know" stands for: {worst_words(base, question)}'
    blind = [answer_words(base, question.id, one) for one in question.blind]
    yield from _one("Means that nobody looked", " or ".join(blind))
    yield from _para("Settled by", (_task_line(base, task) for task in question.settled_by))
    yield from _when(base, "Skipped where", question.skip_when)
    if question.opens_after:
        yield f"Asked only after: {_task_line(base, question.opens_after)}"
    yield from _para("Asked once one of these is called for", (_task_line(base, task) for task in question.yielded_by))
    yield from _para("Who reads it", _reader_lines(readers_of(base, [question.id])))


def _gate(base: RuleBase, gate: Gate) -> Lines:
    yield f'Gate {gate.id}, "{inert(gate.title)}" ({gate.place})'
    yield f"It opens the way to {inert(gate.opens)}. Opened by {WHO[gate.who]}."
    for before, when in gate.after:
        yield from _when(base, f"After the gate {before} where", when) if when else [f"After the gate {before}."]
    yield from _para("Caution", map(inert, gate.cautions))
    for need in gate.needs:
        if need.if_planned:
            yield from _para(
                "It waits for these where they are planned", (_task_line(base, t) for t in need.if_planned)
            )
            continue
        yield f"It needs: {inert(need.text)}"
        yield from (f"  {line}" for line in _when(base, "asked where", need.when))
        yield from (f"  {line}" for line in _when(base, "met by", need.then))
        yield from (f"  rests on: {line}" for line in source_lines(base, need.sources))
    yield from _when(base, "Not needed where", gate.not_needed)
    if gate.first_task:
        yield f"The first work behind it: {_task_line(base, gate.first_task)}"
    holding = [rule for rule in base.rules.values() if gate.id in rule.holds]
    yield from _para("Rules that can hold it", (f"{rule.id}: {inert(rule.finding)}" for rule in holding))


def _stop(base: RuleBase, stop: Stop) -> Lines:
    yield f'Stop {stop.id}, "{inert(stop.title)}" ({stop.place})'
    yield f"On page one: {inert(stop.text)}"
    yield f"The danger: {inert(stop.danger)}"
    yield f"Meanwhile: {inert(stop.meanwhile)} Cleared by {WHO[stop.who]}."
    yield from _one("In short it is cleared when", stop.clears_text)
    if stop.shuts_words_only:
        yield "It shuts words of a sale description only, no gate."
    for rule in (rule for rule in base.rules.values() if rule.stop == stop.id):
        gates = ", ".join(gate for gate in GATES if gate in rule.holds)
        yield f"Raised by rule {rule.id}{f', shuts {gates}' if gates else ''}: {inert(rule.finding)}"
        for gate, condition in stop.clears.get(rule.id, {}).items():
            where = f"cleared at the gate {gate} by" if gate else "cleared by"
            yield from (f"  {line}" for line in _when(base, where, condition))


def _limit(base: RuleBase, limit: Limit) -> Lines:
    yield f"Limit {limit.id}: {limit.value:g} {limit.unit}"
    yield f"{inert(limit.text)}. A figure of the maker's manual in the record takes its place."
    yield from _para("It rests on", source_lines(base, limit.sources))
    yield from _para("Who compares with it", _reader_lines(readers_of_limit(base, limit.id)))


def _fact(base: RuleBase, fact: Fact) -> Lines:
    yield f"Derived fact {fact.id} ({fact.place})"
    yield from _one("It is", fact.text)
    yield from fact_lines(base, fact)
    yield from _para("Who reads it", _reader_lines(readers_of(base, [fact.id])))


def _claim(base: RuleBase, claim: Claim) -> Lines:
    yield f'Claim {claim.id}, the words "{inert(claim.phrase)}" ({claim.place})'
    yield from _when(base, "Proved where", claim.evidence)
    yield from _when(base, "Forbidden where", claim.forbidden)
    yield from _one("Printed where proved", claim.proved)
    yield from _one("Printed otherwise", claim.unproved)
    yield from _para("It rests on", source_lines(base, claim.sources))


def _contradiction(base: RuleBase, clash: Contradiction) -> Lines:
    yield f"Contradiction {clash.id} ({clash.place})"
    yield from _when(base, "Two answers that cannot both be so", clash.when)
    yield from _one("It says", clash.text)
    yield from _one("Believed meanwhile", clash.trusted and f"{clash.trusted}, {clash.trust_text}")


def _source(base: RuleBase, source: Any) -> Lines:
    yield f"Source {source.id}: {inert(source.issued_by)}, {inert(source.title)}, {inert(source.edition)}"
    yield "Known only from pages that restate it." if source.as_read == "restated" else "The document itself was read."
    yield from _one("Note", source.note)
    resting = [("rule", rule.id, rule.finding) for rule in base.rules.values() if _rests(rule.sources, source.id)]
    resting += [("task", task.id, task.title) for task in base.tasks.values() if _rests(task.sources, source.id)]
    resting += [("limit", limit.id, limit.text) for limit in base.limits.values() if _rests(limit.sources, source.id)]
    resting += [
        ("need of gate", gate.id, need.text)
        for gate in base.gates.values()
        for need in gate.needs
        if _rests(need.sources, source.id)
    ]
    yield from _para("Who rests on it", _reader_lines(resting))


def _rests(refs: Iterable[Any], source: str) -> bool:
    return any(ref.id == source for ref in refs)


def _layout(base: RuleBase, layout: Any) -> Lines:
    yield f"Layout {layout.id}: {inert(layout.title)}"
    yield from _para("The way of the oil", map(inert, layout.oil_path))
    yield from _para("Where dirt settles", map(inert, layout.sediment))
    points = (f"{inert(p['see'])}: {p['count']} for each {p['per']}. {inert(p['how'])}" for p in layout.points)
    yield from _para("Where oil must be seen", points)
    yield from _para("Priming", map(inert, layout.priming))
    yield from _para("Traps", map(inert, layout.traps))
    yield from _para("It settles", (f"{name}: {spoken(value)}" for name, value in layout.settles.items()))
    yield from _para("It presumes", (f"{name}: {spoken(value)}" for name, value in layout.presumes.items()))
    yield from _para("Its figures", (f"{name}: {spoken(value)}" for name, value in layout.facts.items()))
    yield from _para("It rests on", source_lines(base, layout.sources))


Describer = Callable[[RuleBase, Any], Lines]
KINDS: dict[str, tuple[Callable[[RuleBase], Any], Describer]] = {
    "rule": (lambda base: base.rules, _rule),
    "task": (lambda base: base.tasks, _task),
    "question": (lambda base: base.questions, _question),
    "gate": (lambda base: base.gates, _gate),
    "stop": (lambda base: base.stops, _stop),
    "limit": (lambda base: base.limits, _limit),
    "fact": (lambda base: base.facts, _fact),
    "claim": (lambda base: base.claims, _claim),
    "contradiction": (lambda base: base.contradictions, _contradiction),
    "layout": (lambda base: base.layouts, _layout),
    "source": (lambda base: base.sources, _source),
}
"""Kind -> its table in the rule base and how an entry of it is described."""
