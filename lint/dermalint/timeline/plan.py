"""A regimen as a page shows it: for each phase its days, slots and steps in plain words, and what stands outside the cycle.

Nothing here judges; it is filled only for reports that draw the regimen itself.
"""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.regimen.model import ApplyStep, Contact, Event, Product, Regimen, Routine, Step, WaitStep
from dermalint.spans import Place
from dermalint.timeline.clock import DAY
from dermalint.timeline.line import Line, PhaseSpan
from dermalint.timeline.unroll import unroll
from dermalint_grammar.record import Record

MOST_DAYS = 28  # of one phase; a longer cycle is shown by its first four weeks
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


class ShownStep(Record):
    """One step: ``said`` is the product (or ``wait 20 min``), ``places`` where its products are named; a wait has none."""

    said: str
    details: tuple[str, ...]
    places: tuple[Place, ...]


class ShownRoutine(Record):
    """A routine, or an event, in a slot (empty: at no stated time); ``at`` is a clock such as ``21:30`` where one is stated."""

    slot: str
    at: str | None
    only_if: str | None
    steps: tuple[ShownStep, ...]


class ShownDay(Record):
    """A day of the cycle, counted from 1; ``weekday`` where weeks repeat, or where a dated cycle comes once."""

    number: int
    weekday: str | None
    routines: tuple[ShownRoutine, ...]


class ShownPhase(Record):
    """A phase: how many days it lasts (None: for ever), after how many days it repeats, and the days that are shown."""

    number: int
    lasts: int | None
    repeats: int
    days: tuple[ShownDay, ...]


class ShownDate(Record):
    """What happens on one date (ISO) only."""

    date: str
    routine: ShownRoutine


class ShownProduct(Record):
    """A product on the shelf: its key, its name, and what is declared of it."""

    key: str
    name: str | None
    about: tuple[str, ...]


class Plan(Record):
    """The whole regimen; ``slots`` are all of a day in their order, each with its clock where one is stated."""

    about: str | None
    starts: str | None
    slots: tuple[tuple[str, str | None], ...]
    phases: tuple[ShownPhase, ...]
    dates: tuple[ShownDate, ...]
    shelf: tuple[ShownProduct, ...]


def draw_plan(regimen: Regimen) -> Plan:
    """Lay a regimen out as it is shown."""
    line = unroll(regimen, 1)
    phases = tuple(_phase(line, number, span) for number, span in enumerate(line.phases))
    dates = tuple(sorted(_dates(regimen, line), key=lambda shown: shown.date))
    stated = {**regimen.clock.stated, **{own.name: own.at for own in regimen.clock.own}}
    slots = sorted(line.clock.slots.values(), key=lambda slot: (slot.minute, slot.order))
    return Plan(
        about=regimen.about,
        starts=regimen.starts.isoformat() if regimen.starts else None,
        slots=tuple((slot.name, clock(stated.get(slot.name))) for slot in slots),
        phases=phases,
        dates=dates,
        shelf=tuple(_product(product) for product in regimen.products.values()),
    )


def clock(minute: int | None) -> str | None:
    """Minutes after a midnight as ``21:30``."""
    return None if minute is None else f"{minute % DAY // 60:02}:{minute % 60:02}"


def duration(minutes: int) -> str:
    """``20 min``, ``2 h``, ``1 h 30 min``."""
    hours, rest = divmod(minutes, 60)
    return " ".join([*([f"{hours} h"] if hours else []), *([f"{rest} min"] if rest or not hours else [])])


def _phase(line: Line, number: int, span: PhaseSpan) -> ShownPhase:
    length = span.period if span.end is None else min(span.period, span.end - span.start)
    days = range(span.start, span.start + min(length, MOST_DAYS))
    routines = _routines_by_day(line, days)
    once = span.end is not None and span.end - span.start <= span.period
    named = span.period % 7 == 0 or (line.starts is not None and once)
    return ShownPhase(
        number=number + 1,
        lasts=None if span.end is None else span.end - span.start,
        repeats=span.period,
        days=tuple(
            ShownDay(day - span.start + 1, WEEKDAYS[line.weekday(day)] if named else None, tuple(routines[day]))
            for day in days
        ),
    )


