"""Write a sale sheet as plain text to paste, as Markdown or as one HTML page. The words come from the pages.

The plain text keeps each paragraph on one line, so that any form or message takes it. User text is escaped for each.
"""

from collections.abc import Iterator

from revive.render.blocks import Block, Page
from revive.render.markdown import pages_markdown
from revive.render.templating import environment

_CUT = {
    "sale": "----- the description ends here -----",
    "evidence": "----- the evidence sheet ends here -----",
}


def sale_text(pages: tuple[Page, ...]) -> str:
    """Plain text, one paragraph a line."""
    parts = []
    for page in pages:
        parts.append("\n".join(line for block in page.blocks for line in _lines(block)).strip("\n"))
        parts += [_CUT[page.id]] if page.id in _CUT else []
    return "\n\n".join(parts) + "\n"


def sale_markdown(pages: tuple[Page, ...]) -> str:
    """Markdown, with a rule between the parts."""
    return "\n---\n\n".join(pages_markdown((page,)) for page in pages)


def sale_html(pages: tuple[Page, ...]) -> str:
    """One HTML page that needs nothing from outside; each part begins a new sheet of paper."""
    return environment().get_template("listing.html").render(title=pages[0].blocks[0].text, pages=pages)


def _lines(block: Block) -> Iterator[str]:
    if block.kind == "gap":
        yield from ("", "----- the description begins here -----")
    elif block.kind == "heading":
        text = block.text.upper() if block.level < 3 else block.text
        yield from ("", text, ("=" if block.level < 3 else "-") * min(len(text), 78))
    elif block.kind in ("list", "steps", "care"):
        yield ""
        if block.label:
            yield f"{block.label}:"
        for number, item in enumerate(block.items, start=1):
            mark = {"list": "-", "steps": f"{number}.", "care": "!"}[block.kind]
            yield f"{mark} {item}"
    elif block.text:
        yield from ("", f"{block.label}: {block.text}" if block.label else block.text)
