"""Requirements: what a rule says must hold."""

from __future__ import annotations

from dermalint_grammar.tree.quantities import Comparison, Duration, Name, Node, Quantity, Span
from dermalint_grammar.tree.terms import Term


class Apart(Node):
    """``by routine``, ``by day``, ``by 12 hours``; ``by 7 days before and 2 days after`` (either may be missing)."""

    within: str  # "routine", "day", "duration", "around"
    distance: Duration | None
    before: Duration | None
    after: Duration | None
    span: Span


class Separate(Node):
    """``separate A from B by …``."""

    first: Term
    second: Term
    apart: Apart
    span: Span


class SeparateUses(Node):
    """``separate uses of A by 2 days``."""

    term: Term
    distance: Duration
    span: Span


class ApplyChain(Node):
    """``apply A before B`` (two links) or ``apply A then B then C``."""

    links: tuple[Term, ...]
    span: Span


class ApplyEdge(Node):
    """``apply A first`` or ``last``, with what may come before (after) it and the slot it holds for."""

    term: Term
    edge: str  # "first" or "last"
    but: Term | None
    slot: str | None
    span: Span


class ApplyDirectly(Node):
    """``apply A directly before B``."""

    first: Term
    second: Term
    span: Span


class Wait(Node):
    """``wait 10 minutes after A before B``."""

    duration: Duration
    first: Term
    second: Term
    span: Span


class UseOnly(Node):
    """``use A only in the evening or afternoon``."""

    term: Term
    slots: tuple[Name, ...]
    span: Span


class NeverUse(Node):
    """``never use A``, ``never use A in the morning``."""

    term: Term
    slot: Name | None
    span: Span


class UseCount(Node):
    """``use A at most 3 evenings per week``, ``… in a row``."""

    term: Term
    bound: Comparison  # AT_LEAST or AT_MOST
    number: int
    counted: str  # "times", "days", or a slot's name ("mornings" is stored as "morning")
    per: str  # "week", "day", "cycle", "routine", "month", "days" (then ``window`` says how many), or "row"
    window: int
    span: Span


class UseProducts(Node):
    """``use at most 2 products of A per routine`` (or per day, per week)."""

    term: Term
    bound: Comparison
    number: int
    per: str
    window: int
    span: Span


class UseFor(Node):
    """``use A for at most 8 weeks``."""

    term: Term
    bound: Comparison
    duration: Duration
    span: Span


class Reach(Node):
    """How near a companion must be.

    ``where`` is "routine", "day", "within" (``duration``), "every" (``slot`` for ``duration``) or "ahead" (``duration``).
    """

    where: str
    duration: Duration | None
    slot: str | None
    span: Span


class ExpectAround(Node):
    """``after A expect B …`` or ``before A expect B …``."""

    side: str  # "after" or "before"
    trigger: Term
    companion: Term
    reach: Reach
    span: Span


class ExpectEvery(Node):
    """``expect B in every morning``, ``in every daylight``, ``in every routine that has A``."""

    companion: Term
    slot: str  # a slot, "daylight", "routine" or "day"
    having: Term | None
    span: Span


class Renew(Node):
    """``in daylight expect B every 2 hours``."""

    companion: Term
    duration: Duration
    span: Span


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
