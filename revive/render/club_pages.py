"""The club's overview and order list as HTML, written out piece by piece; totals are all that is held in memory.

Rows are plain values, one for each machine, and are read again for every table. Everything in them is escaped.
"""

from array import array
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from revive.model import GATES
from revive.render.club_texts import APART, NEVER_MIX, POOL, TOOLS, WASTE
from revive.render.page_one import DOING, NOTICE_SHORT, STANDING_ORDERS
from revive.render.pages import NOTICE
from revive.render.templating import environment
from revive.render.wording import BY, WHO, amount, counted, day_words, flat, lower_first, sentence

Rows = Callable[[], Iterator[Mapping[str, Any]]]
MAY = (
    ("owner", "the member alone"),
    ("watched", "the member, with somebody there"),
    ("with_helper", "with a helper"),
    ("skilled", "skilled hands"),
    ("shop", "a workshop"),
)
"""Who may do a task, and the words for it."""
STATES = {"open": "open", "shut": "SHUT", "unproven": "UNPROVEN", "not_needed": "not in this plan"}


@dataclass
class Totals:
    """What is summed over all machines. Machines are kept by their place in the list.

    labels: of all machines. stops, alone and pooled: what is printed once -> machines that it is about.
    """

    labels: list[str] = field(default_factory=list)
    broken: int = 0
    overdue: int = 0
    open_to: dict[str, int] = field(default_factory=dict)
    stops: dict[tuple[str, ...], "array[int]"] = field(default_factory=dict)
    alone: dict[tuple[str, ...], "array[int]"] = field(default_factory=dict)
    pooled: dict[tuple[str, str, str], tuple["array[float]", "array[int]", list[str]]] = field(default_factory=dict)
    later: dict[tuple[str, str], "array[int]"] = field(default_factory=dict)

    def add(self, row: Mapping[str, Any]) -> None:
        """Take one machine in."""
        at = len(self.labels)
        self.labels.append(row["label"])
        if row["problems"]:
            self.broken += 1
            return
        self.overdue += bool(row["overdue"])
        self.open_to[row["open_to"]] = self.open_to.get(row["open_to"], 0) + 1
        for stop in row["stops"]:
            key = (stop["title"], stop["text"], stop["clears"], stop["who"])
            self.stops.setdefault(key, array("I")).append(at)
        for one in row["alone"]:
            self.alone.setdefault((one["title"], one["why"], one["there"]), array("I")).append(at)
        for part in row["orders"]:
            if part["when"] == "look":
                self.later.setdefault((part["item"], part["unit"]), array("I")).append(at)
            elif part["pooled"]:
                sums, places, gates = self.pooled.setdefault(
                    (part["item"], part["grade"], part["unit"]), (array("d", [0.0]), array("I"), [part["gate"]])
                )
                sums[0] += part["quantity"]
                places.append(at)
                gates[0] = min(gates[0], part["gate"], key=GATES.index)

    def named(self, places: "array[int]") -> str:
        """The machines at these places."""
        return ", ".join(flat(self.labels[at]) for at in places)


def overview_html(rows: Rows, totals: Totals, day: str, basis: str, folder: str) -> Iterator[str]:
    """The overview, in pieces. basis: version and rule base. folder: of the records, as shown."""
    return _page(
        "club.html",
        title=f"Club overview of {day_words(day)}",
        folder=flat(folder),
        basis=flat(basis),
        count=counted(len(totals.labels) - totals.broken, "machine"),
        broken=totals.broken,
        overdue=totals.overdue,
        standing=[
            (_first_up(DOING.get(gate, "nothing is open yet")), totals.open_to[gate])
            for gate in ("", *GATES)
            if gate in totals.open_to
        ],
        rows=lambda: (_shown(row) for row in rows() if not row["problems"]),
        to_mend=lambda: (
            {"label": flat(row["label"]), "problems": [flat(problem) for problem in row["problems"]]}
            for row in rows()
            if row["problems"]
        ),
        stops=[
            (
                sentence(flat(title)),
                sentence(flat(text)),
                sentence(flat(clears)),
                BY.get(who, who),
                totals.named(at),
            )
            for (title, text, clears, who), at in totals.stops.items()
        ],
        alone=[(flat(title), why, there, totals.named(at)) for (title, why, there), at in totals.alone.items()],
        orders=STANDING_ORDERS,
        apart=APART,
        notice=(*NOTICE, NOTICE_SHORT),
    )


def orders_html(rows: Rows, totals: Totals, day: str, basis: str) -> Iterator[str]:
    """The order list, in pieces."""
    return _page(
        "orders.html",
        title=f"Club order list of {day_words(day)}",
        basis=flat(basis),
        pooled=[
            (
                flat(item),
                flat(grade),
                amount(round(sums[0], 3), unit),
                DOING[gates[0]],
                totals.named(at),
            )
            for (item, grade, unit), (sums, at, gates) in sorted(totals.pooled.items())
        ],
        own=lambda: (
            (flat(row["label"]), [_order(part) for part in row["orders"] if _is_own(part)])
            for row in rows()
            if not row["problems"]
        ),
        later=[(flat(item), totals.named(at)) for (item, _), at in sorted(totals.later.items())],
        pool=POOL,
        never_mix=NEVER_MIX,
        tools=TOOLS,
        waste=WASTE,
    )


def _page(template: str, **values: Any) -> Iterator[str]:
    return environment().get_template(template).generate(**values)


def _is_own(part: Mapping[str, Any]) -> bool:
    return part["when"] == "now" and not part["pooled"]


def _order(part: Mapping[str, Any]) -> str:
    much = "count or measure on the machine" if part["quantity"] is None else amount(part["quantity"], part["unit"])
    grade = f", {flat(part['grade'])}" if part["grade"] else ""
    return f"{flat(part['item'])}{grade}: {much}, for {DOING[part['gate']]}"


def _shown(row: Mapping[str, Any]) -> dict[str, Any]:
    """One machine's row in words."""
    may = row["may"]
    return {
        "label": flat(row["label"]),
        "name": flat(row["name"]),
        "about": "; ".join(
            text
            for text in (flat(row["member"]), flat(row["layout"]), f"goal: {flat(row['goal'])}" if row["goal"] else "")
            if text
        ),
        "sheet": row["sheet"],
        "verdict": flat(row["verdict"]),
        "gates": "; ".join(f"{DOING[gate]} {STATES[row['gates'][gate]]}" for gate in GATES if gate in row["gates"]),
        "next": [f"{one['order']}. {flat(one['title'])} ({WHO[one['who']]})" for one in row["next"]],
        "stops": [
            sentence(flat(one["title"])) + (" Assumed, not seen." if one["state"] == "assumed" else "")
            for one in row["stops"]
        ],
        "may": [f"{words}: {may[who]}" for who, words in MAY if may.get(who)],
        "overdue": [sentence(flat(text)) for text in row["overdue"]],
        "hours": f"{row['hours']:g}",
    }


def _first_up(text: str) -> str:
    return lower_first(text)[:1].upper() + text[1:]
