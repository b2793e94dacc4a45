"""A record that was read before, as plain JSON in the user's cache folder, so that its YAML need not be read again.

Found only by the digest of the record's bytes and of the rules that it was checked against; what is damaged or foreign
is passed over. For the user's eyes only, few and small; the plan is always made afresh.
"""

import json
from typing import Any

from revive.loading import cache
from revive.model import Answer, MakerFigure, Record, Work

KEEP_COPIES = 24
MOST_BYTES = 200_000
_MISFITS = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError)


def load(data: bytes, rules: str) -> Record | None:
    """The record that these bytes hold, or None. rules: digest of the rule base."""
    body = cache.read_copy("record", _key(data, rules))
    if body is None:
        return None
    try:
        machine, answers, done, maker, readings, earlier = json.loads(body.decode())
        return Record(
            machine,
            {name: Answer(_value(value), *rest) for name, value, *rest in answers},
            {name: Work(*rest) for name, *rest in done},
            {name: MakerFigure(*rest) for name, *rest in maker},
            tuple(readings),
            tuple(earlier),
        )
    except _MISFITS:
        return None


def store(data: bytes, rules: str, record: Record) -> None:
    """Keep a checked record for the next start; whole or not at all."""
    if len(data) > MOST_BYTES:
        return
    try:
        parts = [
            record.machine,
            [[name, one.value, one.on, one.by, one.how] for name, one in record.answers.items()],
            [[name, one.on, one.by, one.note, one.details] for name, one in record.done.items()],
            [[name, one.value, one.unit, one.where] for name, one in record.maker.items()],
            record.readings,
            record.earlier,
        ]
        body = json.dumps(parts, ensure_ascii=False, separators=(",", ":")).encode()
    except _MISFITS:
        return
    cache.write_copy("record", _key(data, rules), body, KEEP_COPIES)


def _key(data: bytes, rules: str) -> str:
    return cache.key_of(data, rules, *(f"{cls.__name__} {cls.FIELDS}" for cls in (Record, Answer, Work, MakerFigure)))


def _value(stored: Any) -> Any:
    return tuple(stored) if isinstance(stored, list) else stored
