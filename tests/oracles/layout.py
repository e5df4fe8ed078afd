"""Laying a regimen out in full: every application of many days as one plain list (meaning: days, slots, clocks; counting)."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from math import lcm

from dermalint.regimen.model import ApplyStep, Contact, Days, Event, Product, Regimen, Routine, WaitStep

DAY = 1440
LEFT_ON = Contact()
FOUR = ("morning", "midday", "afternoon", "evening")
USUAL_CLOCK = {"morning": 420, "midday": 750, "afternoon": 930, "evening": 1290}


@dataclass(eq=False)
class Thing:
    """An application of one product, or an event (then ``product`` is None), at one moment."""

    minute: int
    end: int
    day: int
    slot: str
    counts_as: str
    routine: int | None  # None: an event, or one repeat of a chain
    position: int
    product: Product | None = None
    step: ApplyStep | None = None
    contact: Contact = LEFT_ON
    only_if: str | None = None
    skin: str | None = None
    dry_waits: tuple[int, ...] = ()  # the waits "until the skin is dry" before it in its routine
    event: Event | None = None
    name: str = ""  # of an event
    stated: bool = True

    @property
    def moment(self) -> tuple[int, int, int, int]:
        """Where it stands in the order of things.

        An event comes before the steps of a routine of its minute; daylight and bed come after them.
        """
        turn = 1 if self.product is not None else 2 if self.name in ("bed", "daylight") else 0
        return self.minute, turn, -1 if self.routine is None else self.routine, self.position


@dataclass
class Span:
    """A phase on the line."""

    start: int
    end: int | None
    cycle: int
    period: int
    routines: tuple[Routine, ...]


@dataclass
class Slot:
    """A slot of the day."""

    name: str
    minute: int
    counts_as: str


@dataclass
class Layout:
    """All days from ``first`` to ``end`` - 1; those from ``judged_from`` to ``judged_until`` - 1 are judged."""

    regimen: Regimen
    slots: dict[str, Slot]
    bed: int
    spans: list[Span]
    circular: bool
    endless: bool
    first: int
    end: int
    judged_from: int
    judged_until: int
    things: list[Thing] = field(default_factory=list)  # applications, in order
    events: list[Thing] = field(default_factory=list)
    daylight: list[Thing] = field(default_factory=list)
    behind_glass: set[int] = field(default_factory=set)  # ids of intervals of daylight

    def span_of(self, day: int) -> int:
        """Which phase a day lies in."""
        for number, span in enumerate(self.spans):
            if span.end is None or day < span.end:
                return number
        return len(self.spans) - 1

    def place(self, day: int, slot: str) -> tuple[int, int, str]:
        """Phase, day in the phase's period (both from 1) and slot."""
        number = self.span_of(day)
        span = self.spans[number]
        return number + 1, (day - span.start) % span.period + 1, slot

    def judged(self, day: int) -> bool:
        """Whether what is wrong on a day counts."""
        return self.judged_from <= day < self.judged_until


def turn_after(clock: int, minute: int) -> int:
    """The first time after a minute that a clock shows a time."""
    later = minute + 1
    while later % DAY != clock:
        later += 1
    return later


def turn_near(clock: int, minute: int) -> int:
    """The time nearest to a minute at which a clock shows a time."""
    return min((turn for turn in range(minute - 720, minute + 721) if turn % DAY == clock), key=lambda t: (abs(t - minute), -t))


