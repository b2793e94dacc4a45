"""Prove a loaded rule base over the engine: rules fire, stops clear, gates open, examples hold. Mends nothing.

It runs only on a base that loaded without a problem. Every fault is told at once, with the place of the entry.
"""

from collections.abc import Iterator

from revive.engine.compiled import Compiled, compile_base
from revive.engine.conditions import Sight
from revive.engine.facts import Reading, gate_values, open_case
from revive.engine.opening import Way, walk_to
from revive.engine.witness import Seeker
from revive.loading import proof_examples, proof_holds
from revive.model import GATES, Answer, Condition, Gate, Record, RuleBase, Value
from revive.plan import Step
from revive.problems import Problem, listed, problem_at

PROOF_DAY = "2026-11-25"
"""The day on which ages are reckoned in a proof, so that the same rules always prove the same."""

NEVER: tuple[Condition, ...] = (("not", ("always",)), ("any", ()))
"""Conditions written so that they never come true: words that may never be printed as proved."""


def prove(base: RuleBase) -> list[Problem]:
    """Every fault that only the engine can find, in no particular order; none where the base is proved whole."""
    figures = list(_figures(base))
    if figures:
        return figures  # nothing can be reckoned until these are mended
    seeker = Seeker(base, PROOF_DAY)
    return [
        *_rules(base, seeker),
        *_questions(base, seeker),
        *_tasks(base, seeker),
        *proof_holds.check(base, seeker),
        *proof_examples.check(base, PROOF_DAY),
        *_notices(base, seeker),
        *_claims(base, seeker),
        *_gates(base, seeker),
    ]


def _figures(base: RuleBase) -> Iterator[Problem]:
    from revive.figures import FIGURES
    from revive.figures.core import REQUIRED

    known = FIGURES
    for fact in base.facts.values():
        if fact.kind != "figure":
            continue
        name, spec = fact.of["name"], known.get(fact.of["name"])
        if spec is None:
            what = f"derived fact {fact.id} takes the figure '{name}', which is not among the figures"
            yield problem_at(fact.place, "unknown-figure", what, f"Known are: {listed(sorted(known), 40)}.")
            continue
        inputs = {item.name: item for item in spec.inputs}
        for given in fact.of["inputs"]:
            if given not in inputs:
                what = f"derived fact {fact.id} gives the figure '{name}' an input '{given}', which it does not take"
                yield problem_at(fact.place, "unknown-figure", what, f"It takes: {listed(inputs, 20)}.")
        missing = [item for item in inputs if inputs[item].default is REQUIRED and item not in fact.of["inputs"]]
        if missing:
            what = f"derived fact {fact.id} leaves out what the figure '{name}' needs: {listed(missing)}"
            yield problem_at(fact.place, "unknown-figure", what, f"Add under 'inputs:': {missing[0]}: …")
        take, results = fact.of.get("take", ""), [key for key in spec.also if key not in spec.lists]
        if take and take not in results:
            what = f"derived fact {fact.id} takes '{take}' from the figure '{name}', which has no such result"
            yield problem_at(fact.place, "unknown-figure", what, f"It has: {listed(results, 20) or 'its value only'}.")


def _rules(base: RuleBase, seeker: Seeker) -> Iterator[Problem]:
    for rule in base.rules.values():
        if seeker.find_on_any((rule.when, True, False)) is None:
            what = f"rule {rule.id} can never fire: no answers make its condition true"
            mend = "Look for a limit outside the range, parts that exclude each other, or a question skipped there."
            yield problem_at(rule.place, "never-fires", what, mend)
        elif rule.when[0] != "always" and seeker.find_on_any((rule.when, False, False)) is None:
            what = f"rule {rule.id} can never stay quiet: no answers make its condition false"
            yield problem_at(rule.place, "never-quiet", what, "Narrow it, or write plainly: when: {always: true}")


def _questions(base: RuleBase, seeker: Seeker) -> Iterator[Problem]:
    called = _called(base)
    for question in base.questions.values():
        layouts = [layout.id for layout in base.layouts.values() if question.id not in layout.settles] or [""]
        skip = question.skip_when
        if skip and not any(seeker.find((skip, False, False), layout=layout) for layout in layouts):
            what = f"question {question.id} is skipped on every layout that does not settle it"
            yield problem_at(question.place, "never-asked", what, "Mend its 'skip_when:', or take the question out.")
        if question.yielded_by and called.isdisjoint(question.yielded_by):
            what = f"question {question.id} waits for {listed(question.yielded_by)}, which nothing calls for"
            yield problem_at(question.place, "never-asked", what, "Let a rule add that task, or mend 'yielded_by:'.")


def _called(base: RuleBase) -> set[str]:
    compiled = compile_base(base)
    found = {task for rule in base.rules.values() for task in rule.adds}
    for groups in compiled.clears_calls.values():
        found.update(task for group in groups for task in group)
    for needs in compiled.needs.values():
        for test in needs:
            found |= test.calls | set(test.need.if_planned)
    return found | {name for question in base.questions.values() for name in question.settled_by}


