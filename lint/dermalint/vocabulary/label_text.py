"""A label's list cut into names: which stretches of the text are one name each, and which part of the label they are in.

Nothing here knows a substance.  What separates names, and what only looks as if it did, follows the practice of labels in
the European Union and the United States (Regulation (EC) 1223/2009, Article 19; 21 CFR 701.3 and 201.66), as summarised
from memory where the texts leave the writing to the trade.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import NamedTuple

MAIN = "main"
ACTIVE = "active"
INACTIVE = "inactive"
OPTIONAL = "optional"
_ABSENT = "absent"  # "free from …": not on the product, so not read

_OPENING = {"(": ")", "[": "]", "{": "}"}
_COMMAS = frozenset(",;•·∙‧●▪◦■|，、；｜・")
_LINE_ENDS = frozenset("\n\r\u2028\u2029")

_MAYBE_WORDS = (
    r"(?:may (?:also )?contain|peut contenir|kann enthalten|puede contener|pu[òo] contenere|kan bevatten|pode conter)\b"
)
# A sign that a hyphen follows is part of a chemical name: (±)-alpha-bisabolol.
_MAYBE_SIGNS = r"(?:\+[ ]?/[ ]?[-−–]|±)(?!\s?[)\]]?-\w)"
_MAYBE = rf"(?:{_MAYBE_WORDS}|{_MAYBE_SIGNS})"
_MARKERS = re.compile(
    rf"(?P<optional>(?:[(\[{{]\s{{0,3}})?{_MAYBE}(?:[\s/(\[]{{0,4}}{_MAYBE}[\s)\]]{{0,4}})*[\s.)\]]{{0,4}}:?)"
    r"|(?P<inactive>(?<![\w-])(?:inactive|non-?medicinal|other) ingredients?\b(?:\s?\([^()]{0,60}\))?\s?:?)"
    r"|(?P<active>(?<![\w-])(?:active|medicinal) ingredients?\b(?:\s?\([^()]{0,60}\))?(?:\s{1,4}purposes?\b)?\s?:?)"
    r"|(?P<absent>(?:\A|(?<=[.,;\n•|*]))[ \t]{0,4}(?:free (?:of|from)|does not contain|contains no|without|no added)\b)",
    re.IGNORECASE,
)
_JOINERS = re.compile(r"\(\s?(?:and|et|und|y)\s?\)", re.IGNORECASE)
_BARE_HEADING = re.compile(r"\s*ingr[eé]dients?\s+(?![:/(])", re.IGNORECASE)
_BLANK_LINE = re.compile(r"[ \t]*(?:\r\n|[\n\r])[ \t]*[\n\r]")

# A locant: a number or one of the letters for atoms, primed or not, as in 1,2- and N,N'- and 3,5,4'-.
_LOCANT_BEFORE = re.compile(r"(?:^|\W)(?:\d{1,3}[a-z]?|[NOSC])['’′]{0,2}\Z")
_LOCANT_AFTER = re.compile(r"(?:\d{1,3}[a-z]?|[NOSC])['’′]{0,2}[,\-]")


class Piece(NamedTuple):
    """A stretch of a label that should be one name; ``blended`` when the label joins it to another (``(and)``, ``&``)."""

    start: int
    end: int
    section: str
    blended: bool


class Stretch(NamedTuple):
    """The pieces of one part of a label, in order."""

    section: str
    pieces: tuple[Piece, ...]


def cut_label(text: str) -> tuple[Stretch, ...]:
    """The parts of a label with their pieces.  Any text is cut somehow; pieces never overlap and are never empty."""
    brackets = match_brackets(text)
    heading = _BARE_HEADING.match(text)
    found: list[Stretch] = []
    at, section, before, closes = (heading.end() if heading else 0), MAIN, MAIN, -1

    def close(upto: int) -> None:
        if section != _ABSENT and upto > at:
            pieces = tuple(_cut(text, at, upto, section, brackets))
            if pieces:
                found.append(Stretch(section, pieces))

    for marker in _MARKERS.finditer(text, at):
        if 0 <= closes < marker.start():
            close(closes)
            at, section, closes = closes + 1, before, -1
        close(marker.start())
        if section != OPTIONAL:
            before = section
        at, section = marker.end(), marker.lastgroup or MAIN
        words = marker.group()
        bracketed = words[0] in _OPENING and sum(map(words.count, "([{")) > sum(map(words.count, ")]}"))
        closes = brackets.get(marker.start(), -1) if bracketed else -1
    if closes >= 0:
        close(closes)
        at, section = closes + 1, before
    close(len(text))
    return tuple(found)


def match_brackets(text: str) -> dict[int, int]:
    """Each opening bracket that is closed, with the place of its closing one; others are ordinary characters."""
    pairs: dict[int, int] = {}
    open_ones: dict[str, list[int]] = {closing: [] for closing in _OPENING.values()}
    for at, character in enumerate(text):
        if character in _OPENING:
            open_ones[_OPENING[character]].append(at)
        elif open_ones.get(character):
            start = open_ones[character].pop()
            pairs[start] = at
            for others in open_ones.values():  # what was opened inside and never closed is no bracket
                del others[bisect_right(others, start) :]
    return pairs


def cut_inside(text: str, start: int, end: int, section: str) -> tuple[Piece, ...]:
    """The pieces of a stretch of text, as of a list of its own (what a bracket holds)."""
    return tuple(_cut(text, start, end, section, {}))


class _Cut(NamedTuple):
    start: int
    end: int
    kind: str


_HARD, _LINE, _BLANK, _SLASH, _BLEND = "comma", "line", "blank line", "slash", "blend"


def _cut(text: str, start: int, end: int, section: str, brackets: dict[int, int]) -> list[Piece]:
    cuts = _find_cuts(text, start, end, brackets)
    hard = sum(cut.kind == _HARD for cut in cuts)
    lines = sum(cut.kind == _LINE for cut in cuts)
    valid = {_HARD, _BLANK, _BLEND}
    # Where commas do the separating, a line break is a wrapped line and a spaced slash joins two names of one ingredient.
    if lines > hard:
        valid.add(_LINE)
    if not hard and not lines and sum(cut.kind == _SLASH for cut in cuts) > 1:
        valid.add(_SLASH)
    pieces: list[Piece] = []
    at, blended = start, False
    for cut in (*(cut for cut in cuts if cut.kind in valid), _Cut(end, end, "")):
        blends = cut.kind == _BLEND
        piece = _trimmed(text, at, cut.start, brackets)
        if piece is not None:
            pieces.append(Piece(*piece, section, blended or blends))
        at, blended = cut.end, blends
    return pieces


def _find_cuts(text: str, start: int, end: int, brackets: dict[int, int]) -> list[_Cut]:
    cuts: list[_Cut] = []
    at = start
    while at < end:
        character = text[at]
        after = at + 1
        if character in "([{" and brackets.get(at, end) < end:
            joiner = _JOINERS.match(text, at)
            if joiner is not None:
                cuts.append(_Cut(at, joiner.end(), _BLEND))
            after = brackets[at] + 1
        elif character in _COMMAS:
            if character != "," or not _inside_name(text, at, start):
                cuts.append(_Cut(at, after, _HARD))
        elif character in _LINE_ENDS:
            blank = _BLANK_LINE.match(text, at)
            if blank is not None and blank.end() > after + (text[at : at + 2] == "\r\n") and blank.end() <= end:
                after = blank.end()
                cuts.append(_Cut(at, after, _BLANK))
            else:
                cuts.append(_Cut(at, after, _LINE))
        elif character in "/&" and start < at < end - 1 and text[at - 1].isspace() and text[after].isspace():
            cuts.append(_Cut(at, after, _SLASH if character == "/" else _BLEND))
        at = after
    return cuts


def _inside_name(text: str, comma: int, start: int) -> bool:
    """Whether a comma stands between locants (1,2- or N,N'-) or in a number (0,5 %)."""
    before, after = text[max(start, comma - 8) : comma], text[comma + 1 : comma + 8]
    left = len(before) - len(before.rstrip("0123456789"))
    right = len(after) - len(after.lstrip("0123456789"))
    if 1 <= left <= 3 and 1 <= right <= 3:
        return True
    return _LOCANT_AFTER.match(after) is not None and _LOCANT_BEFORE.search(before) is not None


def _trimmed(text: str, start: int, end: int, brackets: dict[int, int]) -> tuple[int, int] | None:
    """The stretch without the white space round it and the heading in front of it; None when nothing is left."""
    at = start
    while at < end:
        character = text[at]
        if character in "([{" and brackets.get(at, end) < end:
            at = brackets[at]
        elif character == ":" and not (text[at - 1 : at].isdigit() and text[at + 1 : at + 2].isdigit()):
            start = at + 1  # "CI 15850:1" has a colon of its own
        at += 1
    while start < end and text[start].isspace():
        start += 1
    while end > start and text[end - 1].isspace():
        end -= 1
    return (start, end) if start < end else None
