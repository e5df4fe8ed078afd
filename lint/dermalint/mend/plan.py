"""A regimen's timetable, day by day: what mends change before any text is touched.

A row is a routine on some of its days.  Taking a step out on a few days splits a row in two; how that is written (other
``days``, a copy of the routine) is decided when the plan becomes text again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from math import lcm

from dermalint.mend.document import parent_of
from dermalint.regimen.model import ApplyStep, Days, Phase, Regimen, Routine, Step
from dermalint_grammar.record import Record, replace

WEEK = 7


class Row(Record):
    """Steps in a slot on days of a phase's cycle (1 … N), or on days that cannot be counted so (None).

    ``origin`` points to the routine it comes from, None for a new one; ``home`` to the list of routines it stands in.
    """

    origin: str | None
    home: str
    phase: int
    routine: Routine
    days: frozenset[int] | None
    steps: tuple[Step, ...]

    def __hash__(self) -> int:
        # Rows are looked up very often; what their steps and routine say is compared only where these agree.
        return hash((self.origin, self.phase, self.days, tuple([step.place.pointer for step in self.steps])))

    @property
    def slot(self) -> str:
        """The slot's name."""
        return self.routine.slot.name


class Plan(Record):
    """All rows of a regimen, in file order, the length of each phase's cycle, and its days (None: it does not end)."""

    rows: tuple[Row, ...]
    cycles: tuple[int, ...]
    first_weekdays: tuple[int, ...]  # of each phase's first day, Monday 0
    spans: tuple[int | None, ...]


def plan_of(regimen: Regimen) -> Plan:
    """The plan that a regimen has."""
    rows: list[Row] = []
    first_weekdays: list[int] = []
    begins = regimen.starts.weekday() if regimen.starts else 0
    for number, phase in enumerate(regimen.phases):
        first_weekdays.append(begins % WEEK)
        for routine in phase.routines:
            pointer = routine.place.pointer
            days = _days_of(routine, phase.cycle, begins % WEEK)
            rows.append(Row(pointer, parent_of(pointer)[0], number, routine, days, routine.steps))
        begins += phase.days or 0
    phases = regimen.phases
    return Plan(tuple(rows), tuple(one.cycle for one in phases), tuple(first_weekdays), tuple(one.days for one in phases))


def _days_of(routine: Routine, cycle: int, first_weekday: int) -> frozenset[int] | None:
    days = routine.days
    every = frozenset(range(1, cycle + 1))
    if routine.dates or days.anchor is not None:
        return None
    if days.every:
        return frozenset(day for day in every if (day - 1) % days.every == 0) if cycle % days.every == 0 else None
    if days.weekdays:
        if cycle != WEEK:
            return None
        chosen = frozenset(day for day in every if (first_weekday + day - 1) % WEEK + 1 in days.weekdays)
    elif days.numbers:
        chosen = frozenset(days.numbers) & every
    else:
        return every
    return every - chosen if days.negated else chosen


def whole(plan: Plan, phase: int) -> frozenset[int]:
    """All days of a phase's cycle."""
    return frozenset(range(1, plan.cycles[phase] + 1))


def days_for(plan: Plan, row: Row) -> Days:
    """How a row's days are said: as its routine does where they are the same, else by name in a week, by number elsewhere."""
    routine, days = row.routine, row.days
    cycle, first = plan.cycles[row.phase], plan.first_weekdays[row.phase]
    same = row.origin is not None and _days_of(routine, cycle, first) == days
    if days is None or (same and not (cycle != WEEK and routine.days.weekdays)):
        return routine.days
    if days == whole(plan, row.phase):
        return Days()
    if cycle == WEEK and not routine.days.numbers:
        return Days(weekdays=tuple(sorted((first + day - 1) % WEEK + 1 for day in days)))
    return Days(numbers=tuple(sorted(days)))


def regimen_of(plan: Plan, before: Plan, regimen: Regimen) -> Regimen:
    """The regimen that follows a changed plan.

    ``before`` is the plan that was changed; it may be another person's, who shares routines with this one.
    """
    known = {row.origin for row in before.rows}
    changed_cycles = {
        row.home: plan.cycles[row.phase] for row in before.rows if plan.cycles[row.phase] != before.cycles[row.phase]
    }
    ended = {row.home: plan.spans[row.phase] for row in before.rows if plan.spans[row.phase] != before.spans[row.phase]}
    homes = {row.home for row in before.rows}
    phases: list[Phase] = []
    for phase in regimen.phases:
        routines: list[Routine] = []
        own_homes: dict[str, None] = {}
        for routine in phase.routines:
            pointer = routine.place.pointer
            own_homes.setdefault(parent_of(pointer)[0])
            if pointer in known:
                routines += [_routine(plan, row) for row in plan.rows if row.origin == pointer]
            else:
                routines.append(routine)
        for home in own_homes:
            if home in homes:
                routines += [_routine(plan, row) for row in plan.rows if row.origin is None and row.home == home]
        cycle = next((changed_cycles[home] for home in own_homes if home in changed_cycles), phase.cycle)
        days = next((ended[home] for home in own_homes if home in ended), phase.days)
        phases.append(replace(phase, routines=tuple(routines), cycle=cycle, days=days))
    return replace(regimen, phases=tuple(phases))


