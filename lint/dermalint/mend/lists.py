"""Lists rewritten: items kept, taken out, put in and brought into another order, in each way a list can be written."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from dermalint.mend.splices import (
    Refused,
    Splice,
    line_end,
    line_start,
    newline_of,
    spliced,
    with_comments_above,
)
from dermalint.mend.values import YAML, Value, value_of, written
from dermalint.regimen.tree import Mapping, Node
from dermalint.regimen.tree import Sequence as ListNode

_DASH = re.compile(r"([ ]*)-(?:[ \t]+|$)")
_PROPERTY = re.compile(r"[&!][^\s]*[ \t]+")
_ANCHOR = re.compile(r"(?:^|[\s\[,{-])&[^\s,\[\]{}]")
_GAP = re.compile(r"\s*,\s*")


class Keep(NamedTuple):
    """The item that stands at this number, from 0."""

    number: int


class Put(NamedTuple):
    """An item put in: what stands elsewhere (``home`` the list it is in), changed by ``splices``, or a new value.

    ``copied``: it stays where it was, too.
    """

    value: Value | None = None
    home: ListNode | None = None
    number: int = 0
    splices: tuple[Splice, ...] = ()
    copied: bool = False
    lines: str | None = None  # a whole item of a block list, written for no indentation
    raw: str | None = None  # a whole item of a list in brackets


Piece = Keep | Put


def is_flow(text: str, node: Node) -> bool:
    """Whether a list or a group is written in brackets."""
    return text[start_of(text, node) : start_of(text, node) + 1] in ("[", "{")


def start_of(text: str, node: Node) -> int:
    """Where a value begins, behind its anchor."""
    at = node.start
    while (found := _PROPERTY.match(text, at)) is not None:
        at = found.end()
    return at


def rewrite(text: str, node: ListNode, pieces: Sequence[Piece], language: str) -> list[Splice]:
    """The splices that give a list these items.  Raises :class:`Refused` where the text does not allow it."""
    if not is_sound(node):
        raise Refused("it stands for several places at once (an alias)")
    runs = _runs(node, pieces)
    if not runs:
        return []
    if is_flow(text, node):
        return list(_in_brackets(text, node, runs, language))
    if language != YAML:
        raise Refused("its steps are written as tables of their own")
    return list(_in_lines(text, node, runs, language))


def is_sound(node: ListNode) -> bool:
    """Whether the items stand inside the list, one behind the other (an alias would stand elsewhere)."""
    at = node.start
    for item in node.items:
        if item.start < at or item.end > max(node.end, item.start):
            return False
        at = max(item.end, item.start)
    return True


class _Run(NamedTuple):
    """Between two items that stay: those taken out, and those put there."""

    before: int | None
    taken: tuple[int, ...]
    put: tuple[Put, ...]
    after: int | None


def _runs(node: ListNode, pieces: Sequence[Piece]) -> list[_Run]:
    staying = _longest_ascent([piece.number for piece in pieces if isinstance(piece, Keep)])
    anchored = set(staying)
    runs: list[_Run] = []
    put: list[Put] = []
    before: int | None = None

    def close(after: int | None) -> None:
        nonlocal put, before
        since = -1 if before is None else before
        until = len(node.items) if after is None else after
        taken = tuple(range(since + 1, until))
        if taken or put:
            runs.append(_Run(before, taken, tuple(put), after))
        put, before = [], after

    for piece in pieces:
        if isinstance(piece, Keep) and piece.number in anchored:
            anchored.discard(piece.number)
            close(piece.number)
        elif isinstance(piece, Keep):
            put.append(Put(home=node, number=piece.number))
        else:
            put.append(piece)
    close(None)
    return runs


def _longest_ascent(numbers: list[int]) -> list[int]:
    """The longest ascending part: what need not be moved.  Of several the one whose first difference comes latest."""
    best: list[list[int]] = []
    for number in numbers:
        before = max((part for part in best if part[-1] < number), key=len, default=[])
        best.append([*before, number])
    return max(best, key=len, default=[])


# --- lists in brackets: YAML's flow style, JSON, TOML's arrays


def _in_brackets(text: str, node: ListNode, runs: list[_Run], language: str) -> Iterator[Splice]:
    items = node.items
    between = _separator(text, node)
    for run in runs:
        put = between.join(in_one_line(text, piece, language) for piece in run.put)
        for piece in run.put:
            if (comment := _comment_behind(text, piece)) and language == YAML:
                yield _at_line_end(text, node, comment)
        if run.taken and run.put:
            yield Splice(items[run.taken[0]].start, items[run.taken[-1]].end, put)
        elif run.taken:
            start, end = items[run.taken[0]].start, items[run.taken[-1]].end
            if run.after is not None:
                end = items[run.after].start
            elif run.before is not None:
                start = items[run.before].end
            if "#" in _outside(text, start, end, [items[index] for index in run.taken]):
                raise Refused("a comment stands between the items that would go")
            yield Splice(start, end, "")
        elif run.after is not None:
            at = items[run.after].start
            yield Splice(at, at, put + between)
        elif run.before is not None:
            at = items[run.before].end
            yield Splice(at, at, between + put)
        else:
            at = start_of(text, node) + 1
            yield Splice(at, at, put)


def _comment_behind(text: str, piece: Put) -> str:
    """The comment behind a step that comes from a block list."""
    if piece.home is None or is_flow(text, piece.home):
        return ""
    end = piece.home.items[piece.number].end
    return text[end : line_end(text, end)].strip()


def _at_line_end(text: str, node: ListNode, comment: str) -> Splice:
    """The comment of a step that comes into a list in brackets, behind the list."""
    at = node.end
    while at < len(text) and text[at] not in "\r\n":
        at += 1
    if text[node.end : at].strip(" \t]}"):
        raise Refused("the comment of the step has no place behind a list in brackets")
    return Splice(at, at, f"  {comment}")


def _outside(text: str, start: int, end: int, items: list[Node]) -> str:
    parts: list[str] = []
    for item in items:
        parts.append(text[start : item.start])
        start = item.end
    return "".join([*parts, text[start:end]])


def _separator(text: str, node: ListNode) -> str:
    """What stands between two items, where that is only a comma and space."""
    items = node.items
    for first, second in pairwise(items):
        gap = text[first.end : second.start]
        if _GAP.fullmatch(gap):
            return gap
    if items:
        lead = text[start_of(text, node) + 1 : items[0].start]
        if "\n" in lead and not lead.strip():
            return f",{lead}"
    return ", "


def in_one_line(text: str, piece: Put, language: str) -> str:
    """An item as it is written in a list in brackets."""
    if piece.raw is not None:
        return piece.raw
    if piece.home is None:
        assert piece.value is not None
        return written(piece.value, language)
    item = piece.home.items[piece.number]
    if is_flow(text, piece.home) or language != YAML:
        return _changed(text, item.start, item.end, piece)
    segment = segment_of(text, piece.home, piece.number)
    if "#" in text[segment[0] : item.start] or _ANCHOR.search(text[slice(*segment)]):
        raise Refused("a comment above the step, or an anchor, would be lost in a list in brackets")
    if isinstance(item, Mapping) and not is_flow(text, item):
        if piece.splices:
            raise Refused("the step is written over several lines and the list in brackets")
        if "#" in text[item.start : item.end]:
            raise Refused("the step has a comment that would be lost in a list in brackets")
        return written(value_of(item, text, language), language)
    return _changed(text, item.start, item.end, piece)


def _changed(text: str, start: int, end: int, piece: Put) -> str:
    part = spliced(text[start:end], (Splice(s.start - start, s.end - start, s.text) for s in piece.splices))
    if piece.copied and _ANCHOR.search(part):
        raise Refused("an anchor (`&name`) in it cannot stand twice")
    return part


# --- lists in lines: YAML's block style, a dash before each item


def segment_of(text: str, node: ListNode, index: int) -> tuple[int, int]:
    """The lines of an item, with the comment lines directly above and the comment behind it."""
    item = node.items[index]
    start = line_start(text, item.start)
    dash = _DASH.match(text, start)
    if dash is None or (text[dash.end() : item.start].strip(" \t") and not _PROPERTY.match(text, dash.end())):
        raise Refused("a list is laid out in an unusual way")
    floor = line_end(text, node.items[index - 1].end) if index else _below_name(text, node)
    return with_comments_above(text, start, floor), line_end(text, item.end)


def _below_name(text: str, node: ListNode) -> int:
    """The start of the first line below a list's name."""
    first = line_start(text, node.items[0].start)
    at = first
    while at > 0:
        above = line_start(text, at - 1)
        if not text[above:at].lstrip().startswith("#"):
            return at
        at = above
    return at


