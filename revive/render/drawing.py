"""Draw in SVG with shapes, hatching and words: no colours, no references, nothing fetched. Knows nothing of machines.

A drawing is 340 units wide, so that it is read on a narrow telephone without being made smaller.
"""

from dataclasses import dataclass, field
from html import escape

from revive.text import inert

WIDTH = 340
INK, PAPER = "#111", "#fff"
_EM = 0.56
_EM_BOLD = 0.61
_HATCH = 6.0


@dataclass(frozen=True)
class Picture:
    """A finished picture. title and told are its text alternative; key says what its shapes mean, for everybody."""

    name: str
    title: str
    told: str
    key: str
    svg: str


@dataclass
class Drawing:
    """A sheet that shapes are put on; positions count from the top left corner."""

    parts: list[str] = field(default_factory=list)

    def box(
        self, x: float, y: float, wide: float, high: float, fill: str = PAPER, pen: float = 1.5, dash: str = ""
    ) -> None:
        """A rectangle. dash: lengths of strokes and gaps, empty for a whole line; pen 0 for no outline."""
        edge = f' stroke="{INK}" stroke-width="{pen:g}"' if pen else ""
        self.parts.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(wide, 0):.1f}" height="{high:.1f}" fill="{fill}"{edge}{_dash(dash)}/>'
        )

    def hatched(self, x: float, y: float, wide: float, high: float, pen: float = 1.0, outline: bool = True) -> None:
        """A rectangle filled with slanting lines, each cut off at its edge."""
        reach = -high + _HATCH / 2
        while reach < wide:
            x1, y1 = x + max(reach, 0), y + high - max(-reach, 0)
            run = min(reach + high, wide) - max(reach, 0)
            if run > 0:
                self.line(x1, y1, x1 + run, y1 - run, pen)
            reach += _HATCH
        if outline:
            self.parts.append(
                f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(wide, 0):.1f}" height="{high:.1f}" fill="none" '
                f'stroke="{INK}" stroke-width="1.5"/>'
            )

    def line(self, x1: float, y1: float, x2: float, y2: float, pen: float = 1.5, dash: str = "") -> None:
        self.parts.append(
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{INK}" stroke-width="{pen:g}"{_dash(dash)}/>'
        )

    def shape(self, corners: list[tuple[float, float]], fill: str = INK, pen: float = 0) -> None:
        """A closed shape through the corners."""
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)
        self.parts.append(f'<polygon points="{points}" fill="{fill}" stroke="{INK}" stroke-width="{pen:g}"/>')

    def ring(self, x: float, y: float, radius: float, fill: str = PAPER, pen: float = 1.5) -> None:
        self.parts.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="{fill}" stroke="{INK}" stroke-width="{pen:g}"/>'
        )

    def words(
        self, x: float, y: float, text: str, size: float = 14, bold: bool = False, anchor: str = "start", ink: str = INK
    ) -> None:
        """One line of words on the base line y. anchor: start, middle or end."""
        weight = ' font-weight="700"' if bold else ""
        self.parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}" fill="{ink}"{weight}>'
            f"{_plain(text)}</text>"
        )

    def lines(self, x: float, y: float, text: str, wide: float, size: float = 14, bold: bool = False) -> float:
        """Words broken to fit a width; returns the base line for what follows."""
        for row in broken(text, wide, size, bold):
            self.words(x, y, row, size, bold)
            y += size * 1.25
        return y

    def heap(self, x: float, y: float) -> None:
        """The sign for settled dirt: a heap of grains that stands on y."""
        for row, count in enumerate((4, 3, 2)):
            for place in range(count):
                self.ring(x + row * 2.5 + place * 5 + 2, y - 2 - row * 4.4, 2.1, INK, 0)

    def done(self, name: str, title: str, told: str, key: str, high: float) -> Picture:
        """The picture, with its text alternative built in."""
        svg = (
            f'<svg role="img" aria-labelledby="{name}-title {name}-told" viewBox="0 0 {WIDTH} {high:.0f}" class="picture">'
            f'<title id="{name}-title">{_plain(title)}</title><desc id="{name}-told">{_plain(told)}</desc>'
            f"{''.join(self.parts)}</svg>"
        )
        return Picture(name, title, told, key, svg)


def broken(text: str, wide: float, size: float = 14, bold: bool = False) -> list[str]:
    """Text in rows that fit a width, by the usual width of letters.

    >>> broken("pump on the cam or crank nose", 110)
    ['pump on the', 'cam or crank', 'nose']
    """
    room = max(int(wide / (size * (_EM_BOLD if bold else _EM))), 4)
    rows: list[str] = []
    for word in text.split():
        while len(word) > room:
            head, word = word[: room - 1] + "-", word[room - 1 :]
            rows.append(head)
        if rows and len(rows[-1]) + 1 + len(word) <= room:
            rows[-1] += " " + word
        else:
            rows.append(word)
    return rows


def _plain(text: str) -> str:
    return escape(inert(text))


def _dash(dash: str) -> str:
    return f' stroke-dasharray="{dash}"' if dash else ""