def _routine(plan: Plan, row: Row) -> Routine:
    return replace(row.routine, days=days_for(plan, row), steps=row.steps)


def tidy(plan: Plan) -> Plan:
    """The plan with rows of one origin and the same steps joined again, and without rows in which nothing is applied."""
    rows: list[Row] = []
    for row in plan.rows:
        if row.days is not None and (not row.days or not any(isinstance(step, ApplyStep) for step in row.steps)):
            continue
        for number, other in enumerate(rows):
            if (other.origin, other.home, other.steps) == (row.origin, row.home, row.steps) and _alike(other, row):
                assert other.days is not None
                assert row.days is not None
                rows[number] = replace(other, days=other.days | row.days)
                break
        else:
            rows.append(row)
    return replace(plan, rows=tuple(_originals_first(rows)))


def _alike(one: Row, other: Row) -> bool:
    if one.days is None or other.days is None or one.days & other.days:
        return False
    return one.origin is not None or (one.routine.slot.name, one.routine.at) == (other.routine.slot.name, other.routine.at)


def _originals_first(rows: list[Row]) -> list[Row]:
    """Rows of one origin together: first the one that keeps the routine's place, which has its steps, or the most days."""

    def weight(row: Row) -> tuple[bool, int, int]:
        days = row.days or frozenset()
        return row.steps != row.routine.steps, -len(days), min(days, default=0)

    origins = dict.fromkeys(row.origin for row in rows if row.origin is not None)
    ordered: list[Row] = []
    for origin in origins:
        ordered += sorted((row for row in rows if row.origin == origin), key=weight)
    return ordered + [row for row in rows if row.origin is None]


def change_steps(
    plan: Plan,
    wanted: Callable[[Row], bool],
    days: Iterable[int] | None,
    change: Callable[[tuple[Step, ...]], tuple[Step, ...]],
) -> Plan:
    """The plan with the steps of some rows changed, on some days or (None) on all of theirs."""
    only = None if days is None else frozenset(days)
    rows: list[Row] = []
    for row in plan.rows:
        steps = change(row.steps) if wanted(row) else row.steps
        if steps == row.steps:
            rows.append(row)
        elif only is None or row.days is None or row.days <= only:
            rows.append(row if row.days is None and only is not None else replace(row, steps=steps))
        elif row.days & only:
            rows += [replace(row, days=row.days - only), replace(row, days=row.days & only, steps=steps)]
        else:
            rows.append(row)
    return replace(plan, rows=tuple(rows))


Placed = tuple[int, int, str, str]
"""Phase, day, slot and product of one application."""


def applications(plan: Plan, days: tuple[int, ...]) -> Counter[Placed]:
    """Every application of a plan, each phase's laid out over so many days."""
    return _placed(plan.rows, plan.cycles, days)


def _placed(rows: Iterable[Row], cycles: tuple[int, ...], days: tuple[int, ...]) -> Counter[Placed]:
    found: Counter[Placed] = Counter()
    for row in rows:
        phase, slot, cycle = row.phase, row.slot, cycles[row.phase]
        chosen: list[int] = [0]
        if row.days is not None:
            chosen = [turn + day for turn in range(0, days[phase], cycle) for day in row.days]
        for step in row.steps:
            if isinstance(step, ApplyStep):
                found.update([(phase, day, slot, product.name) for day in chosen for product in step.products])
    return found


def moved(before: Plan, after: Plan) -> tuple[int, int, int]:
    """How many applications a cycle are no longer where they were, how many of them are nowhere, and how many are new.

    Where the length of a cycle changes, both are laid out until they come round together.
    """
    if before.cycles == after.cycles:  # rows that both have need not be counted
        mine, others = Counter(before.rows), Counter(after.rows)
        one = _placed((mine - others).elements(), before.cycles, before.cycles)
        other = _placed((others - mine).elements(), before.cycles, before.cycles)
        times = 1
    else:
        days = tuple(lcm(length, new) for length, new in zip(before.cycles, after.cycles, strict=True))
        times = max((span // cycle for span, cycle in zip(days, before.cycles, strict=True)), default=1)
        one, other = applications(before, days), applications(after, days)
    gone, come = (one - other).total(), (other - one).total()
    return -(-gone // times), -(-max(gone - come, 0) // times), -(-max(come - gone, 0) // times)
