"""The line of days itself, as data: what is applied, what happens, when it is light, and which days are judged."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from operator import attrgetter
from typing import NamedTuple

from dermalint.regimen.model import ApplyStep, Contact, Event, Product, Routine
from dermalint.spans import Place
from dermalint.timeline.clock import Clock
from dermalint_grammar.record import Record

PERHAPS_FIRST = 1
FIRST = 2


class Application(Record):
    """One product in one written step: what every use of that step shares."""

    product: Product
    step: ApplyStep
    routine: Routine
    contact: Contact
    certain: bool  # neither as-needed nor only-if
    only_if: str | None
    place: Place
    skin: str | None  # what the step, or the wait before it, says of the skin


@dataclass(slots=True)
class Use:
    """One application at one moment, or one happening of an event (then ``application`` is None).

    ``minute`` counts from the midnight of day 0, ``day`` is the regimen day (0 is the line's first).  ``waited`` and
    ``dry_waits`` add up the stated waits and the waits until the skin is dry before it in its routine.  ``end`` is when its
    contact ends, the same as ``minute`` for what stays on.  ``kind`` numbers the written step (or the event).  ``first`` is
    FIRST for a product's first use on the line, and PERHAPS_FIRST for a step's where all before it may not happen.
    """

    minute: int
    day: int
    slot: str
    counts_as: str
    phase: int
    routine: int
    position: int
    waited: int
    dry_waits: int
    end: int
    kind: int
    application: Application | None = None
    event: Event | None = None
    first: int = 0
    signature: int = -1  # set by the checks: what it has in common with others

    @property
    def product(self) -> str:
        """The product's key; empty for an event."""
        return self.application.product.key if self.application else ""


in_time = attrgetter("minute", "routine", "position")  # the order of a line's uses


class Daylight(NamedTuple):
    """An interval of daylight on a regimen day; ``stated`` in the file, or the default."""

    day: int
    start: int
    end: int
    slot: str
    phase: int
    stated: bool
    behind_glass: bool
    place: Place | None


class PhaseSpan(Record):
    """A phase on the line: its first day, the day after its last (None: for ever), its cycle and effective period."""

    start: int
    end: int | None
    cycle: int
    period: int


@dataclass(slots=True)
class Line:
    """A regimen unrolled.

    Days ``first`` … ``end`` - 1 are laid out; faults are reported whose anchor lies on days ``judged_from`` …
    ``judged_until`` - 1; what is anchored on or after ``steady_from`` repeats for ever (None: the line ends).  ``circular``
    lines are periodic both ways.
    """

    clock: Clock
    phases: tuple[PhaseSpan, ...]
    circular: bool
    first: int
    end: int
    judged_from: int
    judged_until: int
    steady_from: int | None
    starts: date | None
    uses: list[Use] = field(default_factory=list)
    events: list[Use] = field(default_factory=list)
    by_routine: dict[int, list[Use]] = field(default_factory=dict)
    routine_ends: dict[int, int] = field(default_factory=dict)
    renewals: set[int] = field(default_factory=set)  # routines that only stand for one repeat of a chain

    def next_routine(self) -> int:
        """A number for a routine not laid out yet; 0 is nobody's."""
        return len(self.routine_ends) + len(self.renewals) + 1

    def phase_of(self, day: int) -> int:
        """The index of the phase a day lies in."""
        for index, span in enumerate(self.phases):
            if span.end is None or day < span.end:
                return index
        return len(self.phases) - 1

    def judged(self, day: int) -> bool:
        """Whether a fault anchored on this day is reported."""
        return self.judged_from <= day < self.judged_until

    def weekday(self, day: int) -> int:
        """The weekday of a day, Monday 0: the calendar's when the line is dated, else day 0 is a Monday."""
        return ((self.starts.weekday() if self.starts else 0) + day) % 7
