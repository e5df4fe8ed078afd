"""A hand-out in one language, still without any markup: sections of sentences that each form writes in its own way."""

from __future__ import annotations

from dermalint_grammar.record import Record


class Item(Record):
    """One point: what it says, and what stands below it.  ``foreign`` is the language where it is not the sheet's own."""

    text: str
    details: tuple[str, ...] = ()
    foreign: str | None = None


class Table(Record):
    """A table; the first cell of each row is its heading."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Section(Record):
    """A section: a heading, lines below it, a table, and points (``numbered`` for steps).

    ``tone`` is ``plain``, ``stop`` (what means stop), ``avoid`` (why a hand-out would be refused) or ``routine``.
    """

    name: str
    heading: str
    lines: tuple[str, ...] = ()
    table: Table | None = None
    items: tuple[Item, ...] = ()
    numbered: bool = False
    tone: str = "plain"


class Sheet(Record):
    """The whole hand-out."""

    language: str
    direction: str
    title: str
    lines: tuple[str, ...]
    sections: tuple[Section, ...]
    care_heading: str
    care: str
    colon: str = ": "  # with the space that the language wants before it
