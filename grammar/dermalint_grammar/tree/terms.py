"""Terms: which applications (or events, or tests) a sentence speaks of."""

from __future__ import annotations

from dermalint_grammar.tree.quantities import Comparison, Duration, Node, Quantity, Span


class Named(Node):
    """A substance, family, group or kind; the linker says which."""

    name: str
    span: Span


class Literal(Node):
    """``"Exact INCI Name"``: a product whose list holds exactly this name."""

    inci: str
    span: Span


class AnyProduct(Node):
    """``any product``."""

    span: Span


class BaseIs(Node):
    """``base oil``."""

    base: str
    span: Span


class OneOf(Node):
    """``A or B``."""

    terms: tuple[Term, ...]
    span: Span


class AllOf(Node):
    """``A and B``: one product has both."""

    terms: tuple[Term, ...]
    span: Span


class NotTerm(Node):
    """``not A``."""

    term: Term
    span: Span


class Except(Node):
    """``A except B``."""

    term: Term
    but: Term
    span: Span


class Measured(Node):
    """``A with strength at least 5 %``: the measure, of what ``term`` names where the measure is a substance's."""

    term: Term
    measure: str
    comparison: Comparison
    quantity: Quantity
    span: Span


class WithContact(Node):
    """``A with contact at least 5 minutes``; a left-on application has no end and exceeds every duration."""

    term: Term
    comparison: Comparison
    duration: Duration
    span: Span


class Contacted(Node):
    """``left-on A``, ``rinsed A``, ``timed A``."""

    contact: str
    term: Term
    span: Span


class Marked(Node):
    """``prescribed A``, ``encapsulated A``, ``made-up A``."""

    mark: str
    term: Term
    span: Span


class OnArea(Node):
    """``A on face``."""

    term: Term
    area: str
    span: Span


class FirstUse(Node):
    """``first use of A``: each matching product's first application."""

    term: Term
    span: Span


class EventIs(Node):
    """``event waxing``; ``bed`` and ``daylight`` are built in.  Areas by ``event waxing on face``."""

    event: str
    span: Span


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
