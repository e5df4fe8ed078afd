"""When it is light, and which areas the light reaches."""

from __future__ import annotations

from dermalint.regimen.model import Outdoors, Regimen
from dermalint.timeline.clock import DAY, next_turn
from dermalint.timeline.days import falls_on
from dermalint.timeline.line import Daylight, Line
from dermalint.timeline.unroll import slot_at


def lay_daylight(regimen: Regimen, line: Line) -> list[Daylight]:
    """The daylight of every laid-out day, in order of time.

    Without an interval in the file it lasts from the end of the morning routine (its slot where there is none) to the
    evening slot; ``indoors`` takes a day's daylight away.
    """
    intervals = [entry for entry in regimen.outdoors if entry.start is not None and entry.end is not None]
    inside = [entry for entry in regimen.outdoors if entry.indoors]
    morning_ends = _morning_ends(line)
    evening = line.clock.slots["evening"].minute
    light: list[Daylight] = []
    for day in range(line.first, line.end):
        if any(_covers(entry, line, day) for entry in inside):
            continue
        phase = line.phase_of(day)
        if not intervals:
            start = morning_ends.get(day, day * DAY + line.clock.slots["morning"].minute)
            end = max(day * DAY + evening, start + 1)
            light.append(Daylight(day, start, end, "morning", phase, False, False, None))
            continue
        for entry in intervals:
            if entry.start is None or entry.end is None or not _covers(entry, line, day):
                continue
            first = line.clock.start
            start = first + (entry.start - first) % DAY
            end = next_turn(entry.end, start)
            slot = slot_at(line.clock, start).name
            light.append(
                Daylight(day, day * DAY + start, day * DAY + end, slot, phase, True, entry.behind is not None, entry.place)
            )
    light.sort(key=lambda interval: interval.start)
    return light


def _covers(entry: Outdoors, line: Line, day: int) -> bool:
    if entry.dates:
        return line.starts is not None and any((date - line.starts).days == day for date in entry.dates)
    if entry.days is None:
        return True
    span = line.phases[line.phase_of(day)]
    return falls_on(
        entry.days, day, phase_start=span.start, cycle=span.cycle, weekday=line.weekday(day), starts=line.starts
    )


def _morning_ends(line: Line) -> dict[int, int]:
    ends: dict[int, int] = {}
    for use in line.uses:
        if use.counts_as == "morning" and use.routine not in line.renewals:
            ends[use.day] = max(ends.get(use.day, use.end), line.routine_ends.get(use.routine, use.end))
    return ends
