"""What a proof finds, as frozen plain data."""

from __future__ import annotations

from dermalint.packs.model import LinkedRule
from dermalint.spans import Place
from dermalint_grammar.nodes import Span
from dermalint_grammar.record import Record

FAULT, REMARK = "fault", "remark"

# Each kind with what it is, in the order of a report.
KINDS = {
    "mistake": "a sentence that is not understood or a name that is not known",
    "unsatisfiable": "a term that nothing can be",
    "vacuous": "a term that everything is, or a part of one that changes nothing",
    "never": "a rule that can never fire",
    "order-cycle": "rules whose orders go round in a circle",
    "clash": "rules that cannot hold together",
    "implied": "a rule that another one already implies",
    "suspends": "a `suspends` that never applies",
    "example": "an example that does not do what it says, or a rule without one",
    "unused": "a name that is declared and never used",
    "evidence": "a source that is missing, a review that is due",
    "thin-evidence": "a source from memory, or a single source",
}


class Spot(Record):
    """A further place, with a few words on its part."""

    place: Place
    note: str


class Flaw(Record):
    """One thing that a proof says: of which kind, on which rules (by full name), and where.

    A fault makes the proof fail; a remark is for the author to know.
    """

    kind: str
    level: str
    message: str
    rules: tuple[str, ...]
    where: Place
    related: tuple[Spot, ...] = ()
    suggestion: str = ""


class Undecided(Record):
    """A question that was left open, and why: a bound was reached, or what would answer it is not installed."""

    question: str
    why: str
    rules: tuple[str, ...] = ()


class Answer(Record):
    """What one kind of proof found, and what it left open."""

    flaws: tuple[Flaw, ...] = ()
    undecided: tuple[Undecided, ...] = ()


def place_of(linked: LinkedRule, span: Span | None = None) -> Place:
    """Where a rule's sentence stands, or a part of it."""
    inside = span if span is not None and span != (0, 0) else linked.rule.sentence
    return Place(inside.start, inside.end, "", linked.path)


def spot_of(linked: LinkedRule, note: str, span: Span | None = None) -> Spot:
    """A place in a rule with a few words on its part."""
    return Spot(place_of(linked, span), note)
