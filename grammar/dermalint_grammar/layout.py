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

from .breaking import INDENT, Joint, Word, break_words
from .mistakes import Mistake
from .parse import read_tree

if TYPE_CHECKING:
    from lark import Token, Tree

_COMMENT_OR_END = re.compile(r"#[^\n]*|\n")
_CLOSE_BEHIND = (",", ".", ":", ";", ")")
_HEAD = ("pack_line", "title", "about", "uses")
_JOINED = ("one_of", "all_of", "except_for", "any_condition", "every_condition")
_TERMS = (
    *("one_of", "all_of", "except_for", "not_term", "first_use", "patch_test", "contacted", "marked", "named", "literal"),
    *("any_product", "base_is", "event_is", "measured", "on_area"),
)
_DEEPEST = 8  # joints further inside than this are no place to break a line
_EXAMPLES = len("breaks ")  # the column, behind the indent, in which examples begin


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
    """A word that begins a line: its indent, and whether a blank line must or may go before it.

    ``inner`` is the column of what follows an outermost joint, where a long line is broken.
    """

    indent: int
    must_blank: bool = False
    may_blank: bool = False
    inner: int = INDENT


@dataclass(slots=True)
class _Line:
    """One line as it is meant: rows of words, each but the last ended by a comment, and what is written of it so far."""

    opening: _Opening
    words: list[Word] = field(default_factory=list)
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
    before: Token | None = None
    for token in tokens:
        start = token.start_pos or 0
        gap = _read_gap(text[end:start], first=before is None)
        if opening := openings.get(start):
            _end_line(line, gap, opening, lines)
            line = _Line(opening)
        else:
            _write_comments(line, gap)
        line.words.append(_make_word(token, before, joints.get(start)))
        before, end = token, token.end_pos or 0
    _end_line(line, _read_gap(text[end:], first=False), _Opening(0, may_blank=True), lines)
    while not lines[-1]:
        lines.pop()
    return Laid("".join(f"{one}\n" for one in lines), ())


def read_words(text: str) -> list[str]:
    """The words and signs of a rule file, comments left out; none where it has mistakes."""
    return [str(token) for token in read_tree(text)[1]]


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


def _make_word(token: Token, before: Token | None, joint: Joint | None) -> Word:
    text = str(token)
    is_close = text in _CLOSE_BEHIND or before == "("
    is_behind = before is not None and before.type in ("NUMBER", "SOURCE")  # a unit; how well a source is known
    is_bound = is_close or is_behind or text == "%" or (text.startswith('"') and before != ",")
    if token.type == "HOLDS" and (before is None or before.type != "UNKNOWN"):
        text = text.ljust(_EXAMPLES - 1)  # examples of both sorts begin in one column
    return Word(text, is_close, is_bound and joint is None, joint)


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
            column = INDENT if is_requirement else INDENT + (_EXAMPLES if inner.data in ("breaks", "holds") else INDENT)
            openings[inner.meta.start_pos] = _Opening(INDENT, inner=column)
    for one, other in pairwise(tokens):
        if one.type == "MEANS":
            openings[other.start_pos or 0] = _Opening(INDENT)
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


def _find_joints(tree: Tree[Token], tokens: list[Token]) -> dict[int, Joint]:
    """Find where a long line is best broken: between the alternatives of a term, the parts of a sentence, routines, steps."""
    starts = [token.start_pos or 0 for token in tokens]
    joints: dict[int, Joint] = {}
    waiting = [(part, 1) for item in tree.children for part in _find_jointed(item)]
    while waiting:
        part, depth = waiting.pop()
        children = [child for child in part.children if child is not None]
        is_requirement = depth == 1 and part.data not in (*_JOINED, *_TERMS, "example")
        each = _breaks_at_each(part)
        is_jointed = is_requirement or part.data in (*_JOINED, "example", "example_routine")
        for one, other in pairwise(children) if is_jointed and depth <= _DEEPEST else ():
            if is_requirement and not (_is_term(one) or _is_term(other)):
                continue
            if part.data == "example_routine" and isinstance(one, str):
                continue  # the first step stays with its slot
            first, behind = bisect_left(starts, _end_of(one)), bisect_left(starts, _start_of(other))
            own = [token.start_pos or 0 for token in tokens[first:behind] if token not in _CLOSE_BEHIND]
            if getattr(one, "type", "") == "NUMBER":
                own = own[1:]  # a number stays with what it counts
            joints[own[0] if own else _start_of(other)] = Joint(depth, each)
        inner = depth + 1 if is_jointed else max(depth, 2)
        waiting.extend((child, inner) for child in children if not isinstance(child, str))
    return joints


def _breaks_at_each(part: Tree[Token]) -> bool:
    """Whether each part of a broken line begins a row; bare names fill rows, and so do the parts of a sentence and steps."""
    if part.data == "example":
        return True
    return part.data in _JOINED and not all(getattr(child, "data", "") == "named" for child in part.children)


def _is_term(part: Any) -> bool:
    return getattr(part, "data", "") in _TERMS


def _find_jointed(item: Any) -> list[Any]:
    """The parts of a declaration or rule whose own words may begin rows."""
    if item.data == "group":
        return [item.children[2]]
    if item.data != "rule":
        return []
    sentence: Any = item.children[2]
    clauses = [clause.children[0] for clause in sentence.children[1:] if clause.data in ("if_clause", "unless_clause")]
    examples = [note.children[0] for note in item.children[3:] if note.data in ("breaks", "holds")]
    return [sentence.children[0], *clauses, *examples]


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
            line.written.append(" " * (line.opening.indent + INDENT) + comment.text)
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
    """Write the words gathered for a line; what follows a comment in its middle stands further in."""
    if line.words:
        first = line.opening.indent + (INDENT if line.written else 0)
        line.written.extend(row.write() for row in break_words(line.words, first, line.opening.inner))
    line.words = []
