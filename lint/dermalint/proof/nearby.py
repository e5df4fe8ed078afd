"""Plans one change away from a plan: a number moved by a step, something left out, swapped, moved or put beside."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import TypeVar

from dermalint.checks.contents import add_months
from dermalint.checks.examples import MONDAY
from dermalint.proof.ground import parts
from dermalint.proof.plans import Plan
from dermalint.proof.samples import HERE, last_place, length, wait_of
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, ExampleRoutine, ExampleStep, Given, Remark, Unit
from dermalint_grammar.record import replace

_T = TypeVar("_T")
SLOTS = ("morning", "midday", "afternoon", "evening")


class Change(nodes.Node):
    """A changed plan, and the change in words."""

    plan: Plan
    say: str


def smaller(plan: Plan) -> Iterator[Plan]:
    """Plans with one thing less, the largest cuts first."""
    for place in range(len(plan.routines)):
        if len(plan.routines) > 1:
            yield replace(plan, routines=_without(plan.routines, place))
    for place in range(len(plan.events)):
        if plan.routines:
            yield replace(plan, events=_without(plan.events, place))
    for place, routine in enumerate(plan.routines):
        for number in range(len(routine.steps)):
            # A wait stays: without it the plan would be smaller and further from what still holds.
            if routine.steps[number].what is not None and sum(step.what is not None for step in routine.steps) > 1:
                yield _with_routine(plan, place, replace(routine, steps=_without(routine.steps, number)))
    for place in range(len(plan.givens)):
        if plan.givens[place].kind != "for":  # the end stays for the same reason
            yield replace(plan, givens=_without(plan.givens, place))
    for place, number, step in _steps(plan):
        for one in range(len(step.remarks)):
            yield _with_step(plan, place, number, replace(step, remarks=_without(step.remarks, one)))
    for field in ("skin", "outdoors", "event_area", "amount", "bed", "took"):
        if getattr(plan, field):
            yield replace(plan, **{field: type(getattr(plan, field))() if isinstance(getattr(plan, field), str) else None})


def stepped(plan: Plan) -> Iterator[Change]:
    """Plans with one number moved by one step, or one use taken out or moved, each with what was done."""
    yield from _numbers(plan)
    yield from _waits(plan)
    yield from _days(plan)
    yield from _lengths(plan)
    yield from _order(plan)
    yield from _slots(plan)
    yield from _left_out(plan)


def aimed(plan: Plan, rule: nodes.Rule) -> Iterator[Plan]:
    """The plan with its numbers at, just below and just above each number that a rule has of their sort."""
    for part in parts((rule.requirement, rule.conditions)):
        if isinstance(part, nodes.Age):
            months = part.duration.count // BILLION * (12 if part.duration.unit is Unit.YEAR else 1)
            for age in (months, months - 1, months + 1):
                rest = tuple(one for one in plan.givens if one.kind != "age")
                length_of = length(age // 12, Unit.YEAR) if age % 12 == 0 and age else length(age, Unit.MONTH)
                yield replace(plan, givens=_before_routines(rest, Given("age", "", None, length_of, HERE)))
        elif isinstance(part, nodes.FromDate | nodes.UntilDate):
            for days in (0, -1, 1):
                day = (date.fromisoformat(part.date) + timedelta(days=days)).isoformat()
                rest = tuple(one for one in plan.givens if one.kind != "as-of")
                yield replace(plan, givens=_before_routines(rest, Given("as-of", day, None, None, HERE)))
        elif isinstance(part, nodes.DuringFirst):
            for days in range(part.duration.days, part.duration.days - 9, -1):
                if days > 0:
                    yield _all_used(plan, days)
        elif isinstance(part, nodes.Takes) and part.within is not None:
            for days in range(12):
                yield replace(plan, took=_back(MONDAY + timedelta(days=days), part.within).isoformat())
        elif isinstance(part, nodes.Phototype):
            for number in (part.number, part.number - 1, part.number + 1):
                if 1 <= number <= 6:
                    rest = tuple(one for one in plan.givens if one.kind != "phototype")
                    yield replace(plan, givens=_before_routines(rest, Given("phototype", "", number, None, HERE)))
        elif isinstance(part, nodes.Quantity) and part.unit == "%":
            for value in (part.value, *_around(part.value)):
                for _, _, step in _steps(plan):
                    if step.strength is not None and value > 0:
                        yield same_everywhere(plan, step, replace(step, strength=value))
                    for one, remark in enumerate(step.remarks):
                        if remark.kind == "content" and remark.value is not None and value > 0:
                            remarks = (*step.remarks[:one], replace(remark, value=value), *step.remarks[one + 1 :])
                            yield same_everywhere(plan, step, replace(step, remarks=remarks))
        elif isinstance(part, nodes.Measured) and part.measure != "strength":
            for value in (part.quantity.value, *_around(part.quantity.value)):
                for _, _, step in _steps(plan):
                    for one, remark in enumerate(step.remarks):
                        if remark.kind == "measure" and remark.word == part.measure:
                            remarks = (*step.remarks[:one], replace(remark, value=value), *step.remarks[one + 1 :])
                            yield same_everywhere(plan, step, replace(step, remarks=remarks))


def _back(day: date, length_of: nodes.Duration) -> date:
    if length_of.unit in (Unit.MONTH, Unit.YEAR):
        return add_months(day, -length_of.count * (12 if length_of.unit is Unit.YEAR else 1) // BILLION)
    return day - timedelta(days=length_of.days)


def _before_routines(rest: tuple[Given, ...], new: Given) -> tuple[Given, ...]:
    """Givens with a further one, about the person first."""
    return (new, *rest) if new.kind in ("age", "phototype") else (*rest, new)


def _all_used(plan: Plan, days: int) -> Plan:
    """Everything in use for so long already."""
    since = Remark("used", "used", None, length(days, Unit.DAY), HERE)
    routines = tuple(
        replace(
            routine,
            steps=tuple(
                step
                if step.what is None
                else replace(step, remarks=(*(one for one in step.remarks if one.word not in ("new", "used")), since))
                for step in routine.steps
            ),
        )
        for routine in plan.routines
    )
    return replace(plan, routines=routines)


def _numbers(plan: Plan) -> Iterator[Change]:
    for _, _, step in _steps(plan):
        if step.strength is not None:
            for value in _around(step.strength):
                say = f"{step.what.text if step.what else ''} at {_figure(value)} % in place of {_figure(step.strength)} %"
                yield Change(same_everywhere(plan, step, replace(step, strength=value)), say)
        for one, remark in enumerate(step.remarks):
            for changed, say in _remark(remark):
                remarks = (*step.remarks[:one], changed, *step.remarks[one + 1 :])
                yield Change(same_everywhere(plan, step, replace(step, remarks=remarks)), say)
    for place, given in enumerate(plan.givens):
        for moved, say in _given(given):
            yield Change(replace(plan, givens=(*plan.givens[:place], moved, *plan.givens[place + 1 :])), say)
    if plan.amount:
        value = round(float(plan.amount.split()[0]) * BILLION)
        for other in _around(value):
            yield Change(replace(plan, amount=f"{_figure(other)} g"), f"{_figure(other)} g in place of {plan.amount}")


def _around(value: int) -> Iterator[int]:
    """A step less and a step more, by the last place that the number is written with, then by finer ones."""
    step = last_place(value) if value else BILLION
    for size in (step, step // 10):
        if size >= 1_000_000:
            if value > size:  # a strength of nothing would be another product
                yield value - size
            yield value + size


def _remark(remark: Remark) -> Iterator[tuple[Remark, str]]:
    if remark.value is not None:
        for value in _around(remark.value):
            if remark.kind == "measure" and remark.word in ("months-open", "days-past-expiry", "spf") and value % BILLION:
                continue
            unit = " %" if remark.kind == "content" else ""
            yield (
                replace(remark, value=value),
                f"{remark.word} {_figure(value)}{unit} in place of {_figure(remark.value)}{unit}",
            )
        if remark.kind == "measure" and remark.word == "days-past-expiry":
            return
    if remark.duration is not None:
        for one in (-1, 1):
            count = remark.duration.count + one * BILLION
            if count > 0:
                moved = replace(remark.duration, count=count)
                yield (
                    replace(remark, duration=moved),
                    f"{remark.word} {count // BILLION} {moved.unit}s, one {moved.unit} {'less' if one < 0 else 'more'}",
                )


def _given(given: Given) -> Iterator[tuple[Given, str]]:
    if given.kind == "age" and given.duration is not None:
        months = given.duration.count // BILLION * (12 if given.duration.unit is Unit.YEAR else 1)
        for age in (months - 1, months + 1):
            if age >= 0:
                moved = length(age // 12, Unit.YEAR) if age % 12 == 0 and age else length(age, Unit.MONTH)
                yield replace(given, duration=moved), f"a month {'younger' if age < months else 'older'}"
    if given.kind == "phototype" and given.number is not None:
        for number in (given.number - 1, given.number + 1):
            if 1 <= number <= 6:
                yield replace(given, number=number), f"phototype {number} in place of {given.number}"
    if given.kind == "as-of":
        for days in (-1, 1):
            day = date.fromisoformat(given.name) + timedelta(days=days)
            yield replace(given, name=day.isoformat()), f"judged a day {'earlier' if days < 0 else 'later'}"


def _waits(plan: Plan) -> Iterator[Change]:
    for place, routine in enumerate(plan.routines):
        for number, step in enumerate(routine.steps):
            if step.wait is None:
                continue
            for away in (1, -1):
                minutes = step.wait.minutes + away
                if minutes >= 0:
                    changed = replace(routine, steps=_put(routine.steps, number, wait_of(minutes) if minutes else None))
                    yield Change(_with_routine(plan, place, changed), f"a minute {'more' if away > 0 else 'less'}")
        for number in range(1, len(routine.steps)):
            if routine.steps[number].wait is None and routine.steps[number - 1].wait is None:
                steps = (*routine.steps[:number], wait_of(1), *routine.steps[number:])
                yield Change(_with_routine(plan, place, replace(routine, steps=steps)), "a minute between them")
        if routine.steps and routine.steps[0].wait is None:
            yield Change(_with_routine(plan, place, replace(routine, steps=(wait_of(1), *routine.steps))), "a minute later")
    if plan.outdoors is not None:
        start, end = plan.outdoors
        for away in (1, -1):
            yield Change(replace(plan, outdoors=(start + away, end)), f"outdoors a minute {'later' if away > 0 else 'earlier'}")
            yield Change(replace(plan, outdoors=(start, end + away)), f"back a minute {'later' if away > 0 else 'earlier'}")


def _days(plan: Plan) -> Iterator[Change]:
    for place, routine in enumerate(plan.routines):
        if routine.day is None:
            continue
        for away in (1, -1):
            if routine.day + away >= 1:
                moved = replace(routine, day=routine.day + away)
                yield Change(_with_routine(plan, place, moved), f"a day {'later' if away > 0 else 'earlier'}")
    for place, event in enumerate(plan.events):
        for away in (1, -1):
            if event.day + away >= 1:
                moved_event = replace(event, day=event.day + away)
                events = (*plan.events[:place], moved_event, *plan.events[place + 1 :])
                yield Change(replace(plan, events=events), f"the event a day {'later' if away > 0 else 'earlier'}")


def _lengths(plan: Plan) -> Iterator[Change]:
    for place, given in enumerate(plan.givens):
        if given.kind not in ("for", "cycle") or given.duration is None:
            continue
        for away in (-1, 1):
            days = given.duration.days + away
            if days >= 1:
                moved = replace(given, duration=length(days, Unit.DAY))
                what = "the line" if given.kind == "for" else "the cycle"
                yield Change(
                    replace(plan, givens=(*plan.givens[:place], moved, *plan.givens[place + 1 :])),
                    f"{what} a day {'longer' if away > 0 else 'shorter'}",
                )


def _order(plan: Plan) -> Iterator[Change]:
    for place, routine in enumerate(plan.routines):
        for number in range(len(routine.steps) - 1):
            steps = list(routine.steps)
            steps[number], steps[number + 1] = steps[number + 1], steps[number]
            yield Change(_with_routine(plan, place, replace(routine, steps=tuple(steps))), "two steps in the other order")


def _slots(plan: Plan) -> Iterator[Change]:
    for place, routine in enumerate(plan.routines):
        for slot in SLOTS:
            if slot != routine.slot:
                yield Change(
                    _with_routine(plan, place, replace(routine, slot=slot)), f"in the {slot} in place of the {routine.slot}"
                )
        if len(routine.steps) > 1 and routine.day is not None:
            for number, step in enumerate(routine.steps):
                if step.what is not None:
                    rest = replace(routine, steps=_without(routine.steps, number))
                    moved = ExampleRoutine(routine.day + 1, False, routine.slot, (step,), routine.span)
                    split = replace(
                        _with_routine(plan, place, rest), routines=(*_with_routine(plan, place, rest).routines, moved)
                    )
                    yield Change(split, f"{step.what.text} on the next day")


def _left_out(plan: Plan) -> Iterator[Change]:
    for place, number, step in _steps(plan):
        routine = plan.routines[place]
        name = step.what.text if step.what is not None else "it"
        for one, remark in enumerate(step.remarks):
            yield Change(
                same_everywhere(plan, step, replace(step, remarks=_without(step.remarks, one))),
                f"{name} without “{remark.word}”",
            )
        kept = _without(routine.steps, number)
        if any(one.what is not None for one in kept):
            yield Change(_with_routine(plan, place, replace(routine, steps=kept)), f"one use less, without {name}")
        elif len(plan.routines) + len(plan.events) > 1:
            yield Change(replace(plan, routines=_without(plan.routines, place)), "one use less")
    for place, event in enumerate(plan.events):
        if plan.routines or len(plan.events) > 1:
            yield Change(replace(plan, events=_without(plan.events, place)), f"without the {event.event}")
    for place, given in enumerate(plan.givens):
        yield Change(replace(plan, givens=_without(plan.givens, place)), f"without “{given.name or given.kind}”")


# --- parts of plans ---


def _steps(plan: Plan) -> Iterator[tuple[int, int, ExampleStep]]:
    for place, routine in enumerate(plan.routines):
        for number, step in enumerate(routine.steps):
            if step.what is not None:
                yield place, number, step


def _without(values: tuple[_T, ...], place: int) -> tuple[_T, ...]:
    return values[:place] + values[place + 1 :]


def _put(steps: tuple[ExampleStep, ...], number: int, step: ExampleStep | None) -> tuple[ExampleStep, ...]:
    return (*steps[:number], *(() if step is None else (step,)), *steps[number + 1 :])


def _with_routine(plan: Plan, place: int, routine: ExampleRoutine) -> Plan:
    return replace(plan, routines=(*plan.routines[:place], routine, *plan.routines[place + 1 :]))


def _with_step(plan: Plan, place: int, number: int, step: ExampleStep) -> Plan:
    routine = plan.routines[place]
    return _with_routine(plan, place, replace(routine, steps=_put(routine.steps, number, step)))


def same_everywhere(plan: Plan, step: ExampleStep, changed: ExampleStep) -> Plan:
    """A product changed wherever it is used: equal steps are one product."""
    routines = tuple(
        replace(routine, steps=tuple(changed if one == step else one for one in routine.steps)) for routine in plan.routines
    )
    return replace(plan, routines=routines)


def _figure(value: int) -> str:
    whole, rest = divmod(value, BILLION)
    return str(whole) if not rest else f"{whole}.{str(rest).rjust(9, '0').rstrip('0')}"
