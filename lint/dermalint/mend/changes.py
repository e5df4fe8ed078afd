"""Changes of a plan that mends are made of: steps taken out, put elsewhere, reordered; waits; areas left out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence

from dermalint.mend.plan import Plan, Row, change_steps
from dermalint.regimen.model import ApplyStep, Mention, Routine, Step, WaitStep
from dermalint.spans import Place
from dermalint_grammar.record import replace

NOWHERE = Place(0, 0, "")
FACE = "face"  # what a step without areas is for


def applies(step: Step, product: str) -> bool:
    """Whether a step is of this product alone."""
    return isinstance(step, ApplyStep) and len(step.products) == 1 and step.products[0].name == product


def has(row: Row, product: str) -> bool:
    """Whether a row has a step of this product alone."""
    return any(applies(step, product) for step in row.steps)


def contains(row: Row, product: str) -> bool:
    """Whether a row applies a product, alone or mixed."""
    return any(isinstance(step, ApplyStep) and product in (one.name for one in step.products) for step in row.steps)


def days_of(plan: Plan, product: str, phase: int, slot: str) -> frozenset[int]:
    """The days on which a product is applied in a slot by steps that can be moved."""
    found: frozenset[int] = frozenset()
    for row in plan.rows:
        if row.phase == phase and row.slot == slot and row.days is not None and has(row, product):
            found |= row.days
    return found


def used_on(plan: Plan, product: str, phase: int) -> frozenset[int]:
    """The days on which a product is applied in any slot: nothing more of it is put there."""
    found: frozenset[int] = frozenset()
    for row in plan.rows:
        if row.phase == phase and row.days is not None and contains(row, product):
            found |= row.days
    return found


def slots_of(plan: Plan, product: str, phase: int) -> list[str]:
    """The slots that a product is applied in, by steps that can be moved."""
    return list(
        dict.fromkeys(row.slot for row in plan.rows if row.phase == phase and row.days is not None and has(row, product))
    )


def take_out(plan: Plan, product: str, phase: int, slot: str, days: Collection[int]) -> Plan:
    """The plan without a product's steps in a slot on some days."""

    def wanted(row: Row) -> bool:
        return row.phase == phase and row.slot == slot and row.days is not None and has(row, product)

    return change_steps(plan, wanted, days, lambda steps: tuple(step for step in steps if not applies(step, product)))


def put_in(
    plan: Plan, phase: int, slot: str, days: Collection[int], step: Step, like: Sequence[Step], position: int | None = None
) -> Plan:
    """The plan with a step more in a slot on some days, where nothing else can decide at the place it has in ``like``.

    Days on which the slot has no routine get a new one.
    """
    missing = frozenset(days)
    open_rows = [row for row in plan.rows if _takes(row, phase, slot)]
    for row in open_rows:
        assert row.days is not None
        here = row.days & missing
        if here:
            missing -= here
            at = place_for(row.steps, step, like) if position is None else min(position, len(row.steps))
            plan = change_steps(plan, lambda other, row=row: other == row, here, _inserting(step, at))  # type: ignore[misc]
    if missing:
        home = next(row.home for row in plan.rows if row.phase == phase)
        routine = Routine(Mention(slot, NOWHERE), (step,), NOWHERE)
        plan = replace(plan, rows=(*plan.rows, Row(None, home, phase, routine, missing, (step,))))
    return plan


def _inserting(step: Step, at: int) -> Callable[[tuple[Step, ...]], tuple[Step, ...]]:
    return lambda steps: (*steps[:at], step, *steps[at:])


def _takes(row: Row, phase: int, slot: str) -> bool:
    """Whether a step may be put into a row: it surely happens, on days that can be counted."""
    return row.phase == phase and row.slot == slot and row.days is not None and row.routine.only_if is None


def free_slot(plan: Plan, phase: int, slot: str) -> bool:
    """Whether a slot's routines are all ones that a step may be put into."""
    return all(_takes(row, phase, slot) for row in plan.rows if row.phase == phase and row.slot == slot)


