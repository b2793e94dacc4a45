"""Who reads an answer, a limit or a task anywhere in the rule base, and which records make a rule fire. Prints nothing."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from revive.engine.compiled import fact_names, questions_behind
from revive.engine.conditions import names_in, tasks_in
from revive.engine.study import study_case
from revive.model import Condition, ReviveError, Rule, RuleBase

Reader = tuple[str, str, str]
"""What reads: its kind, its id, and what it is in a few words."""


def conditions_of(base: RuleBase) -> Iterator[tuple[Reader, Condition]]:
    """Every condition of the rule base with who holds it, in the order of the rule base."""
    for rule in base.rules.values():
        yield ("rule", rule.id, rule.finding), rule.when
    for gate in base.gates.values():
        for need in gate.needs:
            for part in (need.when, need.then):
                if part is not None:
                    yield ("need of gate", gate.id, need.text), part
        if gate.not_needed is not None:
            yield ("gate", gate.id, "left out of other plans"), gate.not_needed
    for stop in base.stops.values():
        for rule_id, lines in stop.clears.items():
            for condition in lines.values():
                yield ("stop", stop.id, f"cleared for rule {rule_id}"), condition
    for clash in base.contradictions.values():
        yield ("contradiction", clash.id, clash.text), clash.when
    for claim in base.claims.values():
        for part in (claim.evidence, claim.forbidden):
            if part is not None:
                yield ("claim", claim.id, claim.phrase), part
    for name, told in base.disclosures.items():
        yield ("disclosure", name, str(told["text"])), told["when"]
    for oddity in base.oddities.values():
        yield ("asks again", oddity.id, oddity.ask), oddity.when
    for task in base.tasks.values():
        if task.only_if is not None:
            yield ("task", task.id, f"{task.title}, only on such machines"), task.only_if
    for question in base.questions.values():
        if question.skip_when is not None:
            yield ("question", question.id, "skipped on such answers"), question.skip_when
    for fact in base.facts.values():
        parts = [fact.of] if fact.kind == "yes_when" else [p["when"] for p in fact.of] if fact.kind == "points" else []
        for part in parts:
            yield ("derived fact", fact.id, fact.text or "worked out from it"), part


def readers_of(base: RuleBase, names: Iterable[str]) -> list[Reader]:
    """Whoever reads one of these questions or facts, each once, also through derived facts."""
    wanted = set(names)
    found: dict[Reader, None] = {}
    for reader, condition in conditions_of(base):
        read = tuple(names_in(condition))
        behind = {*read, *questions_behind(base, read), *_facts_behind(base, read)}
        if wanted & behind:
            found[reader] = None
    for fact in base.facts.values():
        if fact.kind not in ("yes_when", "points") and wanted & set(fact_names(fact)):
            found[("derived fact", fact.id, fact.text or "worked out from it")] = None
    return list(found)


def readers_of_limit(base: RuleBase, limit: str) -> list[Reader]:
    """Whoever compares with a limit."""
    return list(dict.fromkeys(reader for reader, condition in conditions_of(base) if _reads_limit(condition, limit)))


def users_of_task(base: RuleBase, task: str) -> list[Reader]:
    """Whoever calls for a task, waits for it, or counts it as evidence."""
    found: dict[Reader, None] = {}
    for rule in base.rules.values():
        if task in rule.adds:
            found[("rule", rule.id, rule.finding)] = None
    for reader, condition in conditions_of(base):
        if task in tuple(tasks_in(condition)):
            found[reader] = None
    for gate in base.gates.values():
        if any(task in need.if_planned for need in gate.needs):
            found[("gate", gate.id, "waits for it where it is planned")] = None
        if gate.first_task == task:
            found[("gate", gate.id, "it is the first work behind this gate")] = None
    for question in base.questions.values():
        if task in question.settled_by:
            found[("question", question.id, "settled by it")] = None
        elif task in (question.opens_after, *question.yielded_by):
            found[("question", question.id, "asked once it is called for or done")] = None
    for other in base.tasks.values():
        if task in other.after:
            found[("task", other.id, f"{other.title}, comes after it")] = None
    return list(found)


def _facts_behind(base: RuleBase, names: Iterable[str]) -> set[str]:
    found: set[str] = set()
    todo = [name for name in names if name in base.facts]
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            todo += [inner for inner in fact_names(base.facts[name]) if inner in base.facts]
    return found


def _reads_limit(condition: Condition, limit: str) -> bool:
    kind = condition[0]
    if kind == "compare":
        return bool(condition[3] == ("limit", limit))
    if kind in ("all", "any"):
        return any(_reads_limit(part, limit) for part in condition[1])
    return kind in ("not", "when") and any(_reads_limit(part, limit) for part in condition[1:])


def firing_records(base: RuleBase, rule: Rule, folder: Path, today: str) -> tuple[list[tuple[str, str]], int]:
    """Records below a folder that make the rule fire, as (name, certain or assumed), and how many were read."""
    from revive.record import read_record

    found, read = [], 0
    for path in sorted(folder.rglob("*.yaml")) if folder.is_dir() else ():
        try:
            record = read_record(path, base)
        except ReviveError:
            continue  # not a record, or one that has its own problems
        read += 1
        state = study_case(base, record, today).states[rule.id]
        if state in ("certain", "assumed"):
            found.append((path.relative_to(folder.parent).as_posix(), state))
    return found, read
