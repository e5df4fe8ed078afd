"""A label's list of ingredients against the vocabulary: which substances it names, and what their order proves.

Names match whole or not at all: ``Cetyl Alcohol`` is no alcohol and ``Ethylhexyl Salicylate`` no salicylic acid.  A name that
the vocabulary does not have is simply not known to be anything.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from dermalint.vocabulary.label_base import infer_base
from dermalint.vocabulary.label_names import COLOUR_INDEX, EDGES, LONGEST_NAME, MARKS, find_name
from dermalint.vocabulary.label_text import (
    ACTIVE,
    INACTIVE,
    MAIN,
    OPTIONAL,
    Piece,
    Stretch,
    cut_inside,
    cut_label,
    match_brackets,
)
from dermalint.vocabulary.world import World
from dermalint_grammar.nodes import BILLION

# Preservatives that no cosmetic may hold more than 1 % of: Regulation (EC) 1223/2009, Annex V, entries 4, 12, 12a, 13, 27, 29,
# 33, 46, 50 and 56 (export of spring 2024).  Some ceilings are lower, but below 1 % names may stand in any order (from
# memory: Article 19), so that what comes after one of these is at most 1 % and nothing less is proved.  Preservatives with a
# higher ceiling in what is rinsed off, or with another use, are left out.
AT_MOST_ONE_PER_CENT = frozenset(
    {
        "chlorphenesin",
        "dehydroacetic-acid",
        "diazolidinyl-urea",
        "dmdm-hydantoin",
        "imidazolidinyl-urea",
        "iodopropynyl-butylcarbamate",
        "methylparaben",
        "phenoxyethanol",
        "potassium-sorbate",
        "propylparaben",
        "sorbic-acid",
    }
)
ONE_PER_CENT = BILLION
COLOURANT = "colourant"  # colourants may come last in any order, whatever their amount

_NUMBER = r"\d{1,3}(?:[.,]\d{1,9})?"
_PERCENT = re.compile(
    rf"(?P<open>[(\[]\s?)?(?P<vague>{_NUMBER}\s?(?:-|–|to)\s?|[<>≤≥~≈]\s?)?(?<![\d.,])(?P<number>{_NUMBER})\s?%"
    r"(?:\s?\(?[wv]\s?/\s?[wvm]\b\)?)?(?(open)\s?[)\]])",
    re.IGNORECASE,
)
_FOOTNOTE = re.compile(rf"(?<=[\s.)])[{MARKS}]+\s?(?=[^\W\d_])")
_FOOTNOTE_WORDS = re.compile(
    r"\b(?:organic|certified|from|issus?|ingr[eé]dients?|natural(?:ly)?|naturels?|derived|constituents?|origin|farming|agricultur\w*)\b",
    re.IGNORECASE,
)
# Where a stretch that is no name may still be several: a wrapped line, the end of a sentence, two numbers that only met.
_AND = re.compile(r"\s*(?:(?:and|et|und|&)\s+)?", re.IGNORECASE)
_LESSER_CUTS = re.compile(r"[\n\r]+|\s/\s|\.\s+(?=[A-Z])|(?<=\d),(?=\d)|\s(?:and|et|und)\s|\A(?:and|et|und)\s", re.IGNORECASE)


class Entry(NamedTuple):
    """One name of a label: ``text`` is what stands from ``start`` to ``end``.

    ``key`` is the substance (None where the vocabulary does not have the name).  ``optional`` ones stand under "may
    contain".  ``strength`` is what the label states, ``at_most`` what the order proves (both billionths of a per cent), and
    ``after`` the name that proves it.
    """

    text: str
    start: int
    end: int
    key: str | None
    optional: bool = False
    strength: int | None = None
    at_most: int | None = None
    after: str | None = None


class Label(NamedTuple):
    """A label that was read.

    ``base`` is the vehicle its first names show beyond doubt.  ``ordered`` says that names stand in falling order of weight:
    not so where active ingredients are listed apart, nor in an alphabetical list.
    """

    entries: tuple[Entry, ...]
    base: str | None
    unknown: tuple[Entry, ...]
    ordered: bool


class _Name(NamedTuple):
    start: int
    end: int
    key: str | None
    strength: int | None = None
    blended: bool = False  # joined to another name, or one of several in a bracket: its place proves nothing of others
    inside: bool = False


def read_label(text: str, world: World) -> Label:
    """Read a label's list; whatever the text, never raises."""
    stretches = cut_label(text)
    names: list[tuple[str, _Name]] = []
    complete = True
    for stretch in stretches:
        found, whole = _read_stretch(text, stretch, world)
        names += [(stretch.section, name) for name in found]
        complete = complete and whole
    panel = any(section in (ACTIVE, INACTIVE) for section, _ in names)
    ordered = not panel and not _is_alphabetical([text[name.start : name.end] for section, name in names if section == MAIN])
    entries = tuple(_prove(text, names, ordered, world))
    vehicle = [
        (entry.key, entry.text)
        for entry, (section, name) in zip(entries, names, strict=True)
        if section in (MAIN, INACTIVE) and not name.inside
    ]
    return Label(
        entries=entries,
        base=infer_base(vehicle, world, ordered=ordered, complete=complete),
        unknown=tuple(entry for entry in entries if entry.key is None),
        ordered=ordered,
    )


