"""Light frozen values against the standard library's frozen dataclasses: two classes of each kind, field for field."""

import dataclasses
from typing import Any

import pytest

from revive.frozen import Frozen, field, replace


class Light(Frozen):
    """Some fields."""

    id: str
    number: float = 0
    parts: tuple[str, ...] = ()
    held: dict[str, Any] = field(default_factory=dict)

    @property
    def twice(self) -> float:
        return 2 * self.number


@dataclasses.dataclass(frozen=True)
class Stock:
    """The same fields."""

    id: str
    number: float = 0
    parts: tuple[str, ...] = ()
    held: dict[str, Any] = dataclasses.field(default_factory=dict)


class Apart(Frozen, eq=False):
    id: str


CALLS = [
    (("a",), {}),
    (("a", 2), {}),
    ((), {"id": "a"}),
    (("a",), {"parts": ("x",), "held": {"k": 1}}),
    (("a", 1.5, ("x", "y"), {}), {}),
]


@pytest.mark.parametrize("args, given", CALLS)
def test_the_same_fields_and_words_come_of_the_same_call(args, given):
    light, stock = Light(*args, **given), Stock(*args, **given)

    assert {name: getattr(light, name) for name in Light.FIELDS} == dataclasses.asdict(stock)
    assert repr(light) == repr(stock).replace("Stock", "Light")


@pytest.mark.parametrize(
    "args, given", [((), {}), (("a", 1, (), {}, 5), {}), (("a",), {"other": 1}), (("a",), {"id": 1})]
)
def test_a_call_that_does_not_fit_is_refused(args, given):
    for kind in (Light, Stock):
        with pytest.raises(TypeError):
            kind(*args, **given)


def test_equal_by_fields_and_by_kind():
    for kind in (Light, Stock):
        assert kind("a", 1) == kind("a", 1.0)
        assert kind("a", 1) != kind("a", 2)
        assert kind("a") != ("a", 0, (), {})
    assert Light("a") != Stock("a")
    assert Apart("a") != Apart("a")
    assert len({Apart("a"), Apart("a")}) == 2


def test_hashed_by_fields():
    assert len({Light("a", held=()), Light("a", held=()), Light("b", held=())}) == 2
    for kind in (Light, Stock):
        with pytest.raises(TypeError):
            hash(kind("a"))


def test_nothing_can_be_set_or_taken_out():
    for item in (Light("a"), Stock("a"), Apart("a")):
        for name in ("id", "new"):
            with pytest.raises(AttributeError):
                setattr(item, name, "b")
        with pytest.raises(AttributeError):
            del item.id
        assert item.id == "a"


def test_a_default_that_is_made_is_made_anew():
    first, second = Light("a"), Light("a")
    first.held["k"] = 1

    assert (first.held, second.held) == ({"k": 1}, {})


def test_replaced_by_our_own_and_by_the_standard_library():
    item = Light("a", 3, held={"k": 1})

    for exchange in (replace, dataclasses.replace):
        other = exchange(item, number=4)
        assert (type(other), other.id, other.number, other.twice, other.held) == (Light, "a", 4, 8, {"k": 1})
        with pytest.raises(TypeError):
            exchange(item, unheard_of=1)
    assert item.number == 3


def test_the_standard_library_knows_its_fields():
    assert dataclasses.is_dataclass(Light("a"))
    assert dataclasses.asdict(Light("a")) == dataclasses.asdict(Stock("a"))
    assert [one.name for one in dataclasses.fields(Light)] == [one.name for one in dataclasses.fields(Stock)]
    assert [one.default for one in dataclasses.fields(Light)] == [one.default for one in dataclasses.fields(Stock)]
