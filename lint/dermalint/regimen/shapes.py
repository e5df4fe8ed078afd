"""Groups of fields, lists and names: the shapes that all parts of a regimen file share."""

from __future__ import annotations

import datetime
from collections.abc import Collection

from dermalint.regimen.model import Mention
from dermalint.regimen.notes import Notes, excerpt, listed, meant
from dermalint.regimen.tree import Mapping, Node, Scalar, Sequence
from dermalint.regimen.values import date_of, read_clock, read_date, read_text, read_truth, read_word


class Group:
    """The fields of one thing.  A reader gives None (or nothing) for a field that is absent or was noted as wrong."""

    __slots__ = ("entries", "node", "notes")

    def __init__(self, notes: Notes, node: Mapping) -> None:
        self.notes = notes
        self.node = node
        self.entries = node.entries

    def __contains__(self, field: str) -> bool:
        return field in self.entries

    def value(self, field: str) -> Node | None:
        """What stands behind a field."""
        entry = self.entries.get(field)
        return None if entry is None else entry.value

    def text(self, field: str, example: str) -> str | None:
        """A text."""
        node = self.value(field)
        return None if node is None else read_text(self.notes, node, f"`{field}`", f"{field}: {example}")

    def word(self, field: str, words: Collection[str]) -> str | None:
        """One word out of a list."""
        node = self.value(field)
        return None if node is None else read_word(self.notes, node, field, words)

    def truth(self, field: str) -> bool | None:
        """True or false."""
        node = self.value(field)
        return None if node is None else read_truth(self.notes, node, field)

    def date(self, field: str) -> datetime.date | None:
        """A calendar date."""
        node = self.value(field)
        return None if node is None else read_date(self.notes, node, field)

    def clock(self, field: str) -> int | None:
        """A clock time in minutes after midnight."""
        node = self.value(field)
        return None if node is None else read_clock(self.notes, node, field)

    def name(self, field: str, example: str) -> Mention | None:
        """A single name."""
        node = self.value(field)
        return None if node is None else read_mention(self.notes, node, f"`{field}`", f"{field}: {example}")

    def names(self, field: str, example: str) -> tuple[Mention, ...]:
        """One name or several."""
        node = self.value(field)
        return () if node is None else read_names(self.notes, node, f"`{field}`", f"{field}: {example}")

    def dates(self, field: str) -> tuple[datetime.date, ...]:
        """One date or several."""
        node = self.value(field)
        if node is None:
            return ()
        return tuple(day for item in one_or_several(node) if (day := read_date(self.notes, item, field)) is not None)

    def complain(self, field: str, message: str, suggestion: str) -> None:
        """Note an error at a field's value."""
        self.notes.error(self.entries[field].value, message, suggestion)

    def complain_of_name(self, field: str, message: str, suggestion: str) -> None:
        """Note an error at a field's name."""
        self.notes.error(self.entries[field].key, message, suggestion)

    def not_before(
        self, field: str, last: datetime.date | None, since: str, first: datetime.date | None
    ) -> datetime.date | None:
        """The later date of two; noted and dropped when it lies before the earlier one."""
        if first is None or last is None or last >= first:
            return last
        self.complain(
            field, f"`{field}` {last.isoformat()} lies before `{since}` {first.isoformat()}.", "Correct one of the two dates."
        )
        return None


def group_of(notes: Notes, node: Node, what: str, known: Collection[str], example: str) -> Group | None:
    """The fields of a thing, its unknown ones noted; None when it is no group of fields."""
    if not isinstance(node, Mapping):
        empty = isinstance(node, Scalar) and node.empty
        notes.error(
            node, f"{what} {'has nothing under it' if empty else 'is a group of fields'}.", f"Write it like `{example}`."
        )
        return None
    for name, entry in node.entries.items():
        if name in known:
            continue
        if name == "<<":
            notes.error(entry.key, "Merging with `<<` is not read.", "Write the fields out.")
        else:
            fields = f"Its fields are {listed(known, 'and')}."
            notes.error(entry.key, f"{what} has no field `{excerpt(name)}`.", meant(name, known, fields))
    return Group(notes, node)


def items_of(notes: Notes, node: Node, what: str, example: str) -> tuple[Node, ...]:
    """The items of a list."""
    if isinstance(node, Sequence):
        return node.items
    if isinstance(node, Scalar) and node.empty:
        notes.error(node, f"{what} is empty.", f"Write it like `{example}`, or take the line out.")
    else:
        notes.error(node, f"{what} is a list, each item on its own line behind a dash.", f"Write it like `{example}`.")
    return ()


def one_or_several(node: Node) -> tuple[Node, ...]:
    """The items of a list, or the one item that stands without brackets."""
    return node.items if isinstance(node, Sequence) else (node,)


def read_mention(notes: Notes, node: Node, what: str, example: str) -> Mention | None:
    """A single name."""
    text = read_text(notes, node, what, example)
    return None if text is None else Mention(text, notes.place(node))


def read_names(notes: Notes, node: Node, what: str, example: str) -> tuple[Mention, ...]:
    """One name or a list of them; what is no name is noted and left out."""
    found = (read_mention(notes, item, what, example) for item in one_or_several(node))
    return tuple(name for name in found if name is not None)


def read_facts(notes: Notes, node: Node, what: str, example: str, *, details: bool) -> tuple[Mention, ...]:
    """Names that may say since when (``{peeling: 2026-02-14}``), or a detail where ``details`` allows one."""
    found: list[Mention] = []
    for item in one_or_several(node):
        if not isinstance(item, Mapping):
            mention = read_mention(notes, item, what, example)
            if mention is not None:
                found.append(mention)
            continue
        for name, (key, value) in item.entries.items():
            since: datetime.date | None = None
            detail: str | None = None
            if not (isinstance(value, Scalar) and value.empty):
                if details and isinstance(value, Scalar) and date_of(value.text) is None:
                    detail = read_text(notes, value, what, example)
                else:
                    since = read_date(notes, value, name)
            found.append(Mention(name, notes.place(key), since, detail))
    return tuple(found)
