"""What a folder laid over the shipped rules may add to a shipped gate or stop without replacing it. Takes nothing away.

A gate takes further needs and cautions; a stop takes clearing evidence for further rules. Everything else about the
shipped entry stands.
"""

from collections.abc import Mapping, Sequence

from revive.frozen import replace
from revive.loading.entry import Entry
from revive.model import Condition, Gate, Need, Stop


def adds_only(entry: Entry, kind: str, name: str, keys: Sequence[str]) -> bool:
    """Whether an entry of an overlay only adds to the shipped one of the same name: it holds nothing but these keys."""
    known = entry.gathered.overlay and name in entry.gathered.table(kind)
    return known and bool(entry.at) and set(entry.at) <= set(keys)


def add_to_gate(entry: Entry, name: str, needs: tuple[Need, ...]) -> None:
    """Put further needs and cautions behind those of a shipped gate; the gate can only open later for it."""
    gate: Gate = entry.gathered.table("gate")[name]
    cautions = (*gate.cautions, *entry.words("cautions"))
    entry.gathered.table("gate")[name] = replace(gate, needs=(*gate.needs, *needs), cautions=cautions)


def add_to_stop(entry: Entry, name: str, clears: Mapping[str, Mapping[str, Condition]]) -> None:
    """Put clearing evidence for further rules behind that of a shipped stop; what it has for a rule is not touched."""
    stop: Stop = entry.gathered.table("stop")[name]
    for rule in clears:
        if rule in stop.clears:
            what = f"stop {name} has its own evidence for rule {rule} ({stop.place}), which an addition cannot change"
            mend = f"Take the line out, or write the whole stop with overrides: {name}, approved_by: … and reason: …"
            entry.problem(entry.line_of(rule), "clears-twice", what, mend)
    new = {rule: lines for rule, lines in clears.items() if rule not in stop.clears}
    entry.gathered.table("stop")[name] = replace(stop, clears={**stop.clears, **new})
