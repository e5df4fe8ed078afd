"""Splices: stretches of a text replaced by others, everything between them untouched to the byte."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from dermalint.spans import SourceText
from dermalint.verdict.findings import Edit


class Refused(Exception):
    """A change that this text does not allow; the argument says why, as a clause for people."""


class Splice(NamedTuple):
    """The characters ``start`` … ``end`` - 1 of a text replaced by another text."""

    start: int
    end: int
    text: str


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """The text with all splices made.  Raises :class:`Refused` where two of them overlap."""
    parts: list[str] = []
    at = 0
    for splice in in_order(splices):
        if splice.start < at:
            raise Refused("two changes would meet in one place of the text")
        parts += (text[at : splice.start], splice.text)
        at = splice.end
    parts.append(text[at:])
    return "".join(parts)


def in_order(splices: Iterable[Splice]) -> list[Splice]:
    """The splices as they stand in the text; those that insert at one place in the order they were given."""
    return sorted(splices, key=lambda splice: (splice.start, splice.end))


def as_edits(source: SourceText, splices: Iterable[Splice]) -> tuple[Edit, ...]:
    """The splices as replacements of byte ranges of the original."""
    return tuple(
        Edit(source.byte_offset(splice.start), source.byte_offset(splice.end), splice.text) for splice in in_order(splices)
    )


def apply_edits(data: bytes, edits: Iterable[Edit]) -> bytes:
    """The bytes of a file with edits made.  Raises ValueError where edits overlap or lie outside."""
    parts: list[bytes] = []
    at = 0
    for edit in sorted(edits, key=lambda edit: (edit.start, edit.end)):
        if not at <= edit.start <= edit.end <= len(data):
            raise ValueError("Edits overlap, or lie outside the file")
        parts += (data[at : edit.start], edit.text.encode("utf-8"))
        at = edit.end
    parts.append(data[at:])
    return b"".join(parts)


def line_start(text: str, at: int) -> int:
    """Where the line of an offset begins."""
    return text.rfind("\n", 0, at) + 1


def line_end(text: str, at: int) -> int:
    """Where the line of an offset ends, its line end included."""
    found = text.find("\n", at)
    return len(text) if found < 0 else found + 1


def newline_of(text: str) -> str:
    """The line end that the text uses."""
    first = text.find("\n")
    return "\r\n" if first > 0 and text[first - 1] == "\r" else "\n"


_COMMENT = re.compile(r"[ \t]*#")


def with_comments_above(text: str, start: int, floor: int) -> int:
    """The start of a line, or of the comment lines directly above it; never before ``floor``."""
    while start > floor:
        above = line_start(text, start - 1)
        if above < floor or not _COMMENT.match(text, above):
            return start
        start = above
    return start
