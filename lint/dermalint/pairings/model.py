"""What is said of two things that may or may not share a routine."""

from __future__ import annotations

from dermalint.regimen.model import ApplyStep, Product, Regimen
from dermalint_grammar.record import Record

TOGETHER = "together"
ORDER = "order"
WAIT = "wait"
ROUTINE = "routine"
HOURS = "hours"
DAY = "day"
DAYS = "days"
NEVER = "never"
RULINGS = (TOGETHER, ORDER, WAIT, ROUTINE, HOURS, DAY, DAYS, NEVER)  # from the mildest


class Subject(Record):
    """One of the things compared: a family, a substance, or a product of a regimen, with the product that stands for it."""

    name: str
    title: str
    product: Product
    step: ApplyStep


class Reason(Record):
    """A rule that keeps two things apart, or puts them in order."""

    rule: str
    severity: str
    certainty: str
    message: str
    why: str
    sources: tuple[str, ...]
    unknown: tuple[str, ...] = ()


class Ruling(Record):
    """How two things may be used.

    ``kind`` is one of :data:`RULINGS`.  ``first`` names the one that comes first, where one must.  ``least`` is a whole
    number of minutes (``wait``) or of days (``days``); ``required`` is what a rule asks for in its own words (``hours``).
    """

    kind: str
    first: str | None = None
    least: int | None = None
    required: str = ""
    reasons: tuple[Reason, ...] = ()


class Pairing(Record):
    """Two things, how all of one kind are used with all of the other, and how some are: where it depends on what is unknown.

    ``some`` is None where nothing depends on that.
    """

    one: Subject
    other: Subject
    ruling: Ruling
    some: Ruling | None = None


class Grid(Record):
    """Everything compared, each pair once, in the order of the subjects; ``regimen`` is the one whose products they are."""

    subjects: tuple[Subject, ...]
    pairings: tuple[Pairing, ...]
    regimen: Regimen | None = None
