"""From the place at which parsing stopped to one mistake in a teacher's words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from .constructs import COUNT, CONSTRUCTS, DECLARATION, IF, RULE, SUBSTANCE, Construct
from .mistakes import Mistake
from .nodes import Span


@dataclass(frozen=True, slots=True)
class Met:
    """What stood where the sentence could not go on: the kind and text of the token, its place, and the piece around it."""

    kind: str
    text: str
    position: int
    piece: Span


@dataclass(frozen=True, slots=True)
class Allowed:
    """With what the sentence could have gone on: words and signs of the language, and kinds of figures and names."""

    words: tuple[str, ...]
    kinds: frozenset[str]


# How the parts on the parser's stack are written in a shape (see ``constructs``).
_SHAPES = {
    "N": "one_of all_of except_for not_term first_use patch_test contacted marked named literal any_product base_is event_is "
    "measured on_area names NAME",
    "C": "any_condition every_condition not_condition person_is person_has allergic_to takes took reason_is age phototype "
    "region_is skin_is has shortly_after shortly_before during from_date until_date",
    "R": "separate separate_uses apply_chain apply_edge apply_directly wait use_only never_use use_count use_in_a_row "
    "use_products use_for expect_after expect_before expect_every renew limit",
    "apart": "by_routine by_day by_distance by_before by_after by_both",
    "reach": "in_the_same reach_within every_for ahead",
    "clause": "if_clause unless_clause suspends assume pauses one_area",
    "note": "topic why advise disputed review_by breaks holds source",
    "property": "inci also cas pka molar_mass member_of",
    "item": "substance family group area plain measure rule",
    "head": "title about uses pack_line",
    "S": "standing strict_only severity",
    "T": "duration",
    "X": "quantity",
    "cmp": "bound comparison",
    "period": "span rolling",
    "mark": "mark contact",
    "given": "given_person given_region given_as_of given_for given_cycle",
    "fact": "given_trait given_age given_takes given_allergic given_reason given_phototype",
    "when": "example_day weekday",
    "step": "example_step example_wait",
    "part": "example_routine example_event",
    "remark": "remark_area remark_base remark_used remark_timed remark_contact remark_mark remark_measure remark_content "
    "without_end flag",
    "#": "NUMBER",
    '"': "STRING",
    "D": "DATE",
    "K": "CAS",
    "V": "VERSION",
    "Q": "QNAME",
}
_LABELS = {kind: label for label, kinds in _SHAPES.items() for kind in kinds.split()}

# The parts at the end of the stack may not be put together yet, since what follows them is wrong; these put them together in
# the shape.  Tried in turn until none changes it.
_JOINS = tuple(
    (re.compile(rf"(?:(?<=^)|(?<= ))(?:{pattern})$"), label)
    for pattern, label in (
        (r"# (?:minutes?|hours?|days?|weeks?|months?|years?)", "T"),
        (r"at (?:least|most)|above|below", "cmp"),
        (r"(?<=rule N )(?:avoid|caution|advice)", "S"),
        (r"(?<=\( )(?:on|base) N(?<=[N%] \( \w\w N)", "remark"),
        (r"any product|base N|(?:(?<!breaks )(?<!holds )(?<!; )(?<!given ))event N", "N"),
        (r"N (?:or|and|except) N|(?:not|first use of|patch-test of|mark) N", "N"),
        (r"N with N cmp (?:X|T|#|# %)|N on N|\( N \)", "N"),
        (r"person (?:is|has|takes|is allergic to) N|person took N within T|(?:reason|region|skin) is N", "C"),
        (r"age cmp T|phototype cmp #|place has N(?: side N)?|within T after N|before N within T", "C"),
        (r"during the first T of N|from D|until D|not C|C or C|C and C|\( C \)", "C"),
        (r"(?:if|unless) C|suspends Q(?: , Q)*|assume unknown \w+|allowing pauses of T|counting N as one area", "clause"),
        (r"topic N|(?:why|advise|disputed) \"|source status \"|review-by D", "note"),
        (r"(?:inci|also) \"(?: , \")*|(?:cas K(?: , K)*|(?:pka|molar-mass) #(?: , #)*)(?: origin| status \")?|(?<=substance N )in N(?: , N)*", "property"),
        (r"(?:title|about) \"|uses N(?: , N)*", "head"),
    )
)
_LONGEST_SHAPE = 40

_NOTES = ("topic", "why", "advise", "source", "disputed", "review-by", "breaks", "holds")
_ITEMS = tuple(re.findall(r"`([a-z]+)`", DECLARATION))

_KINDS = {
    "NAME": "a name",
    "NUMBER": "a number",
    "STRING": "a text in quotation marks",
    "DATE": "a date",
    "CAS": "a CAS number",
    "VERSION": "a version",
    "QNAME": "a rule with its pack",
    "$END": "the end",
}
_SIGNS = {
    ".": "a full stop",
    ",": "a comma",
    ":": "a colon",
    ";": "a semicolon",
    "(": "an opening bracket",
    ")": "a closing bracket",
    "%": "a percent sign",
}
_COMPARISONS = {">": "above", "<": "below", "≥": "at least", "≤": "at most", "=": "at least"}
_CURLY = "“”„‟«»‘’'"


def describe_shape(stack: list[Any]) -> str:
    """Write the end of a parser's stack as a shape: one label for each part, and what is complete put together."""
    labels = []
    for part in stack[-_LONGEST_SHAPE:]:
        kind = part.type if isinstance(part, str) else str(part.data)  # type: ignore[attr-defined]
        if not kind.startswith("__"):
            labels.append(_LABELS.get(kind, str(part) if isinstance(part, str) else kind))
    shape = " ".join(labels)
    changed = True
    while changed:
        changed = False
        for pattern, label in _JOINS:
            joined = pattern.sub(label, shape)
            changed = changed or joined != shape
            shape = joined
    return shape


def explain_slip(text: str, met: Met, stack: list[Any], allowed: Allowed) -> Mistake:
    """Say what is wrong where parsing stopped.

    ``stack`` is what the parser had put together (tokens and trees), ``allowed`` with what it could have gone on.
    """
    expected = (*allowed.words, *sorted(_KINDS[kind] for kind in allowed.kinds if kind in _KINDS))
    span = _find_word(text, met)
    word = text[span.start : span.end]
    shape = describe_shape(stack)
    told = (
        _explain_writing(text, met, span, word, allowed)
        or _explain_full_stop(met, word, stack, shape, allowed)
        or _explain_order(met, stack, shape, allowed)
    )
    if told is None:
        told = _explain_place(met, span, word, shape, allowed)
    return Mistake(told.span, told.message, told.example, told.suggestion, expected)


def _find_word(text: str, met: Met) -> Span:
    """Widen a token to the whole word or figure that it is in."""
    start, end = met.position, met.position + len(met.text)
    if met.kind == "$END":
        return Span(start, start)
    if met.kind == "OPEN_STRING" or not re.match(r"[\w-]", met.text):
        return Span(start, end)
    while start > met.piece.start and re.match(r"[\w-]", text[start - 1]):
        start -= 1
    found = re.compile(r"[\w-]*(?:\.\w[\w-]*)*" if text[start].isdigit() else r"[\w-]*").match(text, end)
    return Span(start, found.end() if found else end)
