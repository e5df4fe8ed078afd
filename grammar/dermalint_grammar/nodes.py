"""The tree of a rule file: plain, frozen data with places, and nothing that knows how to check a regimen.

Numbers are exact: every quantity is an integer of billionths (``0.3`` is ``300_000_000``), so that sums of strengths and
comparisons at a limit never depend on binary fractions.  Durations keep the unit they were written in, because hours are
differences of clocks and days are differences of regimen days.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any, NamedTuple

BILLION = 1_000_000_000


class Span(NamedTuple):
    """Where something stands: character offsets into the decoded text, end exclusive."""

    start: int
    end: int


class Node:
    """Base of all tree nodes.  Nodes pickle through their constructor, which is compact and fast for slotted classes."""

    __slots__ = ()

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), tuple(getattr(self, field.name) for field in fields(self))  # type: ignore[arg-type]


class Comparison(StrEnum):
    """How a measure is compared with a quantity."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    ABOVE = "above"
    BELOW = "below"


class Status(StrEnum):
    """How well a figure or a claim is sourced: read, reported by others, common practice, or only remembered."""

    VERIFIED = "verified"
    SECONDARY = "secondary"
    PRACTICE = "practice"
    MEMORY = "memory"


class Severity(StrEnum):
    """How strongly a rule speaks."""

    AVOID = "avoid"
    CAUTION = "caution"
    ADVICE = "advice"


class Unit(StrEnum):
    """Units of duration, singular."""

    MINUTE = "minute"
    HOUR = "hour"
    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    YEAR = "year"


_MINUTES = {Unit.MINUTE: 1, Unit.HOUR: 60}
_DAYS = {Unit.DAY: 1, Unit.WEEK: 7, Unit.MONTH: 30, Unit.YEAR: 365}


