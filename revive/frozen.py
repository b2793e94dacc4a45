"""Light frozen values. What they do is what frozen dataclasses do; they differ in what a program pays to start.

A class made here costs about a tenth of a stock dataclass: no code is generated for it, and the reading of signatures
that stock dataclasses bring along is not loaded. `dataclasses.replace`, `fields` and `asdict`
work on these values too. Refused: inheritance of fields, mutable values, ordering.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from dataclasses import Field
    from typing import Any, ClassVar, TypeVar, dataclass_transform

    T = TypeVar("T")
else:

    def dataclass_transform(**_):
        return lambda cls: cls


class _Made:
    """The default of a field that is made anew for every value."""

    __slots__ = ("make",)

    def __init__(self, make: Callable[[], Any]) -> None:
        self.make = make


def field(*, default_factory: Callable[[], Any]) -> Any:
    """A field whose default is made anew for every value."""
    return _Made(default_factory)


class _Fields:
    """The fields as the standard library's dataclasses know them, made when somebody asks."""

    def __get__(self, item: object, cls: type[Frozen]) -> Mapping[str, Field[Any]]:
        from dataclasses import field as stock_field
        from dataclasses import make_dataclass

        rows = []
        for name, kind in cls.__annotations__.items():
            default = cls.DEFAULTS.get(name, _Made)
            given = {} if default is _Made else {"default": default}
            if isinstance(default, _Made):
                given = {"default_factory": default.make}
            rows.append((name, kind, stock_field(**given)))
        found: Mapping[str, Field[Any]] = make_dataclass(cls.__name__, rows).__dataclass_fields__  # type: ignore[attr-defined]
        cls.__dataclass_fields__ = found  # type: ignore[assignment]  # once for a class
        return found


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
class Frozen:
    """Inherit from it and annotate the fields; `eq=False` in the class line leaves values equal to themselves only.

    FIELDS: their names in order. DEFAULTS: field -> its default, or what makes it.
    """

    if TYPE_CHECKING:
        __dataclass_fields__: ClassVar[dict[str, Field[Any]]]
        FIELDS: ClassVar[tuple[str, ...]]
        DEFAULTS: ClassVar[dict[str, Any]]
        MADE: ClassVar[tuple[tuple[str, Callable[[], Any]], ...]]
    else:
        __dataclass_fields__ = _Fields()

    def __init_subclass__(cls, eq: bool = True) -> None:
        kept = cls.__dict__
        cls.FIELDS = tuple(cls.__annotations__)  # of this class alone; since 3.14 it stands in no dict
        cls.DEFAULTS = {name: kept[name] for name in cls.FIELDS if name in kept}
        for name in cls.DEFAULTS:
            delattr(cls, name)
        cls.MADE = tuple([(name, one.make) for name, one in cls.DEFAULTS.items() if isinstance(one, _Made)])
        if not eq:
            cls.__eq__ = object.__eq__  # type: ignore[method-assign]
            cls.__hash__ = object.__hash__  # type: ignore[method-assign]

    if not TYPE_CHECKING:

        def __init__(self, /, *args, **given):
            held, names = self.__dict__, self.FIELDS
            if not given and len(args) == len(names):
                held.update(zip(names, args, strict=True))
                return
            held.update(self.DEFAULTS)
            for name, make in self.MADE:
                held[name] = make()
            held.update(zip(names, args, strict=False))
            held.update(given)
            early = names[: len(args)]
            if len(args) > len(early) or len(held) != len(names) or not given.keys().isdisjoint(early):
                raise TypeError(f"{type(self).__name__} has the fields {names}; not so {args} and {given}")
            if not given.keys() <= {*names}:
                raise TypeError(f"{type(self).__name__} has no field {sorted(given.keys() - {*names})}")

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"cannot delete field {name!r}")

    def __getattr__(self, name: str) -> Any:
        """A field that was left unread when the value came from a store: it and its like are read now."""
        if name not in type(self).FIELDS or "_rest" not in self.__dict__:
            raise AttributeError(f"{type(self).__name__!r} has no {name!r}")
        read, at = self.__dict__.pop("_rest")
        self.__dict__.update(read(at))
        return self.__dict__[name]

    def __eq__(self, other: object) -> bool:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return _values(self) == _values(other)

    def __hash__(self) -> int:
        return hash(_values(self))

    def __repr__(self) -> str:
        inside = ", ".join(f"{name}={value!r}" for name, value in zip(self.FIELDS, _values(self), strict=True))
        return f"{self.__class__.__qualname__}({inside})"


def replace(item: T, **changes: Any) -> T:
    """The same value with some fields changed."""
    values = {name: getattr(item, name) for name in item.FIELDS}  # type: ignore[attr-defined]
    return item.__class__(**{**values, **changes})


def _values(item: Any) -> tuple[Any, ...]:
    return tuple([getattr(item, name) for name in item.FIELDS])
