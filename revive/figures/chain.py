"""How far a drive chain has worn, by its length.

Method: elongation = 100 (measured - n p) / (n p).
Source: limit of 3 % in general, 200/N % for sprockets of more than 67 teeth, 1.5 % on fixed centres: Diamond Chain,
maintenance FAQ. The 2 % for motorcycles is from memory; the maker's manual governs. Sizes: a first digit of eighths of
an inch of pitch and two digits of eightieths of inner width (trade tables); 428 and 532 do not follow it.
Units: mm, %.
Valid: a clean chain pulled tight, measured over straight pitches; worst of three places.
Errors: refused where it is over half a percent shorter than new or over 10 % longer (wrong pitch or count).
"""

from revive.figures.core import Figure, FigureError

LIMIT_PCT = 2.0
GENERAL_LIMIT_PCT = 3.0
INCH_MM = 25.4
IRREGULAR_WIDTH_MM: dict[str, float | None] = {"428": 7.75, "532": None}
"""Sizes whose width does not follow the rule; None where no width was found."""


def chain_wear(
    pitches: float, pitch_mm: float | None = None, measured_mm: float = 0.0, size: str | None = None
) -> Figure:
    """Elongation (%), the limit as percent and as length, and the verdict: renew or serviceable."""
    width: float | None = None
    if size is not None:
        by_size, width = size_of(size)
        if pitch_mm is not None and abs(pitch_mm - by_size) > 0.1:
            raise FigureError(f"size {size} has a pitch of {by_size:g} mm, not {pitch_mm:g}\n    Give one of the two.")
        pitch_mm = by_size
    if pitch_mm is None:
        raise FigureError("chain_wear needs pitch_mm or size\n    The size is stamped on the links, such as 525.")
    if pitches != int(pitches):
        raise FigureError(f"pitches is {pitches:g}; a whole number was expected\n    Count from pin to pin.")
    new_mm = pitches * pitch_mm
    longer = round(100 * (measured_mm - new_mm) / new_mm, 9)
    if not -0.5 <= longer <= 10:
        raise FigureError(
            f"{measured_mm:g} mm over {pitches:g} pitches of {pitch_mm:g} mm would be {longer:+.1f} %\n"
            f"    New it is {new_mm:g} mm: is the count or the pitch another?"
        )
    also: dict[str, float | str] = {
        "limit_pct": LIMIT_PCT,
        "limit_mm": new_mm * (1 + LIMIT_PCT / 100),
        "general_limit_pct": GENERAL_LIMIT_PCT,
        "verdict": "renew" if longer > LIMIT_PCT else "serviceable",
        "pitch_mm": pitch_mm,
    }
    if width is not None:
        also["inner_width_mm"] = width
    return Figure(
        "chain_wear",
        longer,
        "%",
        "100 (measured - pitches x pitch) / (pitches x pitch)",
        "Diamond Chain, maintenance FAQ (3 % in general); 2 % for motorcycles from memory",
        "The maker's limit governs. A kinked, rusty or unevenly worn chain is renewed at any length, sprockets too.",
        also,
    )


def general_limit_pct(teeth: int) -> float:
    """The general limit (%) for the larger sprocket's teeth: 3, or 200/N over 67 teeth."""
    return 200 / teeth if teeth > 67 else GENERAL_LIMIT_PCT


def size_of(size: str) -> tuple[float, float | None]:
    """Pitch and inner width (mm) of a stamped size; no width where the size does not follow the rule.

    >>> size_of("525")
    (15.875, 7.9375)
    """
    digits = "".join(char for char in size if char.isdigit())
    if len(digits) != 3 or digits[0] not in "456":
        raise FigureError(f"size is '{size[:20]}'; three digits such as 525 were expected\n    Or give pitch_mm.")
    pitch = int(digits[0]) * INCH_MM / 8
    return pitch, IRREGULAR_WIDTH_MM.get(digits, int(digits[1:]) * INCH_MM / 80)