def _tasks(base: RuleBase, seeker: Seeker) -> Iterator[Problem]:
    callers: dict[str, list[Condition]] = {}
    for rule in base.rules.values():
        for added in rule.adds:
            callers.setdefault(added, []).append(rule.when)
    for task in base.tasks.values():
        if task.only_if is None:
            continue
        if seeker.find_on_any((task.only_if, True, False)) is None:
            what = f"task {task.id} exists on no machine: its 'only_if:' can never be true"
            yield problem_at(task.place, "never-called", what, "Mend its 'only_if:', or take the task out.")
            continue
        firing = [when for when in callers.get(task.id, ()) if seeker.find_on_any((when, True, False))]
        if firing and not any(seeker.find_on_any((when, True, False), (task.only_if, True, False)) for when in firing):
            what = f"task {task.id} is called for only where it does not exist"
            yield problem_at(task.place, "never-called", what, "Compare its 'only_if:' with the rules that add it.")


def _notices(base: RuleBase, seeker: Seeker) -> Iterator[Problem]:
    found = [(f"contradiction {item.id}", item.when, item.place) for item in base.contradictions.values()]
    found += [(f"oddity {item.id}", item.when, item.place) for item in base.oddities.values()]
    for name, when, place in found:
        if seeker.find_on_any((when, True, False), stale=True, against_layout=True) is None:
            what = f"{name} can never be noticed: no answers make its condition true"
            yield problem_at(place, "never-noticed", what, "Mend its 'when:', or take it out.")
    for name, entry in base.disclosures.items():
        if seeker.find_on_any((entry["when"], True, False)) is None:
            what = f"disclosure {name} can never be printed: no answers make its condition true"
            yield problem_at(str(entry.get("place", "rules/claims.yaml:1")), "never-noticed", what, "Mend its 'when:'.")


def _claims(base: RuleBase, seeker: Seeker) -> Iterator[Problem]:
    for claim in base.claims.values():
        if claim.evidence in NEVER:
            continue
        forbidden = [(claim.forbidden, False, False)] if claim.forbidden else []
        if seeker.find_on_any((claim.evidence, True, True)) is None:
            what = f"claim {claim.id} can never be proved: nothing makes its evidence true"
            yield problem_at(
                claim.place, "never-proved", what, "Mend its 'evidence:', or write: evidence: {not: {always: true}}"
            )
        elif forbidden and seeker.find_on_any((claim.evidence, True, True), *forbidden) is None:
            what = f"claim {claim.id} can never be proved: what proves it is also what forbids it"
            yield problem_at(claim.place, "never-proved", what, "Compare its 'evidence:' with its 'forbidden:'.")


def _gates(base: RuleBase, seeker: Seeker) -> Iterator[Problem]:
    """From a bare record with a layout, a way is walked to every gate; a way to the last one passes those before it."""
    compiled = compile_base(base)
    known: dict[str, list[Step]] = {}
    for layout in base.layouts:
        passed: set[str] = set()
        for name in reversed(GATES):
            gate = base.gates[name]
            if name in passed:
                continue
            record = _bare(base, seeker, gate, layout)
            if record is None:
                what = f"gate {name} is needed by no goal on layout {layout}"
                yield problem_at(gate.place, "gate-never-opens", what, "Mend its 'not_needed:'.")
                continue
            way = _way(base, record, name, known.get(name, []))
            passed |= {name, *_before(compiled, name)}
            if not way.stuck:
                known[name] = way.steps
                continue
            passed = {other for other in passed if GATES.index(other) >= GATES.index(way.stuck)}
            by = listed(dict.fromkeys(hold.rule or hold.id for hold in way.holds), 6)
            what = f"no way to open gate {way.stuck} on layout {layout} was found; it stays held by {by}"
            mend = "Look for a need that this engine cannot meet: guard it with 'when:', or give its task or question a way."
            yield problem_at(base.gates[way.stuck].place, "gate-never-opens", what, mend)


def _way(base: RuleBase, record: Record, gate: str, begin: list[Step]) -> Way:
    """A way to the gate, set out on with the steps that served another layout as far as they can be taken on this one."""
    if begin:
        sight = _sight(base, record)
        able = [step for step in begin if step.id not in record.answers and _can_be_taken(base, step, sight)]
        way = walk_to(base, record, PROOF_DAY, gate, able)
        if not way.stuck:
            return way
    return walk_to(base, record, PROOF_DAY, gate)


def _sight(base: RuleBase, record: Record) -> Sight:
    case = open_case(compile_base(base), record, PROOF_DAY)
    return Reading(case, gate_values(case)).sight


def _can_be_taken(base: RuleBase, step: Step, sight: Sight) -> bool:
    """Whether the task exists, or the question is asked, on the machine of this sight."""
    compiled = compile_base(base)
    test = compiled.only_if.get(step.id) if step.kind == "task" else compiled.skips.get(step.id)
    settled = step.kind == "answer" and step.id in base.layouts[str(sight.rule["layout"])].settles
    return not settled and not (test and test(sight) is (step.kind == "answer"))


def _before(compiled: Compiled, gate: str) -> set[str]:
    """Gates that this one always comes after."""
    found: set[str] = set()
    todo = [gate]
    while todo:
        for other, when in compiled.after[todo.pop()]:
            if when is None and other not in found:
                found.add(other)
                todo.append(other)
    return found


def _bare(base: RuleBase, seeker: Seeker, gate: Gate, layout: str) -> Record | None:
    """A record with the layout and a goal for which the gate is needed."""
    answers: dict[str, Value] = {"layout": layout} if "layout" in base.questions else {}
    if gate.not_needed:
        goal = seeker.find((gate.not_needed, False, False), layout=layout)
        if goal is None:
            return None
        answers.update({name: value for name, value in goal.answers.items() if isinstance(value, str)})
    return Record(answers={name: Answer(value) for name, value in answers.items()})
