"""A companion that the file already declares, put where it is missing."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import combinations, islice

from dermalint.mend.candidates import COMPANION, Candidate, Subject
from dermalint.mend.changes import NOWHERE, applies, change_rows, days_of, free_slot, put_in, step_of, unevenness
from dermalint.mend.plan import Plan, Row, whole
from dermalint.mend.propose_days import MOST_SETS, possible_slots, variants_of
from dermalint.mend.words import listed, on, when
from dermalint.regimen.model import ApplyStep, Mention, Step
from dermalint_grammar import nodes
from dermalint_grammar.record import replace

OTHER_SLOT = 10_000  # more than any unevenness: a slot in which the product is used already comes first


def companions(subject: Subject) -> Iterator[Candidate]:
    """Each declared product put into every routine that lacks it."""
    plan = subject.plan
    lacking: dict[tuple[int, str], frozenset[int]] = {}
    for phase in subject.phases:
        for slot in dict.fromkeys(occurs.slot for occurs in subject.finding.occurs if occurs.phase - 1 == phase):
            if slot is not None:
                lacking[phase, slot] = subject.days_in(phase, slot)
    for product in subject.regimen.products:
        if product in subject.finding.products or not subject.may_move(product):
            continue
        for targets in _targets(plan, lacking):
            yield from _added(subject, product, targets)


def _targets(plan: Plan, lacking: dict[tuple[int, str], frozenset[int]]) -> Iterator[dict[tuple[int, str], frozenset[int]]]:
    """Where a companion goes: where it is missing, or into one other slot of the same days."""
    if all(free_slot(plan, phase, slot) for phase, slot in lacking):
        yield lacking
    for target in dict.fromkeys(row.slot for row in plan.rows):
        moved: dict[tuple[int, str], frozenset[int]] = {}
        for (phase, _), days in lacking.items():
            moved[phase, target] = moved.get((phase, target), frozenset()) | days
        if moved != lacking and all(free_slot(plan, phase, slot) for phase, slot in moved):
            yield moved


def _added(subject: Subject, product: str, targets: dict[tuple[int, str], frozenset[int]]) -> Iterator[Candidate]:
    plan = subject.plan
    phase = next(iter(targets))[0]
    found = step_of(plan, product, phase)
    step: Step = ApplyStep((Mention(product, NOWHERE),), NOWHERE)
    like: tuple[Step, ...] = ()
    if found is not None:
        step, like = found

    def put(position: int | None) -> Plan:
        changed = plan
        for (number, slot), days in targets.items():
            here = days - frozenset[int]().union(
                *(row.days or whole(plan, number) for row in plan.rows if _has(row, product, number, slot))
            )
            if here:
                changed = put_in(changed, number, slot, here, step, like, position)
        return changed

    places = listed(when(plan, number, days, slot) for (number, slot), days in targets.items())
    longest = max((len(row.steps) for row in plan.rows), default=0)

    def variants() -> tuple[Plan, ...]:
        return tuple(put(position) for position in range(longest + 1))

    yield Candidate(put(None), COMPANION, f"Add {product} {on(places)}.", variants=variants)


def _has(row: Row, product: str, phase: int, slot: str) -> bool:
    return row.phase == phase and row.slot == slot and any(applies(step, product) for step in row.steps)


def more_often(subject: Subject) -> Iterator[Candidate]:
    """A product that a rule wants more of, on further days of a slot: as few as will do, and as even as they can be."""
    requirement = subject.requirement
    assert isinstance(requirement, nodes.UseCount)
    if requirement.bound is not nodes.Comparison.AT_LEAST:
        return
    plan = subject.plan
    for product in subject.movable:
        for phase in subject.phases:
            found = step_of(plan, product, phase)
            for slot in possible_slots(plan, phase) if found is not None else ():
                assert found is not None
                days = days_of(plan, product, phase, slot)
                enough = len(whole(plan, phase))
                for new in islice(_further_days(whole(plan, phase) - days, days, plan.cycles[phase]), MOST_SETS):
                    if len(new) > enough:
                        break
                    changed = put_in(plan, phase, slot, new, *found)
                    if subject.gone_in(changed):
                        enough = len(new)
                        say = f"Use {product} more often: {on(when(plan, phase, new, slot))}, too."
                        even = unevenness(days | new, plan.cycles[phase]) + (0 if days else OTHER_SLOT)
                        yield Candidate(changed, COMPANION, say, even, variants_of(plan, phase, slot, new, found))


def _further_days(free: frozenset[int], days: frozenset[int], cycle: int) -> Iterator[frozenset[int]]:
    """Sets of free days, the smaller ones first, of one size those first that are evener together with the days in use."""
    for size in range(1, len(free) + 1):
        sets = (frozenset(chosen) for chosen in combinations(sorted(free), size))
        yield from sorted(sets, key=lambda new: (unevenness(days | new, cycle), sorted(new)))


def renewals(subject: Subject) -> Iterator[Candidate]:
    """The companion's steps repeated as often as the rule asks, until daylight is over."""
    requirement = subject.requirement
    assert isinstance(requirement, nodes.Renew)
    minutes = requirement.duration.minutes
    for product in dict.fromkeys((*subject.movable, *subject.regimen.products)):
        if not subject.may_move(product):
            continue
        rows = [row for row in subject.rows if any(applies(step, product) for step in row.steps)]
        for until in _ends_of_daylight(subject):
            plan = change_rows(subject.plan, rows, partial(_repeated, product, minutes, until))
            hours = f"{minutes // 60} hours" if minutes % 60 == 0 else f"{minutes} minutes"
            clock = f"{until // 60:02}:{until % 60:02}"
            yield Candidate(plan, COMPANION, f"Apply {product} again every {hours} until {clock}.", until)


def _ends_of_daylight(subject: Subject) -> list[int]:
    return sorted({light.end for light in subject.regimen.outdoors if light.end is not None})


def _repeated(product: str, minutes: int, until: int, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    return tuple(
        replace(step, repeat_minutes=minutes, repeat_until=until)
        if isinstance(step, ApplyStep) and applies(step, product)
        else step
        for step in steps
    )
