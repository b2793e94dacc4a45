"""Findings, gates, stops, claims, contradictions and oddities: YAML values -> model objects."""

import re
from collections.abc import Mapping
from typing import Any

from revive.loading.additions import add_to_gate, add_to_stop, adds_only
from revive.loading.conditions import condition, needed_condition, parse
from revive.loading.entries import each
from revive.loading.entry import Entry
from revive.loading.gathered import Gathered
from revive.loading.yaml_lines import Map
from revive.model import (
    GATES,
    SEVERITIES,
    WHO,
    Claim,
    Condition,
    Contradiction,
    Gate,
    Need,
    Oddity,
    Rule,
    Stop,
)

STATES = ("certain", "assumed", "possible", "quiet")
STOP_WORDS = 30
_DAY = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])")
RULE_KEYS = (
    "when",
    "finding",
    "why",
    "severity",
    "adds",
    "holds",
    "stop",
    "source",
    "not_for",
    "examples",
)


def rules(gathered: Gathered, file: str, top: Map) -> None:
    """findings/<system>/<subject>.yaml: about, rules."""
    head = Entry(gathered, file, top, 1, "this file")
    head.keys(("about", "rules"), ("about", "rules"))
    head.text("about")
    subject = "/".join(file.rsplit("/", 2)[-2:]).removesuffix(".yaml")
    each(gathered, file, top, "rules", "rule", lambda entry, name: _rule(entry, name, subject))


def _rule(entry: Entry, name: str, subject: str) -> Rule:
    entry.keys(RULE_KEYS, ("when", "finding", "severity", "source"))
    adds = entry.names("adds", "task")
    severity = entry.one_of("severity", SEVERITIES)
    stop = entry.name("stop", "stop")
    if severity == "stop" and not stop and "severity" in entry.at:
        what = f"{entry.by} has severity stop and names no stop"
        entry.problem(entry.line_of("severity"), "stop-without-name", what, "Add: stop: the id of a stop in stops.yaml")
    overlay = entry.gathered.overlay
    return Rule(
        id=name,
        when=needed_condition(entry, "when"),
        finding=entry.text("finding"),
        severity=severity,
        place=entry.place,
        sources=entry.sources(),
        why=entry.text("why"),
        adds=adds,
        holds=_holds(entry, adds),
        stop=stop,
        not_for=entry.text("not_for"),
        examples=tuple(_example(inner) for inner in entry.maps("examples")),
        subject=subject,
        overrides=entry.text("overrides") if overlay else "",
        approved_by=entry.text("approved_by") if overlay else "",
        reason=entry.text("reason") if overlay else "",
    )


def _holds(entry: Entry, adds: tuple[str, ...]) -> Mapping[str, tuple[str, ...]]:
    """gate -> tasks that release it. A gate without tasks of its own is released by all that the rule adds."""
    if not isinstance(entry.at.get("holds"), Map):
        return dict.fromkeys(entry.names("holds", "gate"), adds)
    inner = entry.map("holds")
    found = {}
    for gate in inner.at:
        line = inner.line_of(gate)
        entry.use("gate", gate, line)
        found[gate] = inner.names(gate, "task_released")
        for task in found[gate]:
            if task not in adds:
                what = f"gate {gate} is held by '{task}', which {entry.by} does not add"
                entry.problem(line, "hold-not-added", what, f"Add {task} to 'adds:', or take it out here.")
    return found


def _example(entry: Entry) -> Mapping[str, Any]:
    """{"given": answers, "is": state}; given may hold done: [tasks], and on: ISO day stands where the day counts."""
    entry.keys(("given", "is", "on"), ("given", "is"))
    given = entry.map("given")
    done = given.names("done", "task_example")
    answers = Map(given.line)
    answers.update({name: value for name, value in given.at.items() if name != "done"})
    answers.lines = given.at.lines
    whole = entry.under(Map(entry.line), entry.line)
    whole.at["given"] = answers
    made: dict[str, Any] = dict(whole.answers("given"))
    if done:
        made["done"] = done
    example = {"given": made, "is": entry.one_of("is", STATES, "certain")}
    day = entry.text("on")
    if day and not _DAY.fullmatch(day):
        entry.wrong(entry.line_of("on"), "on", day, "a day", "Write: on: 2026-11-25")
    return example | ({"on": day} if day else {})


