"""Find the step of a method that a caution speaks of, so that a short reminder can stand beside it.

Goes by shared words alone and may be wrong; so the cautions themselves always stand in full above the steps, and a
reminder only ever repeats one of them. Refuses to reword a caution.
"""

import re
from collections import Counter
from collections.abc import Sequence

_COMMON = frozenset(
    re.findall(
        r"\w+",
        "with from that this then when where never nobody into over under more than only each have hand hands "
        "work them they until before after again other without first must which what does memory engine machine "
        "light oil turn take near local away here both side place comes come cold water used makes keep down "
        "very",
    )
)
LEAST_SHARED, LEAST_WEIGHT = 2, 1.2


def reminders(method: Sequence[str], cautions: Sequence[str]) -> dict[int, list[int]]:
    """Place of a step -> places of the cautions that speak of it; a caution without a step of its own stands nowhere.

    >>> reminders(["Level the floor.", "Brush the well, then a puff of air."], ["Goggles when a puff of air cleans the well."])
    {1: [0]}
    """
    steps = [_stems(step) for step in method]
    held_by = Counter(stem for stems in steps for stem in stems)
    found: dict[int, list[int]] = {}
    for place, caution in enumerate(cautions):
        stems = _stems(caution)
        shared = [stems & step for step in steps]
        weights = [sum(1 / held_by[stem] for stem in both) if len(both) >= LEAST_SHARED else 0.0 for both in shared]
        best = max(weights, default=0.0)
        if best >= LEAST_WEIGHT:
            found.setdefault(weights.index(best), []).append(place)
    return found


def opening(caution: str) -> str:
    """The first sentence of a caution, as the reminder says it.

    >>> opening("Goggles when the well is blown clean: grit flies. More below.")
    'Goggles when the well is blown clean: grit flies.'
    """
    return re.split(r"(?<=[a-z)][.!?]) (?=[A-Z])", caution, maxsplit=1)[0]


def _stems(text: str) -> set[str]:
    words = re.findall(r"[a-z]{3,}", text.lower())
    return {
        word[:6] for word in words if word not in _COMMON and (len(word) > 3 or word in ("air", "lid", "gas", "pin"))
    }