def place_for(steps: Sequence[Step], step: Step, like: Sequence[Step]) -> int:
    """Where a step goes among others: behind what stands before it elsewhere, else before what stands behind it."""
    position = next((number for number, other in enumerate(like) if other is step or other == step), len(like))
    before = {name for other in like[:position] for name in names_of(other)}
    behind = {name for other in like[position + 1 :] for name in names_of(other)}
    later = [number for number, other in enumerate(steps) if before & names_of(other)]
    earlier = [number for number, other in enumerate(steps) if behind & names_of(other)]
    if later:
        return later[-1] + 1
    if earlier:
        return earlier[0]
    return len(steps)


def names_of(step: Step) -> set[str]:
    """The products of a step."""
    return {one.name for one in step.products} if isinstance(step, ApplyStep) else set()


def step_of(plan: Plan, product: str, phase: int) -> tuple[Step, tuple[Step, ...]] | None:
    """A step of a product, and the steps it stands among: the phase's own first, else any."""
    rows = sorted(plan.rows, key=lambda row: row.phase != phase)
    for row in rows:
        for step in row.steps:
            if applies(step, product):
                return step, row.steps
    return None


def set_days(plan: Plan, product: str, phase: int, slot: str, wanted: frozenset[int]) -> Plan:
    """The plan with a product in a slot on exactly these days."""
    found = step_of(plan, product, phase)
    assert found is not None
    days = days_of(plan, product, phase, slot)
    plan = take_out(plan, product, phase, slot, days - wanted)
    return put_in(plan, phase, slot, wanted - days, *found) if wanted - days else plan


def subsets(days: frozenset[int]) -> Iterator[frozenset[int]]:
    """All sets of days but the empty one."""
    numbers = sorted(days)
    for bits in range(1, 1 << len(numbers)):
        yield frozenset(number for place, number in enumerate(numbers) if bits >> place & 1)


def unevenness(days: frozenset[int], cycle: int) -> int:
    """How far days are from being spread evenly over a cycle; 0 where they are."""
    ordered = sorted(days)
    if not ordered:
        return 0
    gaps = [(later - earlier) % cycle or cycle for earlier, later in zip(ordered, [*ordered[1:], ordered[0]], strict=True)]
    return sum(gap * gap for gap in gaps) * len(ordered) - cycle * cycle


def shift(steps: tuple[Step, ...], source: int, target: int) -> tuple[Step, ...]:
    """The steps with one taken from its place and put before the one that stood at ``target``."""
    step = steps[source]
    rest = [*steps[:source], *steps[source + 1 :]]
    at = target - 1 if target > source else target
    return (*rest[:at], step, *rest[at:])


def exchange(steps: tuple[Step, ...], one: int, other: int) -> tuple[Step, ...]:
    """The steps with two of them in each other's place."""
    changed = list(steps)
    changed[one], changed[other] = changed[other], changed[one]
    return tuple(changed)


def wait_before(steps: tuple[Step, ...], first: int, second: int, minutes: int) -> tuple[Step, ...]:
    """The steps with so many minutes more between two of them: a wait that is there made longer, else a new one."""
    for number in range(second - 1, first, -1):
        step = steps[number]
        if isinstance(step, WaitStep) and step.minutes is not None:
            return (*steps[:number], replace(step, minutes=step.minutes + minutes), *steps[number + 1 :])
    return (*steps[:second], WaitStep(minutes, NOWHERE), *steps[second:])


def leave_out(step: ApplyStep, area: str, masks: Mapping[str, int]) -> ApplyStep | None:
    """A step without an area; None where that holds nothing of it, or all of the area named first, for which it is meant.

    ``masks`` says which parts of the skin each area is.
    """
    left_out = masks.get(area, 0)
    main, *others = (masks.get(name, 0) for name in ([one.name for one in step.areas] or [FACE]))
    for one in step.without:
        main &= ~masks.get(one.name, 0)
        others = [other & ~masks.get(one.name, 0) for other in others]
    if not main & ~left_out or not any(part & left_out for part in (main, *others)):
        return None
    if any(one.name == area for one in step.areas):
        return replace(step, areas=tuple(one for one in step.areas if one.name != area))
    return replace(step, without=(*step.without, Mention(area, NOWHERE)))


def change_rows(plan: Plan, rows: Sequence[Row], change: Callable[[tuple[Step, ...]], tuple[Step, ...]]) -> Plan:
    """The plan with the steps of these rows changed, on all their days."""
    return replace(plan, rows=tuple(replace(row, steps=change(row.steps)) if row in rows else row for row in plan.rows))
