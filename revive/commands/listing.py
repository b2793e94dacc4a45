"""Print a sale description that says no more than the record proves, with its evidence sheet. Changes nothing."""

import argparse

from revive.commands.common import hold_record, plan_for, rule_base
from revive.commands.output import give_out


def run(arguments: argparse.Namespace) -> int:
    """Show or write the sheet; 0 when done."""
    from hashlib import sha256

    from revive.engine.claims import study_sale
    from revive.render.listing import sale_pages
    from revive.render.measures import in_units
    from revive.render.sale_forms import sale_html, sale_markdown, sale_text

    base = rule_base(arguments)
    held = hold_record(arguments, base)
    plan = plan_for(arguments, held)
    study = study_sale(base, held.record, plan, plan.made_on)
    number = f"{plan.made_on}-{sha256(held.data or b'').hexdigest()[:8]}"
    pages = in_units(sale_pages(base, held.record, plan, study, number), arguments.units, plan.machine)
    text = {"text": sale_text, "markdown": sale_markdown, "html": sale_html}[arguments.form](pages)
    give_out(text, arguments.form, arguments.out, arguments.record)
    return 0
