"""How days come round: the shortest turn that a set of days repeats with."""

from __future__ import annotations

from collections.abc import Collection

from dermalint_grammar.record import Record


class Turn(Record):
    """Days ``on`` (counted from 0) of every ``every`` days; all of them where each day is meant."""

    every: int
    on: tuple[int, ...]

    @property
    def daily(self) -> bool:
        """Whether each day is meant."""
        return len(self.on) == self.every


def shortest_turn(days: Collection[int], period: int, length: int | None) -> Turn:
    """The shortest turn with which ``days`` come round in a stretch that repeats after ``period`` days.

    ``days`` are those of the first period; ``length`` is how many days the stretch lasts (None: for ever).  Alternate days
    are so said as one of every two, whatever the period.
    """
    seen = period if length is None else min(period, length)
    given = frozenset(day for day in days if day < seen)
    for every in range(1, period + 1):
        if period % every and seen == period:
            continue
        on = frozenset(day % every for day in given)
        if all((day % every in on) == (day in given) for day in range(seen)):
            return Turn(every, tuple(sorted(on)))
    return Turn(period, tuple(sorted(given)))
