"""Show the reasons behind a gate, stop, rule, task, question or limit of one record's plan."""

import argparse
from collections.abc import Sequence

from revive.commands.common import hold_record, plan_for, rule_base, today
from revive.model import DONT_KNOW, GATES, Record, ReviveError, Rule, RuleBase, SourceRef
from revive.plan import Because, Hold, Plan, PlanTask, Step
from revive.problems import nearest, quoted
from revive.render.wording import amount, counted
from revive.text import inert, span, spoken

UNKNOWN = ("not asked yet", "don't know")


def run(arguments: argparse.Namespace) -> int:
    """Print the reasons; 0 when done, ReviveError where the rule base knows no such name."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    plan = plan_for(arguments, held)
    name = arguments.name
    if name in base.gates:
        lines = gate_lines(base, held.record, plan, name, today(arguments))
    elif name in base.stops:
        lines = stop_lines(base, held.record, plan, name)
    elif name in base.rules:
        lines = rule_lines(base, held.record, plan, base.rules[name])
    elif name in base.tasks:
        lines = task_lines(base, held.record, plan, name)
    elif name in base.questions:
        lines = question_lines(base, held.record, plan, name)
    elif name in base.limits:
        lines = limit_lines(base, held.record, name)
    elif any(row["id"] == name for row in plan.figures):
        lines = figure_lines(plan, name)
    else:
        known = [*base.gates, *base.stops, *base.rules, *base.tasks, *base.questions, *base.limits]
        known += [row["id"] for row in plan.figures]
        close = nearest(name, known)
        raise ReviveError(
            f"nothing in the rule base is called {quoted(name)}\n    "
            + (f"Did you mean '{close}'?" if close else "Name a gate, stop, rule, task or question of the plan.")
        )
    print("\n".join(lines))
    return 0


def gate_lines(base: RuleBase, record: Record, plan: Plan, name: str, day: str) -> list[str]:
    """State, everything that holds the gate with the answers behind it, and the least that would open it."""
    gate = next(gate for gate in plan.gates if gate.id == name)
    lines = [f"{inert(gate.title)} (gate {name}): {gate.state.replace('_', ' ')}"]
    if gate.state == "open":
        return [*lines, f"Open on the evidence of {gate.opened_on or 'undated entries'}."]
    if gate.state == "not_needed":
        return [*lines, "The goal of this plan does not use it. That does not make it open."]
    shut = [hold for hold in gate.held_by if hold.shut]
    if shut:
        lines += ["", "It is held shut by:"]
        for hold in shut:
            lines += hold_lines(base, record, plan, hold)
    unproven = [hold for hold in gate.held_by if not hold.shut]
    if unproven:
        lines += ["", "It is not proved either while these are not known:", *unknown_lines(base, record, unproven)]
    stops = dict.fromkeys(hold.id for hold in gate.held_by if hold.kind == "stop")
    if stops:
        lines += ["", "What clears the stops named here:"]
        lines += [f"  - {inert(base.stops[stop].title)}: {inert(base.stops[stop].clears_text)}" for stop in stops]
    lines += ["", *least_lines(base, record, day, name)]
    return lines


def hold_lines(base: RuleBase, record: Record, plan: Plan, hold: Hold) -> list[str]:
    """One thing that holds a gate, the answers behind it, and what would settle it."""
    if hold.kind == "gate":
        return [f"  - the gate before it: {inert(hold.text)}. See: revive why RECORD {hold.id}"]
    label = {"stop": f"stop {hold.id}", "rule": f"rule {hold.id}", "need": "need"}[hold.kind]
    lines = [f"  - {inert(hold.text)} ({label})"]
    rule = base.rules.get(hold.rule)
    if rule:
        lines += [f"      because {words}" for words in because_of(base, record, rule)]
    if hold.kind != "stop" and hold.waits_for:
        lines.append(f"      waits for: {'; '.join(named(base, record, one) for one in hold.waits_for[:8])}")
    return lines


def unknown_lines(base: RuleBase, record: Record, holds: list[Hold]) -> list[str]:
    """What is not known, each with what it could still mean; holds that wait for the same answers stand together."""
    from revive.engine.compiled import compile_base

    groups: dict[tuple[str, ...], list[Hold]] = {}
    for hold in holds:
        names = compile_base(base).questions_of[hold.rule] if hold.rule else hold.waits_for
        unknown = tuple(name for name in names if name in base.questions and known(base, record, name) in UNKNOWN)
        groups.setdefault(unknown or names, []).append(hold)
    lines = []
    for names, group in groups.items():
        asked = "; ".join(named(base, record, name) for name in names)
        lines.append(f"  - {asked or 'work on record'}")
        for hold in group:
            head = "needed" if hold.kind == "need" else "could mean"
            lines.append(f"      {head}: {inert(hold.text)}" + (f" (stop {hold.id})" if hold.kind == "stop" else ""))
    return lines


def named(base: RuleBase, record: Record, name: str) -> str:
    """A task by its title, a question with what is known of it, a derived fact by its meaning."""
    if name in base.tasks:
        return inert(base.tasks[name].title[0].lower() + base.tasks[name].title[1:])
    if name in base.questions:
        return f"{inert(base.questions[name].ask)} {known(base, record, name)} ({name})"
    return inert(base.facts[name].text) if name in base.facts and base.facts[name].text else spoken(name)


def known(base: RuleBase, record: Record, name: str) -> str:
    """What a record says of a question, in words."""
    answer = record.answers.get(name)
    return answer_words(base, name, answer.value) if answer else "not asked yet"


def answer_words(base: RuleBase, name: str, value: object) -> str:
    """An answer as its choice says it, or with its unit."""
    if value == DONT_KNOW:
        return "don't know"
    if isinstance(value, list | tuple):
        return "; ".join(answer_words(base, name, one) for one in value)
    question = base.questions[name]
    if isinstance(value, float | int):
        return amount(value, question.unit)
    return inert(question.choices.get(str(value)) or spoken(value))


def because_of(base: RuleBase, record: Record, rule: Rule) -> list[str]:
    """The answers that a rule reads, with what each says now."""
    from revive.engine.compiled import compile_base

    return [named(base, record, name) for name in compile_base(base).questions_of[rule.id]]


def least_lines(base: RuleBase, record: Record, day: str, gate: str) -> list[str]:
    """The least that would open a gate, in working order, with the hands-on time of its tasks."""
    from revive.engine.opening import least_to_open

    steps = least_to_open(base, record, day, gate)
    if not steps:
        return ["No way to open it was found from here; read the stops above."]
    minutes = sum(base.tasks[step.id].minutes[1] for step in steps if step.kind == "task")
    lines = [
        f"The least that would open it, if all that you find is good ({counted(len(steps), 'step')}, about {span(minutes)} of hands-on",
        "work). Write down what you see, not what is wanted: another finding asks for other work, and the plan follows it.",
    ]
    return lines + [f"  {number:2}. {step_words(base, record, step)}" for number, step in enumerate(steps, start=1)]


def step_words(base: RuleBase, record: Record, step: Step) -> str:
    """One step as a line: work to do, or what a look, or somebody who knows, would have to say."""
    if step.kind == "task":
        return f"{inert(base.tasks[step.id].title)} (revive done RECORD {step.id})"
    value = ",".join(step.value) if isinstance(step.value, tuple) else spoken(step.value).replace(" ", "_")
    question, answer = base.questions[step.id], record.answers.get(step.id)
    told = f"{inert(question.ask)} {answer_words(base, step.id, step.value)} ({step.id}={value})"
    if answer and answer.value not in (DONT_KNOW, step.value):
        otherwise = "that proves wrong" if question.stage == 1 else "a look shows otherwise"
        return f"on record: {known(base, record, step.id)}; only if {otherwise}: {told}"
    return f"if somebody knows it, or it is proved: {told}" if question.stage == 1 else f"look, and if you find: {told}"


def stop_lines(base: RuleBase, record: Record, plan: Plan, name: str) -> list[str]:
    """What a stop is about, whether it stands, what raised it and what clears it."""
    stop = base.stops[name]
    now = next((one for one in plan.stops if one.id == name), None)
    lines = [
        f"{inert(stop.title)} (stop {name}): {now.state if now else 'not raised'}",
        f"Danger: {inert(stop.danger)}",
    ]
    for rule_id in now.raised_by if now else stop.clears:
        rule = base.rules.get(rule_id)
        if rule:
            lines.append(f"  {'raised by' if now else 'would be raised by'}: {inert(rule.finding)} (rule {rule_id})")
            lines += [f"      because {words}" for words in because_of(base, record, rule)]
    if now:
        lines.append(f"Shuts: {gates_named(base, now.shuts)}")
    return [*lines, f"Cleared by: {inert(stop.clears_text)}", f"Meanwhile: {inert(stop.meanwhile)}"]


def rule_lines(base: RuleBase, record: Record, plan: Plan, rule: Rule) -> list[str]:
    """A rule with its state, the answers it reads and the source it rests on."""
    lines = [
        f"{inert(rule.finding)} (rule {rule.id}, {spoken(rule.severity)}): {plan.rule_states[rule.id]}",
        *[f"  because {words}" for words in because_of(base, record, rule) or ["it holds for every machine"]],
    ]
    if rule.why:
        lines.append(f"  {inert(rule.why)}")
    if rule.adds:
        lines += [f"  adds: {inert(base.tasks[task].title)} (task {task})" for task in rule.adds]
    if rule.holds:
        lines.append(f"  holds shut: {gates_named(base, [gate for gate in GATES if gate in rule.holds])}")
    return [*lines, f"  rests on: {sources(base, rule.sources)}", f"  written in {rule.place}"]


def sources(base: RuleBase, refs: tuple[SourceRef, ...]) -> str:
    """Sources in words, with the place in each."""
    words = {"common_practice": "common practice of the trade", "from_memory": "memory, no source at hand"}
    found = []
    for ref in refs:
        title = words.get(ref.id) or base.sources[ref.id].title
        found.append(f"{title}, {ref.where}" if ref.where else title)
    return inert("; ".join(found))


def task_lines(base: RuleBase, record: Record, plan: Plan, name: str) -> list[str]:
    """Why a task is in the plan, or why it is not."""
    task = next((one for one in plan.tasks if one.id == name), None)
    if task is None:
        possible = next((one for one in plan.possible if one.task == name), None)
        if possible:
            return [
                f"{inert(base.tasks[name].title)} (task {name}): possible. It hangs on:",
                *[f"  - {named(base, record, one)}" for one in possible.hangs_on],
            ]
        return [f"{inert(base.tasks[name].title)} (task {name}): not in this plan; nothing on record calls for it."]
    state = "due again" if task.again else task.state.replace("_", " ")
    lines = [f"{inert(task.title)} (task {name}): {state}, {task.certainty}, before the gate {task.gate}"]
    for reason in task.reasons:
        lines.append(f"  - {inert(reason.finding)} ({reason.rule}, {reason.certainty})")
        if reason.because:
            lines += [f"      because {because_words(base, one)}" for one in reason.because]
        if reason.rule in base.rules:
            lines.append(f"      rests on: {sources(base, base.rules[reason.rule].sources)}")
    return [*lines, f"Hands-on: {task_span(task)}.", f"Method rests on: {sources(base, base.tasks[name].sources)}"]


def because_words(base: RuleBase, because: Because) -> str:
    """One answer behind a reason."""
    said = spoken(because.value)
    if because.question in base.questions:
        said = f"{inert(base.questions[because.question].ask)} {answer_words(base, because.question, because.value)}"
    return f"{said} ({because.question}{', assumed' if because.assumed else ''})"


def gates_named(base: RuleBase, gates: Sequence[str]) -> str:
    """Gates by title, with the id that is typed."""
    return "; ".join(f"{inert(base.gates[gate].title)} (gate {gate})" for gate in gates if gate in base.gates)


def task_span(task: PlanTask) -> str:
    """Least, likely and most hands-on time of a task."""
    least, likely, most = (span(task.minutes[key]) for key in ("least", "likely", "most"))
    return f"{likely} ({least} to {most})"


def question_lines(base: RuleBase, record: Record, plan: Plan, name: str) -> list[str]:
    """What a question is for, what is known of it and who reads it."""
    question = base.questions[name]
    from revive.engine.compiled import compile_base

    readers = [rule for rule, names in compile_base(base).questions_of.items() if name in names]
    lines = [
        f"{inert(question.ask)} (question {name}): {known(base, record, name)}",
        f"  how to look: {inert(question.how)}",
    ]
    if question.why:
        lines.append(f"  why: {inert(question.why)}")
    for rule_id in readers:
        lines.append(f"  read by: {inert(base.rules[rule_id].finding)} (rule {rule_id}, {plan.rule_states[rule_id]})")
    return lines


def limit_lines(base: RuleBase, record: Record, name: str) -> list[str]:
    """A shared number, the maker's figure where the record has one, and the source."""
    limit, figure = base.limits[name], record.maker.get(name)
    lines = [f"{inert(limit.text)} (limit {name}): {amount(limit.value, limit.unit)}"]
    if figure:
        lines.append(
            f"  The maker's figure is used instead: {amount(figure.value, figure.unit)}, {inert(figure.where)}"
        )
    return [*lines, f"  rests on: {sources(base, limit.sources)}"]


def figure_lines(plan: Plan, name: str) -> list[str]:
    """A figure of the plan: what it decides, where its inputs come from, method, source and limits of use."""
    from dataclasses import replace

    from revive.render.figures_page import figure_blocks

    rows = tuple(row for row in plan.figures if row["id"] == name)
    blocks = figure_blocks(replace(plan, figures=rows))
    return [f"{block.label}: {block.text}" if block.label else block.text for block in blocks if block.level != 2]
