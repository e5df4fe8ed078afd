"""Pieces of plans: routines at a minute, products unlike each other, uses a little nearer than a rule allows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dermalint.proof.plans import Plan
from dermalint.proof.samples import HERE, Event, length, remark, wait_of
from dermalint.proof.settings import given
from dermalint_grammar import nodes
from dermalint_grammar.nodes import ExampleEvent, ExampleRoutine, ExampleStep, Unit
from dermalint_grammar.record import replace

SLOTS = ("morning", "midday", "afternoon", "evening")
MINUTES = {"morning": 420, "midday": 750, "afternoon": 930, "evening": 1290}
EVENT_DAY = 10
EVENT_MINUTE = (EVENT_DAY - 1) * 1440 + 720
BED = 1350  # an hour after the evening


def routine(slot: str, *steps: ExampleStep, day: int | None = None) -> ExampleRoutine:
    """A routine on a day of the cycle, or on every day."""
    return ExampleRoutine(day, False, slot, steps, HERE)


def at_minute(minute: int, step: ExampleStep) -> ExampleRoutine:
    """A step so many minutes after the first midnight: in the slot before, behind a wait."""
    day, of_day = divmod(minute, 1440)
    slot = max((s for s in SLOTS if MINUTES[s] <= of_day), key=lambda s: MINUTES[s], default=None)
    if slot is None:  # before the morning: late in the evening of the day before
        day, of_day, slot = day - 1, of_day + 1440, "evening"
    late = of_day - MINUTES[slot]
    return routine(slot, *((wait_of(late), step) if late else (step,)), day=day + 1)


def event_on(event: Event, day: int = EVENT_DAY) -> ExampleEvent:
    return ExampleEvent(event.event, day, HERE)


def but_not(term: nodes.Term, other: nodes.Term) -> nodes.Term:
    return term if isinstance(other, nodes.AnyProduct | nodes.EventIs) else nodes.Except(term, other, HERE)


def another_like(step: ExampleStep) -> ExampleStep:
    """Another product of the same sort: a little stronger, or with a further, harmless word."""
    if step.strength is not None:
        return replace(step, strength=step.strength + max(step.strength // 10, 1_000_000))
    held = sum(one.word == "water" or one.kind == "content" for one in step.remarks)
    return replace(step, remarks=(*step.remarks, remark("content", "water" if held == 0 else "glycerin")))


def as_new(step: ExampleStep) -> ExampleStep:
    if step.what is None or any(one.word in ("new", "used") for one in step.remarks):
        return step
    return replace(step, remarks=(*step.remarks, remark("mark", "new")))


def used_since(one: ExampleRoutine, since: nodes.Remark) -> ExampleRoutine:
    known = (
        step
        if step.what is None or {"new", "used"} & {r.word for r in step.remarks}
        else replace(step, remarks=(*step.remarks, since))
        for step in one.steps
    )
    return replace(one, steps=tuple(known))


def for_days(plan: Plan, days: int) -> Plan:
    return replace(plan, givens=(*plan.givens, given("for", "", None, length(days, Unit.DAY))))


def a_little_nearer(a: ExampleStep, b: ExampleStep, distance: nodes.Duration) -> Iterator[Plan]:
    """Two uses a little less than a distance apart, in a cycle long enough that only this is near."""
    if distance.by_clock:
        start = MINUTES["morning"] if distance.minutes < 1440 else MINUTES["evening"]
        yield Plan((routine("morning" if start == 420 else "evening", a, day=1), at_minute(start + distance.minutes - 1, b)))
        return
    days = max(distance.days - 1, 0)
    cycle = (given("cycle", "", None, length(2 * days + 9, Unit.DAY)),) if days > 2 else ()
    yield Plan((routine("evening", a, day=1), routine("evening", b, day=1 + days)), givens=cycle)


def with_test(alone: Plan, step: ExampleStep, reach: nodes.Reach) -> Iterator[Plan]:
    """A patch test that ended just so long before the first use, and a minute less."""
    if reach.where != "ahead" or reach.duration is None or step.what is None:
        return
    end = 1320 - reach.duration.minutes  # the step is at 22:00, so that whole hours meet it
    days = -(end // 1440) + 1
    hours, rest = divmod(end + days * 1440, 60)
    if rest == 0:
        for minutes in (30, 29):
            yield replace(alone, routines=(routine("evening", wait_of(minutes), step),), tests=((step.what.text, days, hours),))


def on_same_skin(other: ExampleStep, steps: Sequence[ExampleStep]) -> ExampleStep:
    """A companion on the skin of what calls for it, where it names none itself."""
    areas = [one for step in steps for one in step.remarks if one.kind == "area"]
    if not areas or any(one.kind == "area" for one in other.remarks):
        return other
    return replace(other, remarks=(*other.remarks, *areas))


def companioned(alone: Plan, other: ExampleStep, reach: nodes.Reach) -> Iterator[Plan]:
    """The trigger once, and companions everywhere but at one place too few."""
    first = replace(alone, routines=tuple(replace(one, day=1) for one in alone.routines))
    if reach.where == "every" and reach.duration is not None:
        slot = reach.slot if reach.slot in SLOTS else "morning"
        days = reach.duration.days
        cycle = (given("cycle", "", None, length(max(days + 3, 7), Unit.DAY)),)
        for last in (days, days + 1):
            begun = tuple(routine(slot, other, day=day) for day in range(1, last + 1))
            yield replace(first, routines=(*first.routines, *begun), givens=(*first.givens, *cycle))
    elif reach.where == "within" and reach.duration is not None and first.routines:
        if reach.duration.by_clock:
            late = at_minute(MINUTES["evening"] + reach.duration.minutes + 1, other)
        else:
            late = routine("evening", other, day=2 + reach.duration.days)
        yield replace(first, routines=(*first.routines, late))
