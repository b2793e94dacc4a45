"""Print what to buy, what to ask a workshop in writing, and what waste to hand in. Asks nothing and changes nothing."""

import argparse

from revive.commands.common import hold_record, plan_for, rule_base
from revive.commands.output import give_out
from revive.commands.plan import with_days


def run(arguments: argparse.Namespace) -> int:
    """Show or write the lists; 0 when done."""
    from revive.engine.lists import lists_for

    base = rule_base(arguments)
    held = hold_record(arguments, base)
    plan = with_days(plan_for(arguments, held), base, arguments)
    data = lists_for(base, held.record, plan)
    only, form = arguments.only or "", arguments.form
    if form in ("json", "csv"):
        from revive.render.lists_data import lists_csv, lists_json

        text = (
            lists_json(data, plan, only)
            if form == "json"
            else lists_csv(data, plan, base, held.path, only, arguments.units)
        )
    else:
        from revive.render.lists_page import arrange_lists
        from revive.render.measures import in_units

        pages = in_units(arrange_lists(data, plan, base, held.path, only), arguments.units, plan.machine)
        if form == "markdown":
            from revive.render.markdown import pages_markdown

            text = pages_markdown(pages)
        elif form == "html":
            from revive.render.lists_html import lists_html

            text = lists_html(pages)
        else:
            from revive.render.terminal import pages_terminal

            text = pages_terminal(pages)
    give_out(text, form, arguments.out, arguments.record)
    return 0
