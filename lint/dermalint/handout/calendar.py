"""The hand-out as a calendar (RFC 5545): routines, repeats, events, tests, phases and dates on packages.

Times float: they are those of whatever clock hangs on the wall, on the day the clocks change as on any other.  Identifiers
follow from what an event is, not from when it is, so that a calendar imported again moves its events instead of doubling them.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from uuid import NAMESPACE_OID, uuid5

from icalendar import Calendar, Event

from dermalint.handout.expiry import use_by
from dermalint.handout.language import Language, titles
from dermalint.handout.names import EVENTS
from dermalint.handout.patch_tests import PLANNED
from dermalint.handout.plan import HandOut, routine_days, start_minute
from dermalint.handout.said import duration
from dermalint.handout.sheet import Sheet
from dermalint.handout.telling_days import product_name, routine_name
from dermalint.handout.turns import Turn, shortest_turn
from dermalint.regimen.model import ApplyStep, Routine
from dermalint.timeline.clock import DAY
from dermalint_grammar.record import Record, replace

_DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_MINUTES = 15  # that a routine takes in a calendar
_Rule = tuple[tuple[str, object], ...]
_EPOCH = date(2020, 1, 1)  # from which revisions are counted, in days


class Reminder(Record):
    """One event of the calendar.  ``name`` is what it is, for its identifier; ``rule`` says how it comes again."""

    name: str
    summary: str
    start: datetime | date
    details: str = ""
    rule: _Rule = ()
    tentative: bool = False


def write_calendar(plan: HandOut, sheet: Sheet, language: Language) -> bytes:
    """The calendar of a dated hand-out.  Raises ValueError where the regimen has no first day."""
    if plan.starts is None:
        raise ValueError("a calendar needs a first day")
    calendar = Calendar()
    calendar.add("prodid", "-//dermalint//hand-outs//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", sheet.title)
    stamp = datetime.combine(plan.as_of, time(), UTC)
    whose = f"{plan.title}\n{plan.person or ''}"
    for reminder in reminders(plan, language):
        event = Event()
        event.add("uid", str(uuid5(NAMESPACE_OID, f"{whose}\n{reminder.name}")))
        event.add("dtstamp", stamp)
        event.add("sequence", max((plan.as_of - _EPOCH).days, 0))
        event.add("summary", reminder.summary)
        event.add("dtstart", reminder.start)
        if isinstance(reminder.start, datetime):
            event.add("duration", timedelta(minutes=_MINUTES))
        if reminder.rule:
            event.add("rrule", dict(reminder.rule))
        event.add("description", "\n".join(line for line in (reminder.details, sheet.care) if line))
        if reminder.tentative:
            event.add("status", "TENTATIVE")
        event.add("transp", "TRANSPARENT")
        event.add("x-dermalint-item", reminder.name)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def reminders(plan: HandOut, language: Language) -> Iterator[Reminder]:
    """All events of the calendar, in the order of the hand-out."""
    yield from _routines(plan, language)
    yield from _repeats(plan, language)
    yield from _happenings(plan, language)
    yield from _phases(plan, language)
    yield from _tests(plan, language)
    yield from _packages(plan, language)


def _routines(plan: HandOut, language: Language) -> Iterator[Reminder]:
    for number, span in enumerate(plan.line.phases):
        phase = plan.regimen.phases[number]
        for index, routine in enumerate(phase.routines):
            if not any(isinstance(step, ApplyStep) for step in routine.steps):
                continue
            minute = start_minute(routine, plan.line)
            name = f"phase {number + 1} routine {index + 1}"
            summary, details = _said(plan, routine, language)
            about = Reminder(name, summary, date.min, details, tentative=routine.only_if is not None)
            if routine.dates:
                yield from _on_dates(plan, routine, number, minute, about)
                continue
            length = None if span.end is None else span.end - span.start
            turn = shortest_turn(routine_days(routine, plan.line, span), span.period, length)
            yield from _series(plan, about, turn, span.start, span.end, minute)


def _said(plan: HandOut, routine: Routine, language: Language) -> tuple[str, str]:
    """What a routine is called, and its products in their order."""
    keys = [step.products for step in routine.steps if isinstance(step, ApplyStep)]
    names = [" + ".join(product_name(plan, mention.name, language) for mention in products) for products in keys]
    called = next(
        (
            routine_name(shown, language)
            for shown in plan.routines
            if shown.slot == routine.slot.name
            and shown.only_if == routine.only_if
            and [step.products for step in shown.steps if step.products] == [tuple(m.name for m in group) for group in keys]
        ),
        routine.slot.name,
    )
    if routine.only_if:
        called = f"{called} ({language.own(routine.only_if)})"
    return called, "\n".join(f"{number}. {name}" for number, name in enumerate(names, start=1))


def _on_dates(plan: HandOut, routine: Routine, phase: int, minute: int, about: Reminder) -> Iterator[Reminder]:
    assert plan.starts is not None
    for day in dict.fromkeys(routine.dates):
        number = (day - plan.starts).days
        if number >= 0 and plan.line.phase_of(number) == phase and not _past(plan, number):
            yield replace(about, name=f"{about.name} on {day.isoformat()}", start=_moment(plan, number * DAY + minute))


def _past(plan: HandOut, day: int) -> bool:
    """Whether a day lies behind the end of a regimen that ends."""
    end = plan.line.phases[-1].end
    return end is not None and day >= end


def _series(plan: HandOut, about: Reminder, turn: Turn, first: int, end: int | None, minute: int) -> Iterator[Reminder]:
    """The events of one thing that comes round: one for weekdays together, else one for each day of the turn."""

    def rule(frequency: str, every: int, more: _Rule = ()) -> _Rule:
        step = (("interval", every),) if every > 1 else ()
        last = () if end is None else (("until", _moment(plan, (end - 1) * DAY + minute)),)
        return (("freq", frequency), *step, *more, *last)

    if not turn.on:
        return
    if turn.daily:
        yield replace(about, start=_moment(plan, first * DAY + minute), rule=rule("daily", 1))
        return
    starts = [(first + day) * DAY + minute for day in turn.on if end is None or first + day < end]
    if turn.every == 7 and starts:
        days = [_DAYS[_moment(plan, start).weekday()] for start in starts]
        yield replace(about, start=_moment(plan, starts[0]), rule=rule("weekly", 1, (("byday", days),)))
        return
    for number, start in enumerate(starts, start=1):
        name = about.name if len(turn.on) == 1 else f"{about.name} turn {number}"
        yield replace(about, name=name, start=_moment(plan, start), rule=rule("daily", turn.every))


def _moment(plan: HandOut, minute: int) -> datetime:
    assert plan.starts is not None
    return datetime.combine(plan.starts, time()) + timedelta(minutes=minute)


def _repeats(plan: HandOut, language: Language) -> Iterator[Reminder]:
    """Each repeat of a step within the day, at the minute that the timeline gives it."""
    line, starts = plan.line, plan.starts
    places = {
        id(step): (index, place)
        for phase in plan.regimen.phases
        for index, routine in enumerate(phase.routines)
        for place, step in enumerate(routine.steps)
    }
    days: dict[tuple[int, int, int, int], set[int]] = {}
    what: dict[tuple[int, int, int, int], tuple[ApplyStep, Routine]] = {}
    for use in line.uses:
        if use.application is None or use.routine not in line.renewals:
            continue
        application = use.application
        span = line.phases[use.phase]
        if not application.routine.dates and use.day >= span.start + span.period:
            continue
        index, place = places[id(application.step)]
        key = (use.phase, index, place, use.minute - use.day * DAY)
        days.setdefault(key, set()).add(use.day)
        what[key] = (application.step, application.routine)
    for (phase, index, place, minute), on in days.items():
        step, routine = what[phase, index, place, minute]
        span = line.phases[phase]
        names = " + ".join(product_name(plan, mention.name, language) for mention in step.products)
        again = language.t("Again: %(products)s", products=names)
        every = duration(language, step.repeat_minutes or 0)
        name = f"phase {phase + 1} routine {index + 1} step {place + 1} again at {minute}"
        about = Reminder(
            name, again, date.min, language.t("Time between: %(time)s.", time=every), tentative=routine.only_if is not None
        )
        assert starts is not None
        if routine.dates:
            for day in sorted(on):
                yield replace(about, name=f"{name} on day {day}", start=_moment(plan, day * DAY + minute))
            continue
        length = None if span.end is None else span.end - span.start
        turn = shortest_turn({day - span.start for day in on}, span.period, length)
        yield from _series(plan, about, turn, span.start, span.end, minute)


def _happenings(plan: HandOut, language: Language) -> Iterator[Reminder]:
    line = plan.line
    for number, event in enumerate(plan.regimen.events):
        called = titles(EVENTS, language, event.event.name)
        about = Reminder(f"event {number + 1}", called[:1].upper() + called[1:], date.min)
        if event.slot is None:
            day = event.on or event.first
            if day is None:
                continue
            rule: _Rule = ()
            if event.on is None and event.every_days:
                count = () if event.times is None else (("count", event.times),)
                rule = (("freq", "daily"), ("interval", event.every_days), *count)
            start = day if event.at is None else datetime.combine(day, time(event.at // 60, event.at % 60))
            yield replace(about, start=start, rule=rule)
            continue
        on = [use for use in line.events if use.event is event and use.day >= 0]
        for phase, span in enumerate(line.phases):
            own = [use for use in on if use.phase == phase and use.day < span.start + span.period]
            if not own:
                continue
            minute = own[0].minute - own[0].day * DAY
            length = None if span.end is None else span.end - span.start
            turn = shortest_turn({use.day - span.start for use in own}, span.period, length)
            named = replace(about, name=f"{about.name} phase {phase + 1}")
            yield from _series(plan, named, turn, span.start, span.end, minute)


def _phases(plan: HandOut, language: Language) -> Iterator[Reminder]:
    assert plan.starts is not None
    for phase in plan.phases[1:]:
        day = plan.starts + timedelta(days=phase.first)
        said = language.t("Phase %(number)s begins", number=language.number(phase.number))
        yield Reminder(f"phase {phase.number} begins", said, day)


def _tests(plan: HandOut, language: Language) -> Iterator[Reminder]:
    for test in plan.tests:
        if test.state != PLANNED or test.first is None or test.last is None:
            continue
        name = product_name(plan, test.product, language)
        said = language.t("%(product)s: try it on a small spot first.", product=name)
        how = language.t("Twice a day on a spot as small as a coin, on the underside of the forearm.")
        days = (test.last - test.first).days + 1
        yield Reminder(f"test of {test.product}", said, test.first, how, (("freq", "daily"), ("count", days)))


def _packages(plan: HandOut, language: Language) -> Iterator[Reminder]:
    for key, product in plan.products.items():
        ends = use_by(product)
        if ends is not None:
            said = language.t("Use until today: %(product)s", product=product_name(plan, key, language))
            yield Reminder(f"package of {key}", said, ends)