@dataclass(frozen=True, slots=True)
class Duration(Node):
    """A length of time as written; ``count`` in billionths of ``unit`` (``1.5 hours`` is 1_500_000_000)."""

    count: int
    unit: Unit
    span: Span

    @property
    def by_clock(self) -> bool:
        """Minutes and hours are differences of clocks; the larger units are differences of regimen days."""
        return self.unit in _MINUTES

    @property
    def minutes(self) -> int:
        """Whole minutes of a duration by the clock; 1440 a day for the others (a month 30 days, a year 365)."""
        factor = _MINUTES.get(self.unit) or _DAYS[self.unit] * 1440
        return self.count * factor // BILLION

    @property
    def days(self) -> int:
        """Regimen days (a month 30 days, a year 365); a duration by the clock is rounded up to whole days."""
        if self.by_clock:
            return -(-self.minutes // 1440)
        return self.count * _DAYS[self.unit] // BILLION


@dataclass(frozen=True, slots=True)
class Quantity(Node):
    """A number with its unit: ``%``, none (pH, SPF), or a duration's unit; ``value`` in billionths."""

    value: int
    unit: str
    span: Span


@dataclass(frozen=True, slots=True)
class Name(Node):
    """A name as written, and where."""

    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class Source(Node):
    """Where a rule or a figure comes from."""

    status: Status
    text: str
    span: Span


# --- terms: which applications (or events, or tests) a sentence speaks of -------------------------------------------------


@dataclass(frozen=True, slots=True)
class Named(Node):
    """A substance, family, group or kind; the linker says which."""

    name: str
    span: Span


@dataclass(frozen=True, slots=True)
class Literal(Node):
    """``"Exact INCI Name"``: a product whose list holds exactly this name."""

    inci: str
    span: Span


@dataclass(frozen=True, slots=True)
class AnyProduct(Node):
    """``any product``."""

    span: Span


@dataclass(frozen=True, slots=True)
class BaseIs(Node):
    """``base oil``."""

    base: str
    span: Span


@dataclass(frozen=True, slots=True)
class OneOf(Node):
    """``A or B``."""

    terms: tuple[Term, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class AllOf(Node):
    """``A and B``: one product has both."""

    terms: tuple[Term, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class NotTerm(Node):
    """``not A``."""

    term: Term
    span: Span


@dataclass(frozen=True, slots=True)
class Except(Node):
    """``A except B``."""

    term: Term
    but: Term
    span: Span


@dataclass(frozen=True, slots=True)
class Measured(Node):
    """``A with strength at least 5 %``: the measure, of what ``term`` names where the measure is a substance's."""

    term: Term
    measure: str
    comparison: Comparison
    quantity: Quantity
    span: Span


@dataclass(frozen=True, slots=True)
class WithContact(Node):
    """``A with contact at least 5 minutes``; a left-on application has no end and exceeds every duration."""

    term: Term
    comparison: Comparison
    duration: Duration
    span: Span


@dataclass(frozen=True, slots=True)
class Contacted(Node):
    """``left-on A``, ``rinsed A``, ``timed A``."""

    contact: str
    term: Term
    span: Span


@dataclass(frozen=True, slots=True)
class Marked(Node):
    """``prescribed A``, ``encapsulated A``, ``made-up A``."""

    mark: str
    term: Term
    span: Span


@dataclass(frozen=True, slots=True)
class OnArea(Node):
    """``A on face``."""

    term: Term
    area: str
    span: Span


@dataclass(frozen=True, slots=True)
class FirstUse(Node):
    """``first use of A``: each matching product's first application."""

    term: Term
    span: Span


@dataclass(frozen=True, slots=True)
class EventIs(Node):
    """``event waxing``; ``bed`` and ``daylight`` are built in.  Areas by ``event waxing on face``."""

    event: str
    span: Span


@dataclass(frozen=True, slots=True)
class PatchTest(Node):
    """``patch-test of A``."""

    term: Term
    span: Span


Term = (
    Named
    | Literal
    | AnyProduct
    | BaseIs
    | OneOf
    | AllOf
    | NotTerm
    | Except
    | Measured
    | WithContact
    | Contacted
    | Marked
    | OnArea
    | FirstUse
    | EventIs
    | PatchTest
)


# --- requirements ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Apart(Node):
    """``by routine``, ``by day``, ``by 12 hours``; ``by 7 days before and 2 days after`` (either may be missing)."""

    within: str  # "routine", "day", "duration", "around"
    distance: Duration | None
    before: Duration | None
    after: Duration | None
    span: Span


@dataclass(frozen=True, slots=True)
class Separate(Node):
    """``separate A from B by …``."""

    first: Term
    second: Term
    apart: Apart
    span: Span


@dataclass(frozen=True, slots=True)
class SeparateUses(Node):
    """``separate uses of A by 2 days``."""

    term: Term
    distance: Duration
    span: Span


@dataclass(frozen=True, slots=True)
class ApplyChain(Node):
    """``apply A before B`` (two links) or ``apply A then B then C``."""

    links: tuple[Term, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class ApplyEdge(Node):
    """``apply A first`` or ``last``, with what may come before (after) it and the slot it holds for."""

    term: Term
    edge: str  # "first" or "last"
    but: Term | None
    slot: str | None
    span: Span


@dataclass(frozen=True, slots=True)
class ApplyDirectly(Node):
    """``apply A directly before B``."""

    first: Term
    second: Term
    span: Span


@dataclass(frozen=True, slots=True)
class Wait(Node):
    """``wait 10 minutes after A before B``."""

    duration: Duration
    first: Term
    second: Term
    span: Span


@dataclass(frozen=True, slots=True)
class UseOnly(Node):
    """``use A only in the evening or afternoon``."""

    term: Term
    slots: tuple[Name, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class NeverUse(Node):
    """``never use A``, ``never use A in the morning``."""

    term: Term
    slot: Name | None
    span: Span


@dataclass(frozen=True, slots=True)
class UseCount(Node):
    """``use A at most 3 evenings per week``, ``… in a row``."""

    term: Term
    bound: Comparison  # AT_LEAST or AT_MOST
    number: int
    counted: str  # "times", "days", or a slot's name ("mornings" is stored as "morning")
    per: str  # "week", "day", "cycle", "routine", "month", "days" (then ``window`` says how many), or "row"
    window: int
    span: Span


@dataclass(frozen=True, slots=True)
class UseProducts(Node):
    """``use at most 2 products of A per routine`` (or per day, per week)."""

    term: Term
    bound: Comparison
    number: int
    per: str
    window: int
    span: Span


@dataclass(frozen=True, slots=True)
class UseFor(Node):
    """``use A for at most 8 weeks``."""

    term: Term
    bound: Comparison
    duration: Duration
    span: Span


@dataclass(frozen=True, slots=True)
class Reach(Node):
    """How near a companion must be.

    ``where`` is "routine", "day", "within" (``duration``), "every" (``slot`` for ``duration``) or "ahead" (``duration``).
    """

    where: str
    duration: Duration | None
    slot: str | None
    span: Span


@dataclass(frozen=True, slots=True)
class ExpectAround(Node):
    """``after A expect B …`` or ``before A expect B …``."""

    side: str  # "after" or "before"
    trigger: Term
    companion: Term
    reach: Reach
    span: Span


@dataclass(frozen=True, slots=True)
class ExpectEvery(Node):
    """``expect B in every morning``, ``in every daylight``, ``in every routine that has A``."""

    companion: Term
    slot: str  # a slot, "daylight", "routine" or "day"
    having: Term | None
    span: Span


@dataclass(frozen=True, slots=True)
class Renew(Node):
    """``in daylight expect B every 2 hours``."""

    companion: Term
    duration: Duration
    span: Span


@dataclass(frozen=True, slots=True)
class Limit(Node):
    """``limit strength of A to at most 2 %``, ``limit total strength of A per routine to at most 10 %``."""

    measure: Name
    term: Term
    total: bool
    per: str | None
    bound: Comparison  # AT_LEAST or AT_MOST
    quantity: Quantity
    span: Span


Requirement = (
    Separate
    | SeparateUses
    | ApplyChain
    | ApplyEdge
    | ApplyDirectly
    | Wait
    | UseOnly
    | NeverUse
    | UseCount
    | UseProducts
    | UseFor
    | ExpectAround
    | ExpectEvery
    | Renew
    | Limit
)


# --- conditions -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class AnyCondition(Node):
    """``C or D``."""

    conditions: tuple[Condition, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class EveryCondition(Node):
    """``C and D``."""

    conditions: tuple[Condition, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class NotCondition(Node):
    """``not C``."""

    condition: Condition
    span: Span


@dataclass(frozen=True, slots=True)
class PersonIs(Node):
    """``person is pregnant``, ``person has peeling``: a trait or a symptom (``verb`` keeps which word was used)."""

    trait: str
    verb: str  # "is" or "has"
    span: Span


@dataclass(frozen=True, slots=True)
class AllergicTo(Node):
    """``person is allergic to aspirin``."""

    allergen: str
    span: Span


@dataclass(frozen=True, slots=True)
class Takes(Node):
    """``person takes isotretinoin``; with ``within``, ``person took isotretinoin within 6 months``."""

    medicine: str
    within: Duration | None
    span: Span


@dataclass(frozen=True, slots=True)
class ReasonIs(Node):
    """``reason is acne``."""

    reason: str
    span: Span


@dataclass(frozen=True, slots=True)
class Age(Node):
    """``age below 12 years``."""

    comparison: Comparison
    duration: Duration
    span: Span


@dataclass(frozen=True, slots=True)
class Phototype(Node):
    """``phototype at most 2`` (Fitzpatrick, 1 to 6)."""

    comparison: Comparison
    number: int
    span: Span


@dataclass(frozen=True, slots=True)
class RegionIs(Node):
    """``region is eu``."""

    region: str
    span: Span


@dataclass(frozen=True, slots=True)
class SkinIs(Node):
    """``skin is dry``: what the step (or the wait before it) says."""

    state: str
    span: Span


@dataclass(frozen=True, slots=True)
class Has(Node):
    """``routine has T``, ``day has T``, ``regimen has T``; ``routine has T after U`` (``order`` "after" or "before")."""

    where: str  # "routine", "day" or "regimen"
    term: Term
    order: str | None
    anchor: Term | None
    span: Span


@dataclass(frozen=True, slots=True)
class Around(Node):
    """``within 24 hours after event microneedling``, ``before event waxing within 7 days``."""

    side: str  # "after" or "before"
    term: Term
    duration: Duration
    span: Span


@dataclass(frozen=True, slots=True)
class DuringFirst(Node):
    """``during the first 2 weeks of A``."""

    duration: Duration
    term: Term
    span: Span


@dataclass(frozen=True, slots=True)
class FromDate(Node):
    """``from 2025-11-01`` (ISO date), judged on the as-of date."""

    date: str
    span: Span


@dataclass(frozen=True, slots=True)
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


# --- examples in compact notation ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Remark(Node):
    """What stands in brackets behind an example's step.

    ``kind`` says which field counts: "contact" (``rinsed``, ``timed 10 minutes``), "area" (``on lips``), "base" (``base oil``),
    "measure" (``ph 3.5``), "content" (``niacinamide 4 %``, or a bare name: a kind, substance or family the product also has),
    "used" (``used 3 months``: in the history since then) or "mark" (``prescribed``, ``encapsulated``, ``new``, ``as-needed``).
    """

    kind: str
    word: str
    value: int | None
    duration: Duration | None
    span: Span


@dataclass(frozen=True, slots=True)
class ExampleStep(Node):
    """``retinol 0.3 % (on face)``: a substance, family or kind with a strength in billionths of a per cent, or a wait."""

    what: Name | None
    strength: int | None
    remarks: tuple[Remark, ...]
    wait: Duration | None
    span: Span


@dataclass(frozen=True, slots=True)
class ExampleRoutine(Node):
    """``monday evening: …`` or ``day 3 morning: …``; without a day, every day."""

    day: int | None  # 1 … N; a weekday is its number, Monday 1
    weekday: bool
    slot: str
    steps: tuple[ExampleStep, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class ExampleEvent(Node):
    """``event waxing on day 3``."""

    event: str
    day: int
    span: Span


@dataclass(frozen=True, slots=True)
class Given(Node):
    """What an example says before its routines.

    ``kind`` is "trait" (a trait or symptom), "age", "takes", "allergic", "reason", "phototype", "region", "as-of" (``name`` is
    the ISO date), "for" (the line ends after ``duration``) or "cycle" (its length).
    """

    kind: str
    name: str
    number: int | None
    duration: Duration | None
    span: Span


@dataclass(frozen=True, slots=True)
class Example(Node):
    """A ``breaks`` or ``holds`` example: in compact notation, or a regimen file beside the pack."""

    breaks: bool
    givens: tuple[Given, ...]
    parts: tuple[ExampleRoutine | ExampleEvent, ...]
    file: str | None
    span: Span


# --- declarations and rules ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Figure(Node):
    """A published number of a substance with its source (None where the pack names none); ``value`` in billionths."""

    value: int
    source: Source | None
    span: Span


@dataclass(frozen=True, slots=True)
class CasNumber(Node):
    """A CAS registry number, its check digit not yet judged."""

    text: str
    source: Source | None
    span: Span


@dataclass(frozen=True, slots=True)
class SubstanceDecl(Node):
    """``substance glycolic-acid …``: label names, CAS numbers, chemistry and families."""

    name: Name
    inci: tuple[str, ...]
    cas: tuple[CasNumber, ...]
    also: tuple[str, ...]
    pka: tuple[Figure, ...]
    molar_mass: Figure | None
    families: tuple[Name, ...]
    sources: tuple[Source, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class FamilyDecl(Node):
    """``family alpha-hydroxy-acid "alpha hydroxy acids" in hydroxy-acid``."""

    name: Name
    title: str
    families: tuple[Name, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class GroupDecl(Node):
    """``group strong-acid means …``."""

    name: Name
    title: str
    term: Term
    span: Span


@dataclass(frozen=True, slots=True)
class AreaDecl(Node):
    """``area face contains forehead, cheeks.``; ``area beard overlaps cheeks, jaw.``"""

    name: Name
    contains: tuple[Name, ...]
    overlaps: tuple[Name, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class PlainDecl(Node):
    """``kind serum "serum"``: a kind, base, event, trait, symptom, allergy, reason, region or slot."""

    sort: str
    name: Name
    title: str
    span: Span


@dataclass(frozen=True, slots=True)
class MeasureDecl(Node):
    """``measure free-acid "%" adds``."""

    name: Name
    unit: str
    adds: bool
    span: Span


Declaration = SubstanceDecl | FamilyDecl | GroupDecl | AreaDecl | PlainDecl | MeasureDecl


@dataclass(frozen=True, slots=True)
class Rule(Node):
    """One rule: its severity in either stance, requirement, clauses and notes.

    ``severity`` is None for a rule that is silent in the usual stance; ``strict`` is None where the strict stance is the
    same.  ``unknown`` is "holds" or "breaks" where ``assume unknown …`` overrides the third value.
    """

    name: Name
    severity: Severity | None
    strict: Severity | None
    requirement: Requirement
    conditions: tuple[Condition, ...]  # all must hold; ``unless C`` is stored as a NotCondition
    pauses: Duration | None
    one_area: tuple[Name, ...]  # ``counting face as one area``
    unknown: str | None
    suspends: tuple[Name, ...]
    topic: str | None
    why: str
    advise: str
    sources: tuple[Source, ...]
    disputed: str
    review_by: str | None
    examples: tuple[Example, ...]
    sentence: Span  # from the requirement's first word to the full stop
    span: Span


@dataclass(frozen=True, slots=True)
class Used(Node):
    """``uses acids 1.2 or later``."""

    name: Name
    version: str | None


@dataclass(frozen=True, slots=True)
class Pack(Node):
    """A whole rule file."""

    name: Name
    version: str
    title: str
    about: str
    uses: tuple[Used, ...]
    declarations: tuple[Declaration, ...]
    rules: tuple[Rule, ...]
    span: Span