def _routines_by_day(line: Line, days: range) -> dict[int, list[ShownRoutine]]:
    """What the cycle has on each day: events first, as they come before the steps of their clock."""
    found: dict[int, list[ShownRoutine]] = {day: [] for day in days}
    for use in line.events:
        if use.day in found and use.event is not None and use.event.slot is not None:
            found[use.day].append(_event(use.event, use.slot))
    seen: set[tuple[int, int]] = set()
    for use in line.uses:
        if use.day not in found or use.application is None or use.routine in line.renewals:
            continue
        routine = use.application.routine
        if not routine.dates and (use.day, id(routine)) not in seen:
            seen.add((use.day, id(routine)))
            found[use.day].append(_routine(routine))
    return found


def _dates(regimen: Regimen, line: Line) -> Iterator[ShownDate]:
    for phase in regimen.phases:
        for routine in phase.routines:
            for date in routine.dates:
                yield ShownDate(date.isoformat(), _routine(routine))
    for event in regimen.events:
        first = event.on or (event.first if event.slot is None else None)
        if first is not None:
            # Without a clock nobody said when on that day.
            slot = next((use.slot for use in line.events if use.event is event and event.at is not None), "")
            yield ShownDate(first.isoformat(), _event(event, slot))


def _routine(routine: Routine) -> ShownRoutine:
    steps = tuple(_step(step) for step in routine.steps)
    return ShownRoutine(routine.slot.name, clock(routine.at), routine.only_if, steps)


def _event(event: Event, slot: str) -> ShownRoutine:
    details = [f"on {', '.join(area.name for area in event.areas)}"] if event.areas else []
    if event.every_days:
        details.append(f"every {event.every_days} days" + (f", {event.times} times" if event.times else ""))
    return ShownRoutine(slot, clock(event.at), None, (ShownStep(event.event.name, tuple(details), (event.event.place,)),))


def _step(step: Step) -> ShownStep:
    if isinstance(step, WaitStep):
        how_long = "until the skin is dry" if step.minutes is None else duration(step.minutes)
        return ShownStep(f"wait {how_long}", (), ())
    said = " + ".join(mention.name for mention in step.products)
    return ShownStep(said, tuple(_details(step)), tuple(mention.place for mention in step.products))


def _details(step: ApplyStep) -> Iterator[str]:
    if step.amount:
        yield step.amount
    if step.areas:
        yield f"on {', '.join(area.name for area in step.areas)}"
    if step.without:
        yield f"not on {', '.join(area.name for area in step.without)}"
    if step.skin:
        yield f"on {step.skin} skin"
    if step.contact is not None:
        yield _contact(step.contact)
    if step.as_needed:
        yield "as needed" + (f", at most {step.at_most} a day" if step.at_most else "")
    if step.repeat_minutes:
        until = clock(step.repeat_until)
        yield f"again every {duration(step.repeat_minutes)}" + (f" until {until}" if until else "")


def _contact(contact: Contact) -> str:
    how_long = "" if contact.minutes is None else f" after {duration(contact.minutes)}"
    return {"left-on": "left on", "rinsed": f"rinsed{how_long}"}.get(contact.kind, f"taken off{how_long}")


def _product(product: Product) -> ShownProduct:
    about = [mention.name for mention in product.kinds]
    about += ["prescribed"] if product.prescribed else []
    about += ["made up"] if product.made_up else []
    about += [f"base {product.base.name}"] if product.base else []
    about += [] if product.contact.kind == "left-on" else [_contact(product.contact)]
    about += [] if product.ph is None else [f"pH {_number(product.ph)}"]
    about += [] if product.spf is None else [f"SPF {_number(product.spf)}"]
    about += [
        content.name if content.strength is None else f"{content.name} {_number(content.strength)} %"
        for content in product.contains
    ]
    return ShownProduct(product.key, product.name, tuple(about))


def _number(billionths: int) -> str:
    """An exact number of billionths in decimals, without zeros at its end."""
    whole, rest = divmod(billionths, 10**9)
    return f"{whole}.{rest:09}".rstrip("0").rstrip(".")