def _is_alphabetical(names: Sequence[str]) -> bool:
    folded = [name.casefold() for name in names]
    return len(folded) >= 6 and folded == sorted(folded)


def _prove(text: str, names: Iterable[tuple[str, _Name]], ordered: bool, world: World) -> Iterator[Entry]:
    proof: str | None = None
    for section, name in names:
        written = text[name.start : name.end]
        at_most = after = None
        if ordered and section == MAIN:
            coloured = COLOURANT in world.ancestors.get(name.key or "", ()) or COLOUR_INDEX.search(written) is not None
            if proof is not None and name.strength is None and not coloured:
                at_most, after = ONE_PER_CENT, proof
            if proof is None and name.key in AT_MOST_ONE_PER_CENT and not name.blended:
                proof = written.strip(EDGES)
        yield Entry(written, name.start, name.end, name.key, section == OPTIONAL, name.strength, at_most, after)


def _read_stretch(text: str, stretch: Stretch, world: World) -> tuple[list[_Name], bool]:
    """The names of one part of a label, and whether the list goes on to its end (not so with an ellipsis)."""
    found: list[_Name] = []
    complete = True
    marks: set[str] = set()
    for piece in stretch.pieces:
        written = text[piece.start : piece.end]
        if not written.strip(EDGES + ".,;%"):
            complete = complete and "…" not in written and ".." not in written
            continue
        end, stop = _before_footnote(written, marks, world)
        if end:
            names = list(_read_piece(text, piece._replace(end=piece.start + end), world))
            if len(names) == 1 and names[0].start == names[0].end:  # a strength by itself, after a comma
                if found and found[-1].strength is None:
                    found[-1] = found[-1]._replace(strength=names[0].strength)
            else:
                found += names
            bare = written[:end].rstrip(" .")
            marks.update(bare[len(bare.rstrip(MARKS)) :][:1])
        if stop:
            break
    return found, complete


def _before_footnote(written: str, marks: set[str], world: World) -> tuple[int, bool]:
    """How much of a piece comes before a footnote's text, and whether one begins."""
    lead = written[: len(written) - len(written.lstrip(MARKS))]
    if lead and lead != written:
        rest = written[len(lead) :].strip()
        if find_name(rest, world) is None and (lead[0] in marks or _FOOTNOTE_WORDS.search(rest)):
            return 0, True
        return len(written), False
    begins = _FOOTNOTE.search(written)
    if begins is None:
        return len(written), False
    return len(written[: begins.start()].rstrip()), True


