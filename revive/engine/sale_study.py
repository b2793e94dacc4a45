"""What a sale description may draw on: judged phrases, disclosures, open stops and what each rests on. Pure."""

from collections.abc import Mapping
from typing import Any

from revive.engine.dates import strictly_after
from revive.engine.facts import Reading
from revive.frozen import Frozen
from revive.model import Answer, Claim, Record, SourceRef, Stop, Work

MAKE_UP = (
    *("layout", "cooling", "final_drive", "fuel_system", "cam_drive", "tappet_kind", "filter_kind", "starter_kind"),
    *("front_brake", "rear_brake", "system_voltage", "gearbox_oil_kind", "clutch_kind", "clutch_actuation"),
    *("oil_pump_fitted", "ignition_kind", "cylinders", "plugs_per_cylinder", "valves_per_cylinder"),
)
"""Questions that tell which parts a machine has."""
LAYUP_TASK = "preserve_again"
KEPT_QUESTION = "evidence_kept"
OTHERS = ("shop", "workshop", "garage", "dealer", "others", "another", "previous owner", "last owner", "seller before")
PAPER = ("invoice", "receipt", "photo", "paper", "bill")


class Ground(Frozen):
    """One thing that a phrase or a disclosure rests on. kind: answer, task or gate.

    on: ISO date or empty. how: told, papers, seen, measured or empty. old: a reading that was not repeated since.
    """

    kind: str
    id: str
    on: str = ""
    by: str = ""
    how: str = ""
    old: bool = False


class JudgedClaim(Frozen):
    """One phrase. why, where it is not proved: never, forbidden, unsure (a fault is not ruled out), not_shown, not_kept."""

    claim: Claim
    proved: bool
    why: str
    grounds: tuple[Ground, ...]


class JudgedDisclosure(Frozen):
    """What must be told (known) or could not be said either way (not known). stops: standing ones that it names."""

    id: str
    text: str
    known: bool
    sources: tuple[SourceRef, ...]
    grounds: tuple[Ground, ...]
    stops: tuple[str, ...] = ()


class OpenStop(Frozen):
    """A stop that stands, whatever gates the goal uses. rules: those that raise it. grounds: what they rest on."""

    stop: Stop
    rules: tuple[str, ...]
    grounds: tuple[Ground, ...]


class SaleStudy(Frozen, eq=False):
    """Everything that a sale description may draw on.

    claims: those that are about parts which this machine has. reading: the record, what was told included.
    answers: the record's, and what its readings answer. said_only: tasks that others are said to have done.
    unknown: questions that apply and were not answered, not known or not seen, in asking order.
    """

    claims: tuple[JudgedClaim, ...]
    disclosures: tuple[JudgedDisclosure, ...]
    stops: tuple[OpenStop, ...]
    reading: Reading
    answers: Mapping[str, Answer]
    said_only: frozenset[str]
    unknown: tuple[str, ...]

    @property
    def values(self) -> Mapping[str, Any]:
        """Question or fact -> value as recorded, told answers included."""
        return self.reading.sight.rule

    def values_say_yes(self, fact: str) -> bool:
        """Whether a yes-or-no fact is not known to be no; an empty name counts as yes."""
        return not fact or self.values[fact] != "no"


def is_said_only(work: Work, owner: str = "") -> bool:
    """Whether work is said to have been done by others, without invoice or photograph.

    >>> is_said_only(Work(by="workshop")), is_said_only(Work(by="workshop", note="invoice 14")), is_said_only(Work(by="me"))
    (True, False, False)
    """
    by = work.by.strip().lower()
    words = " ".join([work.note, *work.details, *(str(value) for value in work.details.values())]).lower()
    return by != owner.strip().lower() and by.startswith(OTHERS) and not any(paper in words for paper in PAPER)


def is_old(on: str, today: str, record: Record) -> bool:
    """Whether a reading is undated, older than twelve months, or from before a later lay-up."""
    a_year_ago = f"{int(today[:4]) - 1:04d}{today[4:10]}"
    layup = record.done.get(LAYUP_TASK)
    return not on or on[:10] < a_year_ago or (layup is not None and bool(layup.on) and strictly_after(layup.on, on))