def dash_column(text: str, node: ListNode) -> int:
    """How far a block list's dashes are indented."""
    dash = _DASH.match(text, line_start(text, node.items[0].start))
    if dash is None:
        raise Refused("a list is laid out in an unusual way")
    return len(dash[1])


def _in_lines(text: str, node: ListNode, runs: list[_Run], language: str) -> Iterator[Splice]:
    if not node.items:
        raise Refused("a list without items has no lines")
    column = dash_column(text, node)
    newline = newline_of(text)
    for run in runs:
        if run.before is None and run.after is None and not run.put:
            raise Refused("nothing would be left of a list")
        put = "".join(_as_lines(text, piece, column, newline, language) for piece in run.put)
        if put:
            if run.taken:
                at = segment_of(text, node, run.taken[0])[0]
            elif run.before is not None:
                at = segment_of(text, node, run.before)[1]
            else:
                assert run.after is not None
                at = segment_of(text, node, run.after)[0]
            if at == len(text) and not text.endswith("\n"):
                put = newline + put.removesuffix(newline)
            yield Splice(at, at, put)
        for index in run.taken:
            yield Splice(*segment_of(text, node, index), "")


def _as_lines(text: str, piece: Put, column: int, newline: str, language: str) -> str:
    indent = " " * column
    if piece.lines is not None:
        return "".join(f"{indent}{line}{newline}" for line in piece.lines.split("\n"))
    if piece.home is None:
        assert piece.value is not None
        if isinstance(piece.value, dict) and len(piece.value) == 1:
            ((name, value),) = piece.value.items()
            return f"{indent}- {name}: {written(value, language)}{newline}"
        return f"{indent}- {written(piece.value, language)}{newline}"
    if is_flow(text, piece.home):
        item = piece.home.items[piece.number]
        return f"{indent}- {_changed(text, item.start, item.end, piece)}{newline}"
    lines = block_text(text, piece)
    return indented(lines, column - dash_column(text, piece.home), newline)


def block_text(text: str, piece: Put) -> str:
    """The lines of an item of a block list as they are, with the piece's changes."""
    assert piece.home is not None
    start, end = segment_of(text, piece.home, piece.number)
    lines = _changed(text, start, end, piece)
    return lines if lines.endswith("\n") else lines + newline_of(text)


def indented(lines: str, by: int, newline: str) -> str:
    """Lines moved to the right, or to the left where ``by`` is negative."""
    if by == 0:
        return lines
    moved: list[str] = []
    for line in lines.removesuffix("\n").removesuffix("\r").split("\n"):
        bare = line.rstrip("\r")
        if by < 0 and bare[:-by].strip(" "):
            raise Refused("its lines are indented less than the place where it would go")
        moved.append((" " * by + bare if by > 0 else bare[-by:]) if bare.strip() else bare)
    return newline.join(moved) + newline
