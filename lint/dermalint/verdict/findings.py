"""Findings as frozen plain data: what a report prints and nothing it would have to look up elsewhere."""

from __future__ import annotations

from dermalint.spans import Place
from dermalint_grammar.record import Record

SEVERITIES = ("avoid", "caution", "advice")
CERTAIN = "certain"
POSSIBLE = "possible"


class Occurrence(Record):
    """Where a fault is: phase and day counted from 1; ``repeats`` in days where it comes again and again."""

    phase: int
    day: int
    weekday: str | None
    slot: str | None
    repeats: int | None
    date: str | None = None  # ISO, for what happens once on a dated line


class Related(Record):
    """Another step that takes part, with a few words on its part."""

    place: Place
    note: str


class Match(Record):
    """Why a product matched: ``night-cream`` as ``retinoid`` through ``retinol 0.3 %``."""

    product: str
    term: str
    through: str


class Measured(Record):
    """What was measured against what is required; ``value`` None where it is unknown or endless."""

    quantity: str
    value: float | int | None
    unit: str
    required: str


class Edit(Record):
    """A splice: these bytes of the original replaced by a text."""

    start: int
    end: int
    text: str


class Mend(Record):
    """A change that would mend the finding, in words and as edits."""

    say: str
    edits: tuple[Edit, ...] = ()


class Waived(Record):
    """Who accepted a finding, why, and until when; ``known`` where no waiver does but a record of known findings has it."""

    reason: str
    by: str | None
    until: str | None
    known: bool = False


class Finding(Record):
    """A place where a rule does not hold: one a cause, with every day it happens on."""

    rule: str
    severity: str
    topic: str
    certainty: str
    unknown: tuple[str, ...]
    message: str
    why: str
    advise: str
    sources: tuple[str, ...]
    disputed: str | None
    products: tuple[str, ...]
    where: Place
    related: tuple[Related, ...]
    occurs: tuple[Occurrence, ...]
    matched: tuple[Match, ...]
    measured: Measured | None
    mends: tuple[Mend, ...]
    id: str
    group: str
    waived: Waived | None = None
    suspended_by: str | None = None
