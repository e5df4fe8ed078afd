"""Laying a regimen out on its line of days."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from dermalint.regimen.model import ApplyStep, Days, Event, Regimen, Routine, WaitStep
from dermalint.timeline.clock import DAY, Clock, SlotClock, nearest_turn, next_turn, set_clock
from dermalint.timeline.days import effective_period, falls_on
from dermalint.timeline.line import FIRST, PERHAPS_FIRST, Application, Line, PhaseSpan, Use, in_time

NOON = 12 * 60  # of a dated event without a clock
FARTHEST_DAY = 366 * 3  # dated items beyond three years after the start are not laid out


def unroll(regimen: Regimen, reach: int, settled: int = 0) -> Line:
    """Lay out as many days as are needed to judge every day of the regimen with windows of ``reach`` days.

    ``settled`` is the day from which nothing is new any more: before it the first weeks of something may still run.

    A regimen without ``starts``, finite phases and history is periodic both ways and is laid out ``reach`` days beyond its
    period on either side.  Any other begins on day 0 and is laid out until its last phase runs steadily.
    """
    clock = set_clock(regimen.clock)
    spans = _phase_spans(regimen)
    last = spans[-1]
    circular = regimen.starts is None and len(spans) == 1 and last.end is None and regimen.history is None
    period = last.period
    steady: int | None
    if circular:
        margin = max(reach, 1)
        line = Line(clock, spans, True, -margin, period + margin, 0, period, 0, None)
    elif last.end is not None:
        line = Line(clock, spans, False, 0, last.end, 0, last.end, None, regimen.starts)
    else:
        busy_until = max(last.start, _last_dated_day(regimen) + 1, settled)
        steady = last.start + -(-(busy_until - last.start + reach) // period) * period
        line = Line(clock, spans, False, 0, steady + period + reach, 0, steady + period, steady, regimen.starts)
    _lay_out(regimen, line)
    return line


def _phase_spans(regimen: Regimen) -> tuple[PhaseSpan, ...]:
    events = [event.days for event in regimen.events if event.days]
    day = 0
    spans: list[PhaseSpan] = []
    for phase in regimen.phases:
        end = None if phase.days is None else day + phase.days
        spans.append(PhaseSpan(day, end, phase.cycle, effective_period(phase, events)))
        if end is None:
            break
        day = end
    return tuple(spans)


def first_days(regimen: Regimen) -> dict[str, int]:
    """For each product the day by which it is used for the first time: at the latest one period into its first phase."""
    found: dict[str, int] = {}
    for phase, span in zip(regimen.phases, _phase_spans(regimen), strict=False):
        for routine in phase.routines:
            for step in routine.steps:
                if isinstance(step, ApplyStep):
                    for mention in step.products:
                        found.setdefault(mention.name, span.start + span.period)
    return found


def _last_dated_day(regimen: Regimen) -> int:
    if regimen.starts is None:
        return 0
    dates: list[date] = [day for phase in regimen.phases for routine in phase.routines for day in routine.dates]
    dates += [event.on for event in regimen.events if event.on]
    dates += [day for light in regimen.outdoors for day in light.dates]
    dates += [medicine.until for medicine in regimen.person.takes if medicine.until]
    last = max(((day - regimen.starts).days for day in dates), default=0)
    for event in regimen.events:
        if event.every_days and event.first:
            begin = (event.first - regimen.starts).days
            last = max(last, begin + event.every_days * ((event.times or 1 + 366 // event.every_days) - 1))
    return min(last, FARTHEST_DAY)


class _Draft(NamedTuple):
    """One application of a routine, to be laid on each of its days; minutes count from the beginning of the routine."""

    at: int
    end: int
    slot: SlotClock
    position: int
    waited: int
    dry_waits: int
    kind: int
    application: Application


class _Moment(NamedTuple):
    """The routines of one minute of the day as one: their steps, each with its applications, and how long they take."""

    minute: int
    steps: tuple[tuple[ApplyStep, tuple[_Draft, ...]], ...]
    lasts: int


_Kinds = dict[tuple[int, str], tuple[int, Application]]


def _lay_out(regimen: Regimen, line: Line) -> None:
    kinds: _Kinds = {}
    drafted: dict[tuple[int, ...], _Moment] = {}  # by the numbers of its routines
    known: dict[tuple[int, int, int], list[_Moment]] = {}  # by what tells the days of a phase apart where they are alike
    alike = [not any(routine.dates or routine.days.every for routine in phase.routines) for phase in regimen.phases]
    for day in range(line.first, line.end):
        index = line.phase_of(day)
        span = line.phases[index]
        key = index, line.weekday(day), (day - span.start) % span.cycle
        moments = known.get(key) if alike[index] else None
        if moments is None:
            moments = known[key] = []
            for minute, routines in sorted(_routines_of(regimen, line, day, index).items()):
                numbers = tuple(id(routine) for routine, _ in routines)
                if numbers not in drafted:
                    drafted[numbers] = _draft_moment(regimen, minute, routines, kinds)
                moments.append(drafted[numbers])
        for moment in moments:
            _lay_moment(line, day, index, moment)
    _lay_events(regimen, line)
    line.uses.sort(key=in_time)
    _mark_first_uses(line)


def _routines_of(regimen: Regimen, line: Line, day: int, index: int) -> dict[int, list[tuple[Routine, SlotClock]]]:
    """The routines of a day by the minute they begin at."""
    span = line.phases[index]
    weekday = line.weekday(day)
    moments: dict[int, list[tuple[Routine, SlotClock]]] = {}
    for routine in regimen.phases[index].routines:
        if routine.dates:
            if line.starts is None or not any((d - line.starts).days == day for d in routine.dates):
                continue
        elif not falls_on(
            routine.days, day, phase_start=span.start, cycle=span.cycle, weekday=weekday, starts=line.starts
        ):
            continue
        slot = line.clock.slots.get(routine.slot.name)
        if slot is None:
            continue
        minute = slot.minute if routine.at is None else nearest_turn(routine.at, slot.minute)
        moments.setdefault(minute, []).append((routine, slot))
    return moments


def _mark_first_uses(line: Line) -> None:
    surely: dict[str, set[str | None]] = {}  # product -> the conditions under which it has been used by now
    steps: set[int] = set()
    for use in line.uses:
        line.by_routine.setdefault(use.routine, []).append(use)
        application = use.application
        if application is None or use.kind in steps:
            continue
        begun = use.product in surely
        conditions = surely.setdefault(use.product, set())
        both_ways = any(f"not {condition}" in conditions for condition in conditions)
        if None in conditions or application.only_if in conditions or both_ways:
            continue
        use.first = PERHAPS_FIRST if begun else FIRST
        steps.add(use.kind)
        if not application.step.as_needed:
            conditions.add(application.only_if)


def _draft_moment(regimen: Regimen, minute: int, routines: list[tuple[Routine, SlotClock]], kinds: _Kinds) -> _Moment:
    at, waited, dry_waits, position = 0, 0, 0, 0
    steps: list[tuple[ApplyStep, tuple[_Draft, ...]]] = []
    for routine, slot in routines:
        skin: str | None = None
        for step in routine.steps:
            if isinstance(step, WaitStep):
                skin = step.skin or skin
                if step.minutes is None:
                    dry_waits += 1
                else:
                    waited += step.minutes
                    at += step.minutes
                continue
            position += 1
            drafts: list[_Draft] = []
            end = at
            for mention in step.products:
                product = regimen.products.get(mention.name)
                if product is None:
                    continue
                key = (id(step), product.key)
                found = kinds.get(key)
                if found is None:
                    contact = step.contact or product.contact
                    certain = not step.as_needed and routine.only_if is None
                    application = Application(
                        product, step, routine, contact, certain, routine.only_if, mention.place, step.skin or skin
                    )
                    found = kinds[key] = (len(kinds), application)
                kind, application = found
                minutes = (application.contact.minutes or 0) if application.contact.kind == "timed" else 0
                end = max(end, at + minutes)
                drafts.append(_Draft(at, at + minutes, slot, position, waited, dry_waits, kind, application))
            steps.append((step, tuple(drafts)))
            at = end
            skin = None
    return _Moment(minute, tuple(steps), at)


def _lay_moment(line: Line, day: int, phase: int, moment: _Moment) -> None:
    routine_id = line.next_routine()
    start = day * DAY + moment.minute
    line.routine_ends[routine_id] = start + moment.lasts  # takes the number, before the repeats of a chain take theirs
    for step, drafts in moment.steps:
        uses = [
            Use(
                start + at, day, slot.name, slot.counts_as, phase, routine_id, position, waited, dry_waits, start + end,
                kind, application,
            )
            for at, end, slot, position, waited, dry_waits, kind, application in drafts
        ]  # fmt: skip
        line.uses += uses
        if step.repeat_minutes:
            _lay_chain(line, uses, step.repeat_minutes, step.repeat_until, start)


def _lay_chain(line: Line, firsts: list[Use], every: int, until: int | None, start: int) -> None:
    """Lay the repeats of one step; what was mixed is mixed each time, in one moment."""
    for first in firsts[:1]:
        last = next_turn(until, start) if until is not None else line.clock.bed + first.day * DAY
        for minute in range(first.minute + every, last + 1, every):
            routine_id = line.next_routine()
            line.renewals.add(routine_id)
            line.uses += [
                Use(
                    minute, use.day, use.slot, use.counts_as, use.phase, routine_id, 1, 0, 0, minute, use.kind, use.application
                )
                for use in firsts
            ]  # fmt: skip


def _lay_events(regimen: Regimen, line: Line) -> None:
    start = line.clock.start
    for number, event in enumerate(regimen.events):
        for day in _event_days(event, line):
            slot, minute = _event_minute(event, line.clock)
            minute += day * DAY
            if event.slot is None:
                day = (minute - start) // DAY  # a clock before the first slot is still the regimen day before
            if line.first <= day < line.end:
                line.events.append(
                    Use(
                        minute, day, slot.name, slot.counts_as, line.phase_of(day), 0, 0, 0, 0, minute, number, None, event
                    )
                )  # fmt: skip
    line.events.sort(key=lambda use: (use.minute, use.kind))


def _event_days(event: Event, line: Line) -> list[int]:
    if event.slot is not None or event.days is not None:
        days = event.days or Days()
        chosen: list[int] = []
        for day in range(line.first, line.end):
            span = line.phases[line.phase_of(day)]
            weekday = line.weekday(day)
            if falls_on(days, day, phase_start=span.start, cycle=span.cycle, weekday=weekday, starts=line.starts):
                chosen.append(day)
        return chosen
    if line.starts is None:
        return []
    if event.on is not None:
        return [(event.on - line.starts).days]
    if event.every_days and event.first:
        begin = (event.first - line.starts).days
        times = event.times if event.times is not None else FARTHEST_DAY
        return list(range(begin, line.end, event.every_days))[:times]
    return []


def _event_minute(event: Event, clock: Clock) -> tuple[SlotClock, int]:
    if event.slot is not None and event.slot.name in clock.slots:
        slot = clock.slots[event.slot.name]
        # Before that slot's steps, unless a clock says otherwise: the same minute, and events sort before applications.
        return slot, slot.minute if event.at is None else nearest_turn(event.at, slot.minute)
    minute = NOON if event.at is None else event.at
    return slot_at(clock, minute), minute


def slot_at(clock: Clock, minute: int) -> SlotClock:
    """The slot a minute lies in: the last one begun, taking clocks before the first slot as the evening before."""
    within = clock.start + (minute - clock.start) % DAY
    begun = [slot for slot in clock.slots.values() if slot.minute <= within]
    return max(begun, key=lambda slot: (slot.minute, -slot.order), default=clock.slots["morning"])
