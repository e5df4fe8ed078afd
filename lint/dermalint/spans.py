"""Places in texts: offsets, lines, columns and the cells a terminal gives to characters.

An offset counts characters of the decoded text (a byte order mark is cut off and remembered).  Byte offsets into the
original are derived where bytes are cut, by :meth:`SourceText.byte_offset`.  Lines end at ``\\n``, ``\\r\\n`` and ``\\r`` only.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import NamedTuple

_LINE_END = re.compile(r"\r\n|\r|\n")


class Place(NamedTuple):
    """Where a value stands: offsets into its file's text, its JSON pointer, and the file when it is not the regimen's own."""

    start: int
    end: int
    pointer: str = ""
    path: str | None = None


class Position(NamedTuple):
    """Line and column, both counted from 1; the column counts characters."""

    line: int
    column: int


@dataclass(frozen=True)
class SourceText:
    """A file's text with its line starts.

    ``path`` is what the user wrote for it, for messages; ``bom`` says that the original began with a byte order mark.
    """

    path: str
    text: str
    bom: bool = False
    _starts: list[int] = field(default_factory=list, repr=False, compare=False)

    def _line_starts(self) -> list[int]:
        if not self._starts:
            self._starts.append(0)
            self._starts.extend(match.end() for match in _LINE_END.finditer(self.text))
        return self._starts

    def position(self, offset: int) -> Position:
        """Line and column of an offset; an offset past the end is taken as the end."""
        offset = min(max(offset, 0), len(self.text))
        starts = self._line_starts()
        line = bisect_right(starts, offset)
        return Position(line, offset - starts[line - 1] + 1)

    def line_text(self, line: int) -> str:
        """A line without its line end; empty when there is no such line."""
        starts = self._line_starts()
        if not 1 <= line <= len(starts):
            return ""
        end = starts[line] if line < len(starts) else len(self.text)
        return self.text[starts[line - 1] : end].rstrip("\r\n")

    def byte_offset(self, offset: int) -> int:
        """The offset in the original bytes (UTF-8, byte order mark included)."""
        return (3 if self.bom else 0) + len(self.text[:offset].encode("utf-8"))


TAB_STOP = 4


def cell_width(character: str) -> int:
    """Terminal cells of one character: 0 for combining and invisible ones, 2 for wide ones, else 1 (Unicode UAX 11)."""
    if " " <= character < "\x7f":
        return 1
    import unicodedata  # only texts beyond ASCII pay for the table

    if unicodedata.category(character) in ("Mn", "Me", "Cf") or "\u1160" <= character <= "\u11ff":
        return 0  # the latter: vowels and finals of decomposed Hangul, drawn into the syllable before them
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def cells(text: str, start: int = 0) -> int:
    """Terminal cells that ``text`` takes when it begins in cell ``start`` (tabs go to the next stop)."""
    at = start
    for character in text:
        at += TAB_STOP - at % TAB_STOP if character == "\t" else cell_width(character)
    return at - start


def expand_tabs(text: str) -> str:
    """The text as it is shown: tabs as spaces, control characters as a replacement mark."""
    shown: list[str] = []
    at = 0
    for character in text:
        if character == "\t":
            width = TAB_STOP - at % TAB_STOP
            shown.append(" " * width)
            at += width
        else:
            control = character < " " or "\x7f" <= character < "\xa0"
            shown.append("\N{REPLACEMENT CHARACTER}" if control else character)
            at += 1 if control else cell_width(character)
    return "".join(shown)
