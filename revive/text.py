"""Make text safe and readable for a terminal or a page. Words nothing."""

import re

_CONTROL = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff\ufff9-\ufffb"
    r"\U000e0000-\U000e007f]"
)


def inert(text: object) -> str:
    """Text without control characters, so that it cannot steer a terminal."""
    return _CONTROL.sub("", str(text))


def inert_json(text: str) -> str:
    """JSON text whose strings hold no character that could steer a terminal; another program reads the same from it.

    >>> inert_json('["a\\u009b2J"]')
    '["a\\\\u009b2J"]'
    """

    def escaped(found: re.Match[str]) -> str:
        units = found[0].encode("utf-16-be", "surrogatepass")
        return "".join(f"\\u{units[at]:02x}{units[at + 1]:02x}" for at in range(0, len(units), 2))

    if text.replace("\n", "").isprintable():  # no control character is; far quicker to see than to look for each
        return text
    return _CONTROL.sub(escaped, text)


def spoken(value: object) -> str:
    """An answer's value as it is read: ids with spaces, numbers without a needless fraction."""
    if isinstance(value, list | tuple):
        return ", ".join(spoken(item) for item in value)
    if isinstance(value, float | int) and not isinstance(value, bool):
        return f"{value:g}"
    return inert(value).replace("_", " ")


def span(minutes: float) -> str:
    """A time as people say it.

    >>> span(45), span(90), span(600)
    ('45 min', '1.5 h', '10 h')
    """
    if minutes < 60:
        return f"{minutes:.0f} min"
    hours = minutes / 60
    return f"{hours:.1f} h".replace(".0 h", " h") if hours < 10 else f"{hours:.0f} h"


def hours_words(least_h: float, most_h: float) -> str:
    """A range of hands-on hours as it is read.

    >>> hours_words(0, 12), hours_words(3, 11), hours_words(0, 0)
    ('up to 12 h', '3 h to 11 h', 'no hours of work')
    """
    if most_h == 0:
        return "no hours of work"
    if least_h == 0:
        return f"up to {span(most_h * 60)}"
    return f"{span(least_h * 60)} to {span(most_h * 60)}"
