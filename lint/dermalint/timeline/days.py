"""Which days of a phase a routine or an event falls on, and the phase's effective period."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from math import lcm

from dermalint.regimen.model import Days, Phase

LONGEST_PERIOD = 366


def falls_on(days: Days, day: int, *, phase_start: int, cycle: int, weekday: int, starts: date | None) -> bool:
    """Whether a line day is one of ``days``; ``weekday`` is that day's, Monday 0."""
    if days.every:
        origin = phase_start
        if days.anchor and starts:
            origin = (days.anchor - starts).days
        hit = (day - origin) % days.every == 0
    elif days.weekdays:
        hit = weekday + 1 in days.weekdays
    elif days.numbers:
        hit = (day - phase_start) % cycle + 1 in days.numbers
    else:
        return not days.negated
    return hit is not days.negated


def effective_period(phase: Phase, event_days: Iterable[Days]) -> int:
    """Days after which a phase repeats: the least common multiple of its cycle and every ``every K days`` in it.

    Past 366 days the reader has already reported an error; the longest period is then taken.
    """
    period = phase.cycle
    for routine in phase.routines:
        period = lcm(period, routine.days.every or 1)
    for days in event_days:
        period = lcm(period, days.every or 1)
        if days.weekdays:
            period = lcm(period, 7)
    return min(period, LONGEST_PERIOD)