def gates(gathered: Gathered, file: str, top: Map) -> None:
    """gates.yaml: the seven gates in working order."""
    Entry(gathered, file, top, 1).keys(("about", "gates"))
    each(gathered, file, top, "gates", "gate", _gate)


def _gate(entry: Entry, name: str) -> Gate | None:
    if adds_only(entry, "gate", name, ("needs", "cautions")):
        add_to_gate(entry, name, tuple(_need(inner) for inner in entry.maps("needs")))
        return None
    needed = ("title", "opens", "after", "first_task", "needs", "cautions", "who")
    entry.keys((*needed, "not_needed"), needed)
    if name not in GATES:
        entry.problem(entry.line, "unknown-gate", f"'{name}' is no gate", f"Gates are {', '.join(GATES)}.")
        return None
    return Gate(
        id=name,
        title=entry.text("title"),
        opens=entry.text("opens"),
        after=tuple(_gate_after(entry)),
        first_task=entry.name("first_task", "task") if entry.at.get("first_task") else "",
        needs=tuple(_need(inner) for inner in entry.maps("needs")),
        not_needed=condition(entry, "not_needed"),
        cautions=entry.words("cautions"),
        who=entry.one_of("who", WHO),
        place=entry.place,
    )


def _gate_after(entry: Entry) -> list[tuple[str, Condition | None]]:
    found: list[tuple[str, Condition | None]] = []
    for value, line in entry.items("after"):
        if isinstance(value, Map):
            inner = entry.under(value, line)
            inner.keys(("gate", "when"), ("gate",))
            found.append((inner.name("gate", "gate"), condition(inner, "when")))
        elif isinstance(value, str) and value:
            entry.use("gate", value, line)
            found.append((value, None))
        else:
            entry.wrong(line, "an item of after", value, "a gate", "Write: after: [touch]")
    return found


def _need(entry: Entry) -> Need:
    if "if_planned" in entry.at:
        entry.keys(("text", "if_planned", "source"), ("if_planned",))
        return Need(
            entry.text("text"),
            if_planned=entry.names("if_planned", "task"),
            sources=entry.sources(),
            place=entry.place,
        )
    entry.keys(("text", "when", "then", "source"), ("text", "then", "source"))
    return Need(
        entry.text("text"),
        then=condition(entry, "then"),
        when=condition(entry, "when"),
        sources=entry.sources(),
        place=entry.place,
    )


def stops(gathered: Gathered, file: str, top: Map) -> None:
    """stops.yaml: named dangers with their clearing evidence."""
    Entry(gathered, file, top, 1).keys(("about", "stops"))
    each(gathered, file, top, "stops", "stop", _stop)


def _stop(entry: Entry, name: str) -> Stop | None:
    if adds_only(entry, "stop", name, ("clears",)):
        added = entry.map("clears")
        add_to_stop(added, name, {rule: _clearing(added, rule) for rule in _rules_of(added)})
        return None
    needed = ("title", "danger", "meanwhile", "who", "text")
    words_only = entry.flag("words_only")
    entry.keys((*needed, "clears", "clears_text", "words_only"), needed if words_only else (*needed, "clears"))
    text = entry.text("text")
    if len(text.split()) > STOP_WORDS:
        what = f"text has {len(text.split())} words; at most {STOP_WORDS} fit on page one"
        entry.problem(
            entry.line_of("text"), "too-long", what, "Shorten it; the rest belongs under danger or meanwhile."
        )
    clears = entry.map("clears")
    found = {rule: _clearing(clears, rule) for rule in _rules_of(clears)}
    return Stop(
        id=name,
        title=entry.text("title"),
        danger=entry.text("danger"),
        text=text,
        meanwhile=entry.text("meanwhile"),
        who=entry.one_of("who", WHO),
        clears=found,
        clears_text=entry.text("clears_text"),
        shuts_words_only=words_only,
        place=entry.place,
    )