def _read_piece(text: str, piece: Piece, world: World) -> Iterator[_Name]:
    written = text[piece.start : piece.end]
    strengths = [] if len(written) > LONGEST_NAME else list(_PERCENT.finditer(written))
    if len(strengths) > 1:  # several without a separator, as in a panel of one line
        parts: list[_Name] = []
        at = 0
        for match in strengths:
            part = piece._replace(start=piece.start + at, end=piece.start + match.end())
            parts += (name for name in _read_piece(text, _after_and(text, part), world) if name.start < name.end)
            at = match.end()
        if piece.section == ACTIVE or (parts and all(part.key for part in parts)):
            yield from parts
            return
    strength = None
    start, end = piece.start, piece.end
    if len(strengths) == 1:
        match = strengths[0]
        strength = None if match["vague"] else _billionths(match["number"])
        before, after = written[: match.start()], written[match.end() :]
        if piece.section == ACTIVE:  # what follows says what the substance is for
            written = before if before.strip(EDGES) else after
        else:
            written = f"{before.rstrip()} {after.lstrip()}".strip()
        if not written.strip(EDGES + ".()[]"):
            yield _Name(start, start, None, strength)
            return
    key = find_name(written, world)
    if key is None and not strengths:
        several = list(_split_further(text, piece, world))
        if several:
            yield from several
            return
    outer, inner = _read_bracket(text, piece, world) if key is None else (piece, [])
    if outer is not piece:
        key, end = find_name(text[start : outer.end], world), outer.end
    yield _Name(start, end, key, strength, piece.blended)
    yield from (name for name in inner if name.key != key)


def _after_and(text: str, piece: Piece) -> Piece:
    lead = _AND.match(text, piece.start, piece.end)
    return piece if lead is None else piece._replace(start=lead.end())


def _billionths(number: str) -> int | None:
    whole, _, fraction = number.replace(",", ".").partition(".")
    value = int(whole + fraction) * 10 ** (9 - len(fraction))
    return value if value <= 100 * BILLION else None


def _split_further(text: str, piece: Piece, world: World) -> Iterator[_Name]:
    """The parts of a stretch that is no name itself, where each part is one."""
    written = text[piece.start : piece.end]
    if len(written) > LONGEST_NAME:
        return
    brackets = match_brackets(written)
    for cut in _LESSER_CUTS.finditer(written):
        if any(opening < cut.start() < closing for opening, closing in brackets.items()):
            continue
        left, right = written[: cut.start()], written[cut.end() :]
        first, second = find_name(left, world), find_name(right, world)
        sentence = cut.group().startswith(".")
        if (first or not left.strip()) and second is None:
            rest = piece._replace(start=piece.start + cut.end())
            more = list(_split_further(text, rest, world))
            if first and sentence and not more:  # "…, Parfum. Organic ingredients: 20": what follows is no list
                yield _Name(piece.start, piece.start + cut.start(), first, None, piece.blended)
                return
            if more:
                if first:
                    yield _Name(piece.start, piece.start + cut.start(), first, None, piece.blended)
                yield from more
                return
        elif second and (first or not left.strip()):
            if first:
                yield _Name(piece.start, piece.start + cut.start(), first, None, piece.blended)
            yield _Name(piece.start + cut.end(), piece.end, second, None, piece.blended)
            return


def _read_bracket(text: str, piece: Piece, world: World) -> tuple[Piece, list[_Name]]:
    """What stands before a bracket at the end that holds several names, and those known: ``Parfum (Linalool, Limonene)``."""
    written = text[piece.start : piece.end].rstrip(EDGES + ".")
    if not written.endswith((")", "]")):
        return piece, []
    pairs = match_brackets(written)
    opening = next((start for start, end in pairs.items() if end == len(written) - 1), 0)
    if not written[:opening].endswith(" "):  # at the start of a name, or part of it: Poly(…)
        return piece, []
    parts = cut_inside(text, piece.start + opening + 1, piece.start + pairs[opening], piece.section)
    if len(parts) < 2:
        return piece, []
    known = [(part, find_name(text[part.start : part.end], world)) for part in parts]
    inner = [_Name(part.start, part.end, key, None, True, True) for part, key in known if key is not None]
    return piece._replace(end=piece.start + len(written[:opening].rstrip())), inner
