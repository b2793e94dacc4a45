"""Write a plan as Markdown for printing or a page. The words come from the pages; every one of them is escaped here."""

import re
from functools import lru_cache

from revive.model import RuleBase
from revive.plan import Plan
from revive.render.blocks import Block, Page
from revive.render.measures import in_units
from revive.render.pages import arrange

_SPECIAL = re.compile(r"([\\`*\[\]|~$@^{}]|(?<![^\W_])_|_(?![^\W_]))")
_AT_START = re.compile(r"^(?:([-+=#:])|(\d{1,9})([.)]))")


def plan_markdown(
    plan: Plan,
    base: RuleBase,
    reader: str,
    full: bool = False,
    units: str = "metric",
    cards: tuple[str, ...] = (),
) -> str:
    """The plan as Markdown text. units: metric or imperial, for what is shown. cards: only the cards of these tasks."""
    return pages_markdown(in_units(arrange(plan, base, reader, full, cards), units, plan.machine))


def pages_markdown(pages: tuple[Page, ...]) -> str:
    """Pages that are arranged already."""
    pieces = [_block(block) for page in pages for block in page.blocks if block.kind != "gap"]
    return "\n\n".join(pieces) + "\n"


@lru_cache(maxsize=8192)
def escape(text: str) -> str:
    """Words that Markdown and HTML take as nothing but words; `text` is one line.

    >>> escape("<b>*no* [link](x)")
    '&lt;b&gt;\\\\*no\\\\* \\\\[link\\\\](x)'
    """
    text = _SPECIAL.sub(r"\\\1", text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = re.sub(r"(?i)\bwww\.", lambda found: found[0][:-1] + "\\.", text).replace("://", ":/\\/")
    return _AT_START.sub(lambda found: f"\\{found[1]}" if found[1] else f"{found[2]}\\{found[3]}", text)


def _block(block: Block) -> str:
    label = f"**{escape(block.label)}:**" if block.label else ""
    if block.kind == "heading":
        return f"{'#' * block.level} {escape(block.text)}"
    if block.kind == "lead":
        return f"**{escape(block.text)}**"
    if block.kind == "line":
        return f"{label} {escape(block.text)}".strip()
    if block.kind == "command":
        return f"{label} `{block.text.replace('`', '')}`".strip()
    if block.tight and block.kind == "list":
        stop = block.running()[-1]
        return f"{label} {'; '.join(map(escape, block.items)).removesuffix(stop)}{stop}".strip()
    if block.tight and block.kind == "care":
        return f"{label} {' '.join(f'**!** {escape(item)}' for item in block.items)}".strip()
    mark = {"list": "- {}", "boxes": "- [ ] {}", "steps": "{number}. {}", "care": "- **!** {}"}[block.kind]
    rows = [mark.format(escape(item), number=number) for number, item in enumerate(block.items, start=1)]
    return "\n".join([label, "", *rows] if label else rows)
