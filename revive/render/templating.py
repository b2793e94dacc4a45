"""The templates of the pages. Every word from a record or a rule is escaped by them; a name that is missing is an error."""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def environment() -> "Environment":
    """The environment in which the sheets' templates are read."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    made = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["drawn"] = lambda picture: Markup(picture.svg)  # escaped where it was drawn
    return made
