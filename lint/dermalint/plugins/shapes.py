"""Whether plain data that a plugin gave has the shape that its type declares: every field, all the way down."""

from __future__ import annotations

import types
from collections.abc import Mapping
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from dermalint_grammar.record import Record, fields_of


@cache
def _hints(cls: type) -> dict[str, Any]:
    return get_type_hints(cls)


def misfit(value: Any, expected: Any, name: str) -> str | None:
    """Where and why a value is not of a type, in words; None when it is.

    Knows what the records of regimens are made of: plain types, records, named tuples, tuples, mappings and choices.
    """
    origin = get_origin(expected)
    if origin in (Union, types.UnionType):
        return _any_of(value, get_args(expected), name)
    if expected is Any or expected is object:
        return None
    if origin is tuple:
        return _tuple(value, get_args(expected), name)
    if origin is not None and issubclass(origin, Mapping):
        return _mapping(value, get_args(expected), name)
    # True is a number to Python, and a date with a time a date: neither is one here.
    if not isinstance(value, expected) or (expected is int and isinstance(value, bool)) or _has_time(value, expected):
        return f"{name} is {_told(value)} where {_named(expected)} was expected"
    if isinstance(value, Record):
        hints = _hints(type(value))
        return next((wrong for field in fields_of(value) if (wrong := _field(value, field, hints, name))), None)
    if isinstance(value, tuple) and hasattr(value, "_fields"):
        hints = _hints(type(value))
        return next((wrong for field in value._fields if (wrong := _field(value, field, hints, name))), None)
    return None


def _field(value: Any, field: str, hints: dict[str, Any], name: str) -> str | None:
    return misfit(getattr(value, field), hints[field], f"{name}, {field}")


def _any_of(value: Any, choices: tuple[Any, ...], name: str) -> str | None:
    wrong = [misfit(value, choice, name) for choice in choices]
    if None in wrong:
        return None
    tried = zip(choices, wrong, strict=True)
    fitting = [text for choice, text in tried if isinstance(choice, type) and isinstance(value, choice)]
    return fitting[0] if fitting else f"{name} is {_told(value)} where {' or '.join(map(_named, choices))} was expected"


def _tuple(value: Any, parts: tuple[Any, ...], name: str) -> str | None:
    if not isinstance(value, tuple):
        return f"{name} is {_told(value)} where a tuple was expected"
    kinds = (parts[0],) * len(value) if parts[1:] == (...,) else parts
    if len(kinds) != len(value):
        return f"{name} has {len(value)} parts where {len(kinds)} were expected"
    numbered = enumerate(zip(value, kinds, strict=True), start=1)
    return next((wrong for number, (item, kind) in numbered if (wrong := misfit(item, kind, f"{name} {number}"))), None)


def _mapping(value: Any, parts: tuple[Any, ...], name: str) -> str | None:
    if not isinstance(value, Mapping):
        return f"{name} is {_told(value)} where names with their values were expected"
    for key, item in value.items():
        wrong = misfit(key, parts[0], f"a name in {name}") or misfit(item, parts[1], f"{name} {key}")
        if wrong is not None:
            return wrong
    return None


def _has_time(value: Any, expected: Any) -> bool:
    return getattr(expected, "__name__", "") == "date" and hasattr(value, "hour")


def _told(value: Any) -> str:
    return "nothing (None)" if value is None else f"{value!r:.40} ({type(value).__name__})"


def _named(expected: Any) -> str:
    if expected is type(None):
        return "nothing (None)"
    return getattr(expected, "__name__", str(expected))
