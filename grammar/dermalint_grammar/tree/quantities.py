"""Places, numbers, durations and names: what all nodes are made of.

Numbers are exact: every quantity is an integer of billionths (``0.3`` is ``300_000_000``), so that sums of strengths and
comparisons at a limit never depend on binary fractions.  Durations keep the unit they were written in, because hours are
differences of clocks and days are differences of regimen days.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from dermalint_grammar.record import Record

BILLION = 1_000_000_000


class Span(NamedTuple):
    """Where something stands: character offsets into the decoded text, end exclusive."""

    start: int
    end: int


class Node(Record):
    """Base of all tree nodes."""


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


class Quantity(Node):
    """A number with its unit: ``%``, ``g``, none (pH, SPF), or a duration's unit; ``value`` in billionths."""

    value: int
    unit: str
    span: Span


class Name(Node):
    """A name as written, and where."""

    text: str
    span: Span


class Source(Node):
    """Where a rule or a figure comes from."""

    status: Status
    text: str
    span: Span