def _rules_of(clears: Entry) -> list[str]:
    for rule in clears.at:
        clears.use("rule", rule, clears.line_of(rule))
    return list(clears.at)


def _clearing(entry: Entry, rule: str) -> Mapping[str, Condition]:
    """gate -> clearing evidence; "" stands for every gate that the rule holds."""
    value, line = entry.at[rule], entry.line_of(rule)
    if isinstance(value, Map) and value and all(gate in GATES for gate in value):
        inner = entry.under(value, line)
        return {gate: parse(inner, value[gate], value.lines[gate]) for gate in value}
    return {"": parse(entry, value, line)}


def claims(gathered: Gathered, file: str, top: Map) -> None:
    """claims.yaml: claims and disclosures."""
    Entry(gathered, file, top, 1).keys(("about", "claims", "disclosures"))
    if "claims" in top or "disclosures" not in top:
        each(gathered, file, top, "claims", "claim", _claim)
    if "disclosures" in top:
        each(gathered, file, top, "disclosures", "disclosure", _disclosure)


def _claim(entry: Entry, name: str) -> Claim:
    needed = ("phrase", "evidence", "proved", "unproved", "source")
    entry.keys((*needed, "forbidden"), needed)
    return Claim(
        id=name,
        phrase=entry.text("phrase"),
        evidence=needed_condition(entry, "evidence"),
        forbidden=condition(entry, "forbidden"),
        proved=entry.text("proved"),
        unproved=entry.text("unproved"),
        sources=entry.sources(),
        place=entry.place,
    )


def _disclosure(entry: Entry, name: str) -> Mapping[str, Any]:
    """{"when": condition, "text": words, "sources": references, "place": file:line}."""
    entry.keys(("when", "text", "source"), ("when", "text", "source"))
    return {
        "when": needed_condition(entry, "when"),
        "text": entry.text("text"),
        "sources": entry.sources(),
        "place": entry.place,
    }


def contradictions(gathered: Gathered, file: str, top: Map) -> None:
    """contradictions.yaml: answers that cannot both be so."""
    Entry(gathered, file, top, 1).keys(("about", "contradictions"))
    each(gathered, file, top, "contradictions", "contradiction", _contradiction)


def _contradiction(entry: Entry, name: str) -> Contradiction:
    needed = ("when", "questions", "text")
    entry.keys(("when", "questions", "trusted", "trust_text", "text"), needed)
    if "trusted" in entry.at and "trust_text" not in entry.at:
        entry.problem(entry.line_of("trusted"), "missing-key", f"{entry.by} has no 'trust_text'", "Add: trust_text: …")
    return Contradiction(
        id=name,
        when=needed_condition(entry, "when"),
        questions=entry.names("questions", "name"),
        text=entry.text("text"),
        trusted=entry.name("trusted", "name"),
        trust_text=entry.text("trust_text"),
        place=entry.place,
    )


def oddities(gathered: Gathered, file: str, top: Map) -> None:
    """plausibility.yaml: answers that are possible but unlikely."""
    Entry(gathered, file, top, 1).keys(("about", "oddities"))
    each(gathered, file, top, "oddities", "oddity", _oddity)


def _oddity(entry: Entry, name: str) -> Oddity:
    entry.keys(("when", "question", "ask"), ("when", "question", "ask"))
    when = needed_condition(entry, "when")
    return Oddity(name, when, entry.name("question", "answer"), entry.text("ask"), entry.place)
