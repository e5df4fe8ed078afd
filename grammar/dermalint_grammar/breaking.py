"""Breaking lines that are too long: at the joints of what they say, the outermost first, and between words last of all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

WIDTH = 120
"""Longer lines are broken, in characters; a text in quotation marks and a figure with its unit never are."""

INDENT = 2


class Joint(NamedTuple):
    """A word before which a line is best broken.

    ``depth`` is 1 for the outermost parts of a line.  Where ``each`` is true, all joints of its depth break when one has to;
    otherwise as much as fits goes on one row.
    """

    depth: int
    each: bool


@dataclass(frozen=True, slots=True)
class Word:
    """One word or sign of a line."""

    text: str
    is_close: bool  # no blank before it
    is_bound: bool  # no line break before it
    joint: Joint | None


@dataclass(frozen=True, slots=True)
class Row:
    """Words that go on one row, and the column in which they begin."""

    column: int
    words: list[Word]

    def write(self) -> str:
        """The row as it is written."""
        return " " * self.column + join(self.words)


def join(words: list[Word]) -> str:
    """Words as they stand on one row."""
    text = "".join(word.text if word.is_close or number == 0 else f" {word.text}" for number, word in enumerate(words))
    return text.rstrip(" ")


def break_words(words: list[Word], first: int, inner: int) -> list[Row]:
    """Lay words on rows: one where they fit, else broken at their joints, else between words.

    ``first`` is the column of the first row; ``inner`` that of what follows an outermost joint, and each depth below it
    stands further in.
    """
    if first + len(join(words)) <= WIDTH:
        return [Row(first, words)]
    depth = min((word.joint.depth for word in words[1:] if word.joint), default=0)
    if depth == 0:
        column = max(inner, first + INDENT)
        filled = _fill(_gather_bound(words), first, column)
        return [Row(column if number else first, row) for number, row in enumerate(filled)]
    pieces = _split(words, depth)
    column = inner + (depth - 1) * INDENT
    if not any(word.joint.each for word in words[1:] if word.joint and word.joint.depth == depth):
        pieces = _fill(pieces, first, column)
    rows: list[Row] = []
    for number, piece in enumerate(pieces):
        rows += break_words(piece, column if number else first, inner)
    return rows


def _split(words: list[Word], depth: int) -> list[list[Word]]:
    """Words cut before each joint of one depth."""
    pieces = [[words[0]]]
    for word in words[1:]:
        if word.joint and word.joint.depth == depth:
            pieces.append([])
        pieces[-1].append(word)
    return pieces


def _gather_bound(words: list[Word]) -> list[list[Word]]:
    """Words one by one, each with those that must stay on its row."""
    pieces: list[list[Word]] = []
    for word in words:
        if word.is_bound and pieces:
            pieces[-1].append(word)
        else:
            pieces.append([word])
    return pieces


def _fill(pieces: list[list[Word]], first: int, inner: int) -> list[list[Word]]:
    """Put as many pieces on each row as fit."""
    rows: list[list[Word]] = []
    length = 0
    for piece in pieces:
        added = len(join(piece)) + 1
        if rows and length + added <= WIDTH:
            rows[-1].extend(piece)
            length += added
        else:
            length = (inner if rows else first) + len(join(piece))
            rows.append(list(piece))
    return rows
