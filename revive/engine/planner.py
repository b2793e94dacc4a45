"""Make a plan from a rule base, a record and a day. Pure: the same three always give the same plan."""

from collections.abc import Iterable, Mapping
from typing import Any

from revive.engine.calls import Caller
from revive.engine.figuring import figures_and_questions
from revive.engine.gates import GateFinding
from revive.engine.gathering import TaskCalls
from revive.engine.interview import questions_to_ask
from revive.engine.meant import left_out
from revive.engine.ordering import working_order
from revive.engine.parts import sum_parts
from revive.engine.study import Study, because, study_case, worst_of_all
from revive.engine.summary import fallbacks_used, sources_used, verdict
from revive.model import GATES, SEVERITIES, Record, Rule, RuleBase
from revive.plan import Assumed, Clash, Plan, PlanGate, PlanStop, PlanTask, Possible, Reason


def make_plan(base: RuleBase, record: Record, today: str, version: str = "") -> Plan:
    """The plan for one record. today: ISO date of the plan. version: of the program, printed with the digest."""
    return write_plan(Caller(study_case(base, record, today)), version)


def make_tasks(base: RuleBase, record: Record, today: str) -> tuple[PlanTask, ...]:
    """The tasks alone of the plan that make_plan makes, for who needs no more of it."""
    study = study_case(base, record, today)
    return _plan_tasks(study, TaskCalls(Caller(study)).gather(), _findings(study))


def write_plan(caller: Caller, version: str = "") -> Plan:
    """The plan of a record that has been studied."""
    study, case, judge, base = caller.study, caller.case, caller.judge, caller.base
    findings = _findings(study)
    calls = TaskCalls(caller).gather()
    tasks = _plan_tasks(study, calls, findings)
    figures, figure_questions = figures_and_questions(study, tasks)
    asked = questions_to_ask(case, judge, study.recorded, study.states, calls.unsure)
    return Plan(
        made_on=case.today,
        rules_version=version,
        rules_digest=base.digest,
        machine=dict(case.record.machine),
        verdict=verdict(base, findings, judge.needed),
        gates=tuple(_plan_gate(study, finding) for finding in findings.values()),
        stops=tuple(_plan_stops(study)),
        tasks=tasks,
        possible=tuple(Possible(task, tuple(names)) for task, names in calls.possible.items()),
        parts=sum_parts(base, tasks, worst_of_all(study).sight.rule),
        assumed=tuple(_assumed(study)),
        to_ask=tuple(dict.fromkeys([*asked, *figure_questions])),
        skipped=tuple(
            question.id
            for question in base.questions.values()
            if question.id not in case.answers and not judge.plain.applies(question)
        ),
        contradictions=tuple(_clashes(study)),
        rule_states=study.states,
        figures=figures,
        sources=sources_used(base, tasks),
        fallbacks=fallbacks_used(case, study.states, judge.needed, study.assumed),
        overrides=base.overrides,
    )


def _findings(study: Study) -> dict[str, GateFinding]:
    return {gate: study.judge.finding(gate) for gate in GATES if gate in study.case.compiled.base.gates}


def _plan_gate(study: Study, finding: GateFinding) -> PlanGate:
    gate = study.case.compiled.base.gates[finding.id]
    dates = [work.on for work in study.case.record.done.values() if work.on] if finding.state == "open" else []
    return PlanGate(gate.id, gate.title, finding.state, finding.holds, (), max(dates, default=""))


def _plan_stops(study: Study) -> Iterable[PlanStop]:
    base, judge = study.case.compiled.base, study.judge
    raisers: dict[str, list[Rule]] = {}
    for rule in base.rules.values():
        if rule.stop and study.states[rule.id] != "quiet":
            raisers.setdefault(rule.stop, []).append(rule)
    for stop in base.stops.values():
        rules = raisers.get(stop.id, [])
        certain = [rule for rule in rules if study.states[rule.id] == "certain"]
        standing = [rule for rule in certain if any(judge.cleared(rule, gate) is not True for gate in rule.holds)]
        by_state = [rule for rule in rules if study.states[rule.id] == "assumed"]
        if not rules:
            continue
        state = "standing" if standing else "assumed" if by_state else "cleared" if certain else "possible"
        shown = standing or by_state or certain or rules
        shuts = tuple(gate for gate in GATES if gate in judge.needed and any(gate in rule.holds for rule in shown))
        if shuts:
            yield PlanStop(
                stop.id, stop.title, state, shuts, tuple(rule.id for rule in shown), stop.clears_text, stop.text
            )


def _plan_tasks(study: Study, calls: TaskCalls, findings: Mapping[str, GateFinding]) -> tuple[PlanTask, ...]:
    base, done = study.case.compiled.base, study.case.record.done
    wanted = dict(calls.reasons)
    for finished_id in done:
        wanted.setdefault(finished_id, [])
    optional = {task for task, why in wanted.items() if why and all(reason.severity == "note" for reason in why)}
    again = {task for task in wanted if task in done and calls.is_void(task)}
    finished = {task for task in done if task not in again}
    order = working_order(base, wanted, calls.due, finished, calls.looks_first)
    open_gates = {gate for gate, finding in findings.items() if finding.state == "open"}
    result = []
    for place, task_id in enumerate(order, start=1):
        task = base.tasks[task_id]
        before = tuple(other for other in task.after if other in wanted)
        waited_for = [other for other in before if other not in optional]
        certain = not wanted[task_id] or any(reason.certainty == "certain" for reason in wanted[task_id])
        result.append(
            PlanTask(
                id=task_id,
                title=task.title,
                gate=calls.due[task_id],
                order=place,
                state="done" if task_id in finished else "to_do",
                again=task_id in again,
                certainty="certain" if certain else "assumed",
                who=task.who,
                minutes=dict(zip(("least", "likely", "most"), task.minutes, strict=True)),
                wait_h=task.wait_h,
                after=before,
                records=task.records,
                reasons=tuple(_worst_first(wanted[task_id])),
                optional=task_id in optional,
                allowed_now=task_id not in finished
                and all(other in finished for other in waited_for)
                and all(gate in open_gates for gate in study.case.compiled.behind[task_id]),
                decide_by=tuple(sorted(calls.looks_first.get(task_id, ()))) if not certain else (),
                left_out=left_out(study, task),
            )
        )
    return tuple(result)


def _worst_first(reasons: list[Reason]) -> list[Reason]:
    """Certain before assumed, then the gravest first."""
    return sorted(reasons, key=lambda r: (r.certainty != "certain", -SEVERITIES.index(r.severity)))


def _assumed(study: Study) -> Iterable[Assumed]:
    """Questions whose worst value, or what the layout presumes, makes work."""
    base = study.case.compiled.base
    used: dict[str, Any] = {}
    for rule in base.rules.values():
        if study.states[rule.id] == "assumed":
            for reason in because(study, rule.when, "assumed"):
                if reason.assumed:
                    used.setdefault(reason.question, reason.value)
    for name in base.questions:
        if name in used:
            tasks = tuple(task for task in base.questions[name].settled_by if study.judge.exists(task) is not False)
            yield Assumed(name, used[name], tasks)


def _clashes(study: Study) -> Iterable[Clash]:
    for item in study.case.compiled.base.contradictions.values():
        if study.case.compiled.contradictions[item.id](study.recorded.sight):
            yield Clash(item.id, item.questions, item.text, item.trusted)
