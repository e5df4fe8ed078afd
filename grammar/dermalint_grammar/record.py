"""Frozen, slotted records that cost almost nothing to define.

They read like frozen dataclasses and are one to a type checker.  The standard library writes and compiles five methods for
every dataclass, a third of a millisecond each; with more than a hundred of them on the path of every run that was nearly half
of the time to import the engine.  A record shares the methods of its base class instead.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import repeat
from operator import attrgetter, call
from typing import Any, TypeVar, dataclass_transform

_T = TypeVar("_T", bound="Record")
_NEEDED = object()


@dataclass_transform(frozen_default=True)
class _RecordType(type):
    """Turns annotated names into slots, in the order they are written, inherited ones first."""

    record_fields: tuple[str, ...]
    record_defaults: dict[str, Any]
    _setters: tuple[Callable[[Any, Any], None], ...]
    _usual: tuple[Any, ...]  # the default of each field, or _NEEDED
    _places: dict[str, int]
    _values: Callable[[Any], Any]

    def __new__(mcs, name: str, bases: tuple[type, ...], namespace: dict[str, Any]) -> _RecordType:
        own = tuple(namespace.get("__annotations__", ()))
        defaults = {field: namespace.pop(field) for field in own if field in namespace}
        inherited: tuple[str, ...] = ()
        for base in bases:
            inherited += getattr(base, "record_fields", ())
            defaults = {**getattr(base, "record_defaults", {}), **defaults}
        namespace["__slots__"] = own
        namespace["__match_args__"] = inherited + own
        cls = super().__new__(mcs, name, bases, namespace)
        cls.record_fields = inherited + own
        cls.record_defaults = defaults
        cls._setters = tuple(getattr(cls, field).__set__ for field in cls.record_fields)
        cls._usual = tuple(defaults.get(field, _NEEDED) for field in cls.record_fields)
        cls._places = {field: place for place, field in enumerate(cls.record_fields)}
        if len(cls.record_fields) > 1:
            cls._values = attrgetter(*cls.record_fields)
        else:
            cls._values = _values_of_few(cls.record_fields)
        return cls


def _values_of_few(names: tuple[str, ...]) -> Callable[[Any], tuple[Any, ...]]:
    def values(record: Any) -> tuple[Any, ...]:
        return tuple(getattr(record, name) for name in names)

    return values


class Record(metaclass=_RecordType):
    """Base of all records.  Fields may have immutable defaults; equality, hash and pickling go by the fields."""

    def __init__(self, *values: Any, **named: Any) -> None:
        cls = type(self)
        if named or len(values) != len(cls._setters):
            values = _complete(cls, values, named)
        any(map(call, cls._setters, repeat(self), values))  # a loop in C, as records are made more than anything else

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__} is frozen: {name} cannot be set")

    def __delattr__(self, name: str) -> None:
        raise AttributeError(f"{type(self).__name__} is frozen: {name} cannot be deleted")

    def __eq__(self, other: object) -> bool:
        if other.__class__ is not self.__class__:
            return NotImplemented
        values = type(self)._values
        return bool(values(self) == values(other))

    def __hash__(self) -> int:
        return hash((type(self).__name__, type(self)._values(self)))

    def __repr__(self) -> str:
        shown = ", ".join(f"{name}={getattr(self, name)!r}" for name in type(self).record_fields)
        return f"{type(self).__name__}({shown})"

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), tuple(type(self)._values(self))


def _complete(cls: _RecordType, values: tuple[Any, ...], named: dict[str, Any]) -> tuple[Any, ...]:
    names, places, given = cls.record_fields, cls._places, len(values)
    if given > len(names):
        raise TypeError(f"{cls.__name__} has {len(names)} fields, {given} values were given")
    full = [*values, *cls._usual[given:]]
    for name, value in named.items():
        if places.get(name, -1) < given:
            raise TypeError(f"{cls.__name__} has no free field {name}")
        full[places[name]] = value
    for name, value in zip(names, full, strict=True):
        if value is _NEEDED:
            raise TypeError(f"{cls.__name__} needs a value for {name}")
    return tuple(full)


def fields_of(record: Record) -> tuple[str, ...]:
    """The names of a record's fields, in order."""
    return type(record).record_fields


def replace(record: _T, **changes: Any) -> _T:
    """A copy with some fields changed.  Raises TypeError for a name that is no field."""
    cls = type(record)
    values = {name: changes.pop(name) if name in changes else getattr(record, name) for name in cls.record_fields}
    return cls(**values, **changes)
