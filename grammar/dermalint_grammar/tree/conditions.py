"""Conditions: where a rule applies."""

from __future__ import annotations

from dermalint_grammar.tree.quantities import Comparison, Duration, Node, Span
from dermalint_grammar.tree.terms import Term


class AnyCondition(Node):
    """``C or D``."""

    conditions: tuple[Condition, ...]
    span: Span


class EveryCondition(Node):
    """``C and D``."""

    conditions: tuple[Condition, ...]
    span: Span


class NotCondition(Node):
    """``not C``."""

    condition: Condition
    span: Span


class PersonIs(Node):
    """``person is pregnant``, ``person has peeling``: a trait or a symptom (``verb`` keeps which word was used)."""

    trait: str
    verb: str  # "is" or "has"
    span: Span


class AllergicTo(Node):
    """``person is allergic to aspirin``."""

    allergen: str
    span: Span


class Takes(Node):
    """``person takes isotretinoin``; with ``within``, ``person took isotretinoin within 6 months``."""

    medicine: str
    within: Duration | None
    span: Span


class ReasonIs(Node):
    """``reason is acne``."""

    reason: str
    span: Span


class Age(Node):
    """``age below 12 years``."""

    comparison: Comparison
    duration: Duration
    span: Span


class Phototype(Node):
    """``phototype at most 2`` (Fitzpatrick, 1 to 6)."""

    comparison: Comparison
    number: int
    span: Span


class RegionIs(Node):
    """``region is eu``."""

    region: str
    span: Span


class SkinIs(Node):
    """``skin is dry``: what the step (or the wait before it) says."""

    state: str
    span: Span


class Has(Node):
    """``routine has T``, ``day has T``, ``regimen has T``; ``routine has T after U`` (``order`` "after" or "before")."""

    where: str  # "routine", "day" or "regimen"
    term: Term
    order: str | None
    anchor: Term | None
    span: Span


class Around(Node):
    """``within 24 hours after event microneedling``, ``before event waxing within 7 days``."""

    side: str  # "after" or "before"
    term: Term
    duration: Duration
    span: Span


class DuringFirst(Node):
    """``during the first 2 weeks of A``; with ``after a pause of 3 weeks`` from each fresh start after so long without it."""

    duration: Duration
    term: Term
    span: Span
    pause: Duration | None = None


class FromDate(Node):
    """``from 2025-11-01`` (ISO date), judged on the as-of date."""

    date: str
    span: Span


class UntilDate(Node):
    """``until 2027-05-01``, the day itself excluded: the date on which something else begins to hold."""

    date: str
    span: Span


Condition = (
    AnyCondition
    | EveryCondition
    | NotCondition
    | PersonIs
    | AllergicTo
    | Takes
    | ReasonIs
    | Age
    | Phototype
    | RegionIs
    | SkinIs
    | Has
    | Around
    | DuringFirst
    | FromDate
    | UntilDate
)
