"""The one tree that YAML, JSON and TOML all become, each value with its place.

Scalars stay text; the field that reads one decides what it is, so that ``no``, ``on`` and ``10:00`` are never anything but
what stands there.  Nodes are named tuples because a file has hundreds of them and they are made in the fastest way there is.
"""

from __future__ import annotations

from typing import NamedTuple

DEEPEST = 64  # levels of nesting a file may have; the format itself needs eight
MOST_VALUES = 200_000  # values a file may have, what its aliases stand for included

_NOTHING = frozenset(("", "~", "null", "Null", "NULL"))


class Scalar(NamedTuple):
    """A text as written, without its quotes; ``plain`` when it had none (or was no string in JSON or TOML)."""

    text: str
    start: int
    end: int
    pointer: str
    plain: bool

    @property
    def empty(self) -> bool:
        """Whether nothing is stated: no value at all, or the word for none."""
        return self.plain and self.text in _NOTHING


class Sequence(NamedTuple):
    """A list."""

    items: tuple[Node, ...]
    start: int
    end: int
    pointer: str


class Entry(NamedTuple):
    """A field with its value."""

    key: Scalar
    value: Node


class Mapping(NamedTuple):
    """Fields by name, in file order."""

    entries: dict[str, Entry]
    start: int
    end: int
    pointer: str


Node = Scalar | Sequence | Mapping


class TextError(Exception):
    """What keeps a whole file from being read, with its place."""

    def __init__(self, message: str, suggestion: str, start: int, end: int | None = None, pointer: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.suggestion = suggestion
        self.start = start
        self.end = start + 1 if end is None else end
        self.pointer = pointer


def below(pointer: str, key: str) -> str:
    """The JSON pointer (RFC 6901) of a field."""
    if "~" in key or "/" in key:
        key = key.replace("~", "~0").replace("/", "~1")
    return f"{pointer}/{key}"


def too_deep(start: int, pointer: str) -> TextError:
    """The complaint about nesting."""
    return TextError(
        f"The file is nested more than {DEEPEST} levels deep.",
        "A regimen needs about eight levels; look for a bracket that is never closed.",
        start,
        pointer=pointer,
    )


def too_many(start: int, pointer: str) -> TextError:
    """The complaint about aliases that stand for more than anybody wrote."""
    return TextError(
        f"The file stands for more than {MOST_VALUES:,} values.",
        "Write a regimen without aliases (`*name`) that repeat one another, or split it into several files.",
        start,
        pointer=pointer,
    )


def planted(node: Node, pointer: str, depth: int, room: int) -> tuple[Node, int]:
    """A node as seen from another place of the tree, and how many values may still follow.

    Offsets stay: they say where the text stands.  Raises TextError when it would be too deep or stand for too much.
    """
    if depth > DEEPEST:
        raise too_deep(node.start, pointer)
    room -= 1
    if room < 0:
        raise too_many(node.start, pointer)
    if isinstance(node, Scalar):
        return node._replace(pointer=pointer), room
    if isinstance(node, Sequence):
        items: list[Node] = []
        for number, item in enumerate(node.items):
            copy, room = planted(item, f"{pointer}/{number}", depth + 1, room)
            items.append(copy)
        return Sequence(tuple(items), node.start, node.end, pointer), room
    entries: dict[str, Entry] = {}
    for name, (key, value) in node.entries.items():
        place = below(pointer, name)
        copy, room = planted(value, place, depth + 1, room)
        entries[name] = Entry(key._replace(pointer=place), copy)
    return Mapping(entries, node.start, node.end, pointer), room