def lay_out(regimen: Regimen, reach: int) -> Layout:
    """Lay out enough days that every judged day has ``reach`` days and a period on either side."""
    slots, bed = _clocks(regimen)
    spans = _spans(regimen)
    last = spans[-1]
    circular = regimen.starts is None and len(spans) == 1 and last.end is None and regimen.history is None
    if circular:
        margin = (reach // last.period + 2) * last.period
        layout = Layout(regimen, slots, bed, spans, True, True, -margin, last.period + margin, 0, last.period)
    elif last.end is not None:
        layout = Layout(regimen, slots, bed, spans, False, False, 0, last.end, 0, last.end)
    else:
        until = max(last.start, _last_date(regimen) + 1) + reach + 2 * last.period
        layout = Layout(regimen, slots, bed, spans, False, True, 0, until + reach + last.period, 0, until)
    _lay_routines(layout)
    _lay_events(layout)
    _lay_daylight(layout)
    return layout


def _clocks(regimen: Regimen) -> tuple[dict[str, Slot], int]:
    stated = regimen.clock.stated
    slots: dict[str, Slot] = {}
    before = -1
    for name in FOUR:
        before = turn_after(stated.get(name, USUAL_CLOCK[name]), before)
        slots[name] = Slot(name, before, name)
    for own in regimen.clock.own:
        slots[own.name] = Slot(own.name, turn_near(own.at, slots[own.counts_as].minute), own.counts_as)
    last = slots["evening"].minute
    return slots, turn_after(stated["bed"], last) if "bed" in stated else last + 60


def _spans(regimen: Regimen) -> list[Span]:
    spans: list[Span] = []
    day = 0
    for phase in regimen.phases:
        period = phase.cycle
        days = [routine.days for routine in phase.routines]
        days += [event.days for event in regimen.events if event.days]
        days += [light.days for light in regimen.outdoors if light.days]
        for entry in days:
            period = lcm(period, entry.every or 1, 7 if entry.weekdays else 1)
        end = None if phase.days is None else day + phase.days
        spans.append(Span(day, end, phase.cycle, period, phase.routines))
        day += phase.days or 0
    return spans


def _last_date(regimen: Regimen) -> int:
    if regimen.starts is None:
        return 0
    dates: list[date | None] = [day for phase in regimen.phases for routine in phase.routines for day in routine.dates]
    dates += [event.on for event in regimen.events]
    dates += [day for light in regimen.outdoors for day in light.dates]
    for fact in (*regimen.person.traits, *regimen.person.symptoms):
        dates.append(fact.since)
    for medicine in regimen.person.takes:
        dates += [medicine.since, medicine.until]
    return max(((day - regimen.starts).days for day in dates if day is not None), default=0)


def falls_on(layout: Layout, days: Days, day: int) -> bool:
    """Whether a day of the line is one of the days that an item names."""
    span = layout.spans[layout.span_of(day)]
    starts = layout.regimen.starts
    if days.every:
        origin = (days.anchor - starts).days if days.anchor and starts else span.start
        listed = (day - origin) % days.every == 0
    elif days.weekdays:
        monday = starts.weekday() if starts else 0
        listed = (monday + day) % 7 + 1 in days.weekdays
    elif days.numbers:
        listed = (day - span.start) % span.cycle + 1 in days.numbers
    else:
        return not days.negated
    return not listed if days.negated else listed


def _dated(layout: Layout, dates: tuple[date, ...], day: int) -> bool:
    starts = layout.regimen.starts
    return starts is not None and any((when - starts).days == day for when in dates)


def _lay_routines(layout: Layout) -> None:
    number = 0
    for day in range(layout.first, layout.end):
        at_moment: dict[tuple[int, str], list[Routine]] = {}
        for routine in layout.spans[layout.span_of(day)].routines:
            if not (_dated(layout, routine.dates, day) if routine.dates else falls_on(layout, routine.days, day)):
                continue
            slot = layout.slots[routine.slot.name]
            minute = slot.minute if routine.at is None else turn_near(routine.at, slot.minute)
            at_moment.setdefault((minute, slot.name), []).append(routine)
        for (minute, name), routines in sorted(at_moment.items()):
            number += 1
            _lay_routine(layout, day, day * DAY + minute, layout.slots[name], number, routines)
    layout.things.sort(key=lambda thing: thing.moment)


def _lay_routine(layout: Layout, day: int, start: int, slot: Slot, number: int, routines: list[Routine]) -> None:
    """Steps in their order; stated waits and timed contact take their time."""
    minute, position = start, 0
    dry: tuple[int, ...] = ()
    for routine in routines:
        skin = None
        for step in routine.steps:
            if isinstance(step, WaitStep):
                skin = step.skin or skin
                minute += step.minutes or 0
                if step.minutes is None:
                    dry = (*dry, id(step))
                continue
            position += 1
            over = minute
            for mention in step.products:
                product = layout.regimen.products[mention.name]
                contact = step.contact or product.contact
                end = minute + ((contact.minutes or 0) if contact.kind == "timed" else 0)
                thing = Thing(
                    minute, end, day, slot.name, slot.counts_as, number, position, product, step, contact, routine.only_if,
                    step.skin or skin, dry,
                )  # fmt: skip
                layout.things.append(thing)
                _lay_chain(layout, thing, step, start)
                over = max(over, end)
            minute = over
            skin = None


def _lay_chain(layout: Layout, first: Thing, step: ApplyStep, start: int) -> None:
    if not step.repeat_minutes:
        return
    until = layout.bed + first.day * DAY if step.repeat_until is None else turn_after(step.repeat_until, start)
    for minute in range(first.minute + step.repeat_minutes, until + 1, step.repeat_minutes):
        layout.things.append(replace(first, minute=minute, end=minute, routine=None, position=1, dry_waits=()))


def slot_at(layout: Layout, minute: int) -> Slot:
    """The slot begun last at a minute of the regimen day."""
    begun = [slot for slot in layout.slots.values() if slot.minute <= minute]
    return max(begun, key=lambda slot: slot.minute)


def _lay_events(layout: Layout) -> None:
    regimen = layout.regimen
    morning = layout.slots["morning"].minute
    for event in regimen.events:
        for day in range(layout.first, layout.end):
            if event.slot is not None:
                if not falls_on(layout, event.days or Days(), day):
                    continue
                slot = layout.slots[event.slot.name]
                minute = slot.minute if event.at is None else turn_near(event.at, slot.minute)
            else:
                minute = 720 if event.at is None else event.at
                minute += DAY if minute < morning else 0  # before the first slot it is still the regimen day before
                day_of_calendar = day + minute // DAY
                if event.days is not None:
                    if not falls_on(layout, event.days, day_of_calendar):
                        continue
                elif not _dated(layout, (event.on,) if event.on else (), day_of_calendar):
                    continue
                slot = slot_at(layout, minute)
            at = day * DAY + minute
            name = event.event.name
            layout.events.append(Thing(at, at, day, slot.name, slot.counts_as, None, 0, event=event, name=name))
    layout.events.sort(key=lambda thing: thing.moment)


def _lay_daylight(layout: Layout) -> None:
    """Stated intervals outdoors; else from the end of the morning routine to the evening."""
    outdoors = layout.regimen.outdoors
    stated = [entry for entry in outdoors if entry.start is not None]

    def counts(entry: object, day: int) -> bool:
        dates, days = getattr(entry, "dates", ()), getattr(entry, "days", None)
        return _dated(layout, dates, day) if dates else days is None or falls_on(layout, days, day)

    mornings: dict[int, int] = {}
    for thing in layout.things:
        if thing.counts_as == "morning" and thing.routine is not None:
            mornings[thing.day] = max(thing.end, mornings.get(thing.day, thing.end))
    for day in range(layout.first, layout.end):
        if any(entry.indoors and counts(entry, day) for entry in outdoors):
            continue
        if not stated:
            start = mornings.get(day, day * DAY + layout.slots["morning"].minute)
            end = max(day * DAY + layout.slots["evening"].minute, start + 1)
            layout.daylight.append(Thing(start, end, day, "morning", "morning", None, 0, name="daylight", stated=False))
        for entry in stated:
            if counts(entry, day):
                assert entry.start is not None
                assert entry.end is not None
                start = entry.start if entry.start >= layout.slots["morning"].minute % DAY else entry.start + DAY
                slot = slot_at(layout, start)
                light = Thing(
                    day * DAY + start, day * DAY + turn_after(entry.end, start), day, slot.name, slot.counts_as, None, 0,
                    name="daylight",
                )  # fmt: skip
                layout.daylight.append(light)
                if entry.behind is not None:
                    layout.behind_glass.add(id(light))
