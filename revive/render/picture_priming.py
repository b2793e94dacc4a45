"""Draw the bursts of priming on one time line: what was cranked, what was seen, and when oil was to be expected."""

from collections.abc import Sequence

from revive.render.drawing import INK, PAPER, Drawing, Picture
from revive.render.measures import show
from revive.render.wording import counted, flat
from revive.wizard.priming import Burst, Setup, pumped

AXIS, END = 70, 330
ROW = 44
MOST_BURSTS = 30
MOST_LETTERS = 24
KEY = (
    "Each black piece is one burst, put where it falls in the cranking so far; rests are not counted. The hatched band is "
    "the time in which oil is expected. The broken line is where cranking ends and tracing begins. Below each burst one "
    "square stands for each point: filled where oil was seen."
)
_HOW = {"dry": "dry", "spits": "spits", "runs": "runs without a break"}


def priming_picture(
    setup: Setup, bursts: Sequence[Burst], expected_s: tuple[float, float] | None, units: str
) -> Picture | None:
    """The bursts since the last mend; None where none is on record. expected_s: shortest and longest, if reckoned."""
    if not bursts:
        return None
    sheet = Drawing()
    total = sum(burst.seconds for burst in bursts)
    whole = max(total, setup.budget_s, 1.0) * 1.06
    scale = (END - AXIS) / whole
    shown = list(enumerate(bursts, start=1))[-MOST_BURSTS:]
    top = 52.0
    bottom = top + ROW * len(shown)
    told = _expected(sheet, expected_s, whole, scale, top, bottom)
    _axis(sheet, whole, scale, top, setup.budget_s)
    limit = AXIS + setup.budget_s * scale
    sheet.line(limit, 30, limit, bottom, 3, "8 4")
    sheet.words(limit + 2, 26, f"{setup.budget_s:g} s: stop, trace", 12, True, "end" if limit > 200 else "start")
    told.append(f"Cranking ends at {setup.budget_s:g} s in all.")
    before = sum(burst.seconds for burst in bursts[: len(bursts) - len(shown)])
    y = top
    for number, burst in shown:
        told.append(_burst(sheet, y, number, burst, before, scale, setup.needed))
        before += burst.seconds
        y += ROW
    moved = pumped(setup, total)
    if moved:
        least, most = (show(float(f"{volume:.2g}"), "ml", units) for volume in moved)
        words = f"The pump should have moved {least} to {most} so far."
        y = sheet.lines(4, y + 14, words, 330, 13)
        told.append(words)
    title = f"Priming, burst by burst: {counted(len(bursts), 'burst')}, {total:g} s in all"
    return sheet.done("picture-priming", title, " ".join(told), KEY, y + 4)


def _expected(
    sheet: Drawing, expected_s: tuple[float, float] | None, whole: float, scale: float, top: float, bottom: float
) -> list[str]:
    if expected_s is None:
        sheet.words(4, 13, "No time can be reckoned for this engine.", 13)
        return ["When oil is to be expected cannot be reckoned for this engine."]
    least, longest = expected_s
    begin, end = min(least, whole), min(longest, whole)
    sheet.hatched(AXIS + begin * scale, top - 2, max((end - begin) * scale, 2), bottom - top + 2, 0.6, False)
    words = f"Oil expected after {least:.0f} to {longest:.0f} s of cranking"
    sheet.words(4, 13, words, 13, True)
    return [f"{words}."]


def _axis(sheet: Drawing, whole: float, scale: float, top: float, limit: float) -> None:
    sheet.line(AXIS, top - 4, END, top - 4, 1.5)
    step = next(step for step in (10, 20, 30, 60, 120, 300, 600) if whole / step <= 6 or step == 600)
    for mark in range(0, int(whole) + 1, step):
        sheet.line(AXIS + mark * scale, top - 9, AXIS + mark * scale, top - 4, 1.5)
        if abs(mark - limit) * scale > 14:
            sheet.words(AXIS + mark * scale, top - 11, f"{mark}", 11, False, "middle")
    sheet.words(4, top - 8, "seconds", 12)


def _burst(sheet: Drawing, y: float, number: int, burst: Burst, before: float, scale: float, needed: int) -> str:
    sheet.words(4, y + 16, f"{number}:", 14, True)
    sheet.words(24, y + 16, f"{burst.seconds:g} s", 13)
    sheet.box(AXIS + before * scale, y + 4, max(burst.seconds * scale, 3), 14, INK, 0)
    seen = "nobody looked" if burst.points_seen is None else f"{burst.points_seen} seen"
    if burst.points_seen is not None and needed:
        seen = f"{burst.points_seen} of {needed}"
    words = (
        f"{seen}, {_HOW.get(burst.how, flat(burst.how)[:MOST_LETTERS])}"
        if burst.how and burst.points_seen is not None
        else seen
    )
    wide = len(words) * 12 * 0.56 + (needed * 13 + 6 if burst.points_seen is not None else 0)
    x = float(AXIS)
    sheet.box(x - 2, y + 21, min(wide, END - AXIS) + 6, 17, PAPER, 0)
    if burst.points_seen is not None:
        for place in range(min(needed, 10)):
            sheet.box(x, y + 24, 10, 10, INK if place < burst.points_seen else PAPER, 1.5)
            x += 13
        x += 4
    sheet.words(x, y + 34, words, 12)
    return f"Burst {number}: {burst.seconds:g} s, {words}."
