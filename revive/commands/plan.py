"""Print the plan for a record. Asks nothing and changes nothing."""

import argparse

from revive import __version__
from revive.commands.common import hold_record, rule_base, today
from revive.commands.output import give_out
from revive.engine.calls import Caller
from revive.engine.planner import write_plan
from revive.engine.study import study_case
from revive.frozen import replace
from revive.model import Record, ReviveError, RuleBase
from revive.plan import Plan
from revive.problems import nearest, quoted


def run(arguments: argparse.Namespace) -> int:
    """Show the plan as asked; 0 when done."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    caller = Caller(study_case(base, held.record, today(arguments)))
    plan = write_plan(caller, __version__)
    if plan.assumed:
        from revive.engine.worth import with_worth

        plan = with_worth(plan, caller)
    plan = with_days(plan, base, arguments)
    reader = reader_of(arguments, held.record.answers)
    cards = tuple(card_named(base, plan, name) for name in arguments.card)
    if arguments.form == "json":
        from revive.render.data import plan_json

        text = plan_json(with_least(plan, base, held.record))
    elif arguments.form == "markdown":
        from revive.render.markdown import plan_markdown

        text = plan_markdown(plan, base, reader, arguments.full, arguments.units, cards)
    elif arguments.form == "html":
        from revive.render.page import plan_html

        text = plan_html(plan, base, reader, arguments.full, held.record, arguments.units, cards)
    else:
        from revive.render.terminal import plan_terminal

        text = plan_terminal(plan, base, reader, arguments.full, units=arguments.units, cards=cards)
    give_out(text, arguments.form, arguments.out, arguments.record)
    return 0


def card_named(base: RuleBase, plan: Plan, name: str) -> str:
    """The id of a task of the plan, by its id or its number; ReviveError where the plan has none such."""
    found = next((task.id for task in plan.tasks if name in (task.id, str(task.order))), "")
    if found:
        return found
    if name in base.tasks:
        raise ReviveError(f"{quoted(name)} is not in this plan, so it has no card\n    Ask: revive why RECORD {name}")
    close = nearest(name, base.tasks)
    raise ReviveError(
        f"no task of this plan is called {quoted(name)}\n    "
        + (f"Did you mean '{close}'?" if close else "Name a task by its id or by its number in the plan.")
    )


def with_least(plan: Plan, base: RuleBase, record: Record) -> Plan:
    """The plan with the least that would open its next gate; for a later gate `revive why` reckons it."""
    if plan.verdict.next_gate is None:
        return plan
    from revive.engine.opening import least_to_open

    steps = least_to_open(base, record, plan.made_on, plan.verdict.next_gate)
    gates = (replace(gate, least_to_open=steps) if gate.id == plan.verdict.next_gate else gate for gate in plan.gates)
    return replace(plan, gates=tuple(gates))


def with_days(plan: Plan, base: RuleBase, arguments: argparse.Namespace) -> Plan:
    """The plan with its work laid out over days, as the arguments ask."""
    from revive.engine.schedule import make_schedule

    days = make_schedule(
        base,
        plan.tasks,
        people=arguments.people,
        hours_per_day=hours_of(arguments.hours_per_day),
        weekday_hours=weekday_hours(arguments.hours_per_day),
        start=arguments.start or plan.made_on,
    )
    return replace(plan, schedule=days)


def hours_of(text: str) -> float:
    """Hours of work a day; with hours by weekday, those of the days that are not named."""
    plain = [part for part in text.split(",") if "=" not in part]
    try:
        return float(plain[0]) if plain else 0.0
    except ValueError:
        raise ReviveError(
            f"--hours-per-day is {quoted(text)}\n    Write hours, as 4, or by weekday, as 3,sat=6,sun=0"
        ) from None


def weekday_hours(text: str) -> dict[str, float] | None:
    """Hours by weekday, from a text such as 3,sat=6; None where no day is named."""
    named = [part.split("=", 1) for part in text.split(",") if "=" in part]
    try:
        chosen = {day.strip().lower()[:3]: float(hours) for day, hours in named}
    except ValueError:
        raise ReviveError(
            f"--hours-per-day is {quoted(text)}\n    Write hours, as 4, or by weekday, as 3,sat=6,sun=0"
        ) from None
    days = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    return {**dict.fromkeys(days, hours_of(text)), **chosen} if chosen else None


def reader_of(arguments: argparse.Namespace, answers: object) -> str:
    """Who reads: as asked for, else who the record says, else the owner."""
    if arguments.reader:
        return str(arguments.reader)
    role = answers.get("user_role") if isinstance(answers, dict) else None
    return role.value if role and role.value in ("owner", "seller", "club_officer") else "owner"
