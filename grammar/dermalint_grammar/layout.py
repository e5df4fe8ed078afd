"""The one layout of rule files: the same words in the same order, on lines that show how they belong together.

What begins a line, what stands indented and where blank lines go follows from the text's tree; comments stay with the word
behind which, or the line before which, they were written.  Laying out twice changes nothing more.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from .mistakes import Mistake
from .parse import read_tree

if TYPE_CHECKING:
    from lark import Token, Tree

WIDTH = 120
"""Longer lines are broken, in characters; a text in quotation marks and a figure with its unit never are."""

_INDENT = 2
_COMMENT_OR_END = re.compile(r"#[^\n]*|\n")
_CLOSE_BEHIND = (",", ".", ":", ";", ")")
_HEAD = ("pack_line", "title", "about", "uses")
_JOINED = ("one_of", "all_of", "any_condition", "every_condition")


@dataclass(frozen=True, slots=True)
class Laid:
    """A text in its layout; where the text cannot be read it is as it was, and ``mistakes`` say why."""

    text: str
    mistakes: tuple[Mistake, ...]


@dataclass(frozen=True, slots=True)
class _Comment:
    text: str
    alone: bool  # on a line of its own, not behind a word
    blank_before: bool


@dataclass(frozen=True, slots=True)
class _Gap:
    """What stands between two words."""

    comments: tuple[_Comment, ...]
    blank_at_end: bool


@dataclass(frozen=True, slots=True)
class _Opening:
    """A word that begins a line: its indent, whether a blank line must or may go before it, and how a long line is broken.

    ``inner`` is the indent of what follows a joint.
    """

    indent: int
    must_blank: bool = False
    may_blank: bool = False
    inner: int = _INDENT
    at_every_joint: bool = False


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    is_close: bool  # no blank before it
    is_bound: bool  # no line break before it
    is_joint: bool  # a long line is best broken before it


@dataclass(slots=True)
class _Line:
    """One line as it is meant: rows of words, each but the last ended by a comment, and what is written of it so far."""

    opening: _Opening
    words: list[_Word] = field(default_factory=list)
    written: list[str] = field(default_factory=list)


def layout_pack(text: str) -> Laid:
    """Lay out a rule file.  Figures that are wrong (a date, a CAS number) do not matter here; sentences must be complete."""
    tree, tokens, mistakes = read_tree(text)
    if tree is None:
        return Laid(text, mistakes)
    openings = _find_openings(tree, tokens)
    joints = _find_joints(tree, tokens)
    lines: list[str] = []
    line = _Line(_Opening(0))
    end = 1 if text.startswith("\ufeff") else 0
    before = ""
    for token in tokens:
        start = token.start_pos or 0
        gap = _read_gap(text[end:start], first=not before)
        if opening := openings.get(start):
            _end_line(line, gap, opening, lines)
            line = _Line(opening)
        else:
            _write_comments(line, gap)
        line.words.append(_make_word(token, before, start in joints))
        before, end = str(token), token.end_pos or 0
    _end_line(line, _read_gap(text[end:], first=False), _Opening(0, may_blank=True), lines)
    while not lines[-1]:
        lines.pop()
    return Laid("".join(f"{one}\n" for one in lines), ())


# --- what the text says about its lines ------------------------------------------------------------------------------------


def _read_gap(gap: str, first: bool) -> _Gap:
    comments: list[_Comment] = []
    ends = 1 if first else 0
    alone = first
    for found in _COMMENT_OR_END.finditer(gap):
        if found[0] == "\n":
            ends += 1
            alone = True
        else:
            comments.append(_Comment(found[0].rstrip(), alone, ends > 1))
            ends = 0
    return _Gap(tuple(comments), ends > 1)


def _make_word(token: Token, before: str, is_joint: bool) -> _Word:
    text = str(token)
    is_close = text in _CLOSE_BEHIND or before == "("
    is_bound = is_close or text == "%" or before[:1].isdigit() or (text.startswith('"') and before != ",")
    return _Word(text, is_close, is_bound, is_joint)


def _find_openings(tree: Tree[Token], tokens: list[Token]) -> dict[int, _Opening]:
    """Find where lines begin, by the place of their first word."""
    items: list[Any] = tree.children
    openings = {items[0].meta.start_pos: _Opening(0, may_blank=True)}
    for one, other in pairwise(items):
        alike = _sort_of(one) == _sort_of(other) and not (_has_lines(one) or _has_lines(other))
        openings[other.meta.start_pos] = _Opening(0, must_blank=not alike, may_blank=True)
    for item in items:
        for number, inner in enumerate(_find_inner_lines(item)):
            is_requirement = item.data == "rule" and number == 0
            openings[inner.meta.start_pos] = _Opening(_INDENT, inner=_INDENT if is_requirement else 2 * _INDENT)
    for one, other in pairwise(tokens):
        if one.type == "MEANS":
            openings[other.start_pos or 0] = _Opening(_INDENT, at_every_joint=True)
    return openings


def _sort_of(item: Tree[Token]) -> str:
    if item.data in _HEAD:
        return "head"
    return str(item.children[0].children[0]) if item.data == "plain" else str(item.data)  # type: ignore[union-attr]


def _has_lines(item: Tree[Token]) -> bool:
    return item.data == "group" or bool(_find_inner_lines(item))


def _find_inner_lines(item: Tree[Token]) -> list[Any]:
    """The properties of a substance; the requirement, clauses and notes of a rule."""
    if item.data == "substance":
        return item.children[1:]
    if item.data != "rule":
        return []
    sentence: Any = item.children[2]
    return [*sentence.children, *item.children[3:]]


def _find_joints(tree: Tree[Token], tokens: list[Token]) -> set[int]:
    """Find where a long line is best broken: between the alternatives of a term, the parts of a sentence, routines."""
    starts = [token.start_pos or 0 for token in tokens]
    joints: set[int] = set()
    for item in tree.children:
        for part in _find_jointed(item):
            for one, other in pairwise(child for child in part.children if child is not None):
                first = bisect_left(starts, _end_of(one))
                between = tokens[first : bisect_left(starts, _start_of(other))]
                own = [token.start_pos or 0 for token in between if token not in _CLOSE_BEHIND]
                if part.data == "example" or getattr(other, "data", "") == "bound":
                    own = [*own, _start_of(other)]
                joints.update(own[:1])
    return joints


def _find_jointed(item: Any) -> list[Any]:
    """The parts of a declaration or rule whose own words may begin lines."""
    if item.data == "group":
        return [item.children[2]] if item.children[2].data in _JOINED else []
    if item.data != "rule":
        return []
    sentence: Any = item.children[2]
    clauses = [clause.children[0] for clause in sentence.children[1:] if clause.data in ("if_clause", "unless_clause")]
    examples = [note.children[0] for note in item.children[3:] if note.data in ("breaks", "holds")]
    return [sentence.children[0], *(one for one in clauses if one.data in _JOINED), *examples]


def _start_of(part: Any) -> int:
    return int(part.start_pos if isinstance(part, str) else part.meta.start_pos)  # type: ignore[attr-defined]


def _end_of(part: Any) -> int:
    return int(part.end_pos if isinstance(part, str) else part.meta.end_pos)  # type: ignore[attr-defined]


# --- writing ---------------------------------------------------------------------------------------------------------------


def _write_comments(line: _Line, gap: _Gap) -> None:
    """Write comments that stand in the middle of a line; what follows them is indented further."""
    for comment in gap.comments:
        _write_words(line)
        if comment.alone:
            line.written.append(" " * (line.opening.indent + _INDENT) + comment.text)
        else:
            line.written[-1] += f"  {comment.text}"


def _end_line(line: _Line, gap: _Gap, following: _Opening, lines: list[str]) -> None:
    """Write a line to its end, and the comments and the blank line before the one that follows."""
    _write_words(line)
    comments = list(gap.comments)
    if comments and not comments[0].alone:
        line.written[-1] += f"  {comments.pop(0).text}"
    lines.extend(line.written)
    must_blank = following.must_blank
    for comment in [*comments, _Comment("", True, gap.blank_at_end)]:
        if lines and (must_blank or (following.may_blank and comment.blank_before)):
            lines.append("")
        must_blank = False
        if comment.text:
            lines.append(" " * following.indent + comment.text)


def _write_words(line: _Line) -> None:
    """Write the words gathered for a line: on one line where they fit, else broken at joints, else between words."""
    if not line.words:
        return
    margin = " " * (line.opening.indent + (_INDENT if line.written else 0))
    behind_joint = " " * line.opening.inner
    inner = " " * (line.opening.indent + _INDENT)
    rows = [line.words]
    if len(margin) + len(_join(line.words)) > WIDTH:
        rows = _split_at_joints(line.words)
        if not line.opening.at_every_joint:
            rows = _fill(rows, WIDTH - max(len(margin), len(behind_joint)))
    for place, row in enumerate(rows):
        for number, words in enumerate(_fill([[word] for word in row], WIDTH - len(inner))):
            line.written.append((inner if number else behind_joint if place else margin) + _join(words))
    line.words = []


def _join(words: list[_Word]) -> str:
    return "".join(word.text if word.is_close or number == 0 else f" {word.text}" for number, word in enumerate(words))


def _split_at_joints(words: list[_Word]) -> list[list[_Word]]:
    rows: list[list[_Word]] = []
    for word in words:
        if word.is_joint or not rows:
            rows.append([])
        rows[-1].append(word)
    return rows


def _fill(pieces: list[list[_Word]], width: int) -> list[list[_Word]]:
    """Put as many pieces on each row as fit; a piece that is bound to the one before it stays with it."""
    rows: list[list[_Word]] = []
    length = 0
    for piece in pieces:
        added = len(_join(piece)) + (0 if piece[0].is_close else 1)
        if rows and (piece[0].is_bound or length + added <= width):
            rows[-1].extend(piece)
            length += added
        else:
            rows.append(list(piece))
            length = len(_join(piece))
    return rows
