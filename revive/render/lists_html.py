"""Write the lists as one HTML page that needs nothing from outside: to tick on a telephone, and to print and hand over."""

from revive.render.blocks import Page
from revive.render.templating import environment


def lists_html(pages: tuple[Page, ...]) -> str:
    """The page. Each list begins a new sheet of paper; user text is escaped by the template."""
    return environment().get_template("lists.html").render(title=pages[0].blocks[0].text, pages=pages)
