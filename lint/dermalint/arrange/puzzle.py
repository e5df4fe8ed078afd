"""The puzzle that arranging comes to: products in slots, to be put on the days of a cycle.

A :class:`Puzzle` knows nothing of rules and regimens.  ``because`` is the name of the rule or the wish that a fact comes from,
so that a clash can be told in their words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from dermalint.regimen.model import ApplyStep, WaitStep
from dermalint_grammar.record import Record, replace

Plan = tuple[frozenset[int], ...]
"""For each item the days of the cycle, from 0, on which it stands."""


class Item(Record):
    """A product in a slot.

    ``fixed``: its days, where given; ``usual``: for every day, so that it breaks no rest.
    """

    product: str
    slot: str
    step: ApplyStep
    wait: WaitStep | None = None  # behind the step, as the file has it
    fixed: frozenset[int] | None = None
    usual: bool = False


class Demand(Record):
    """A wish for ``least`` to ``most`` of the items' days in the cycle; ``never`` met where no number in the cycle is right."""

    wish: str
    items: tuple[int, ...]
    least: int
    most: int
    level: int  # 0 is met first
    never: bool = False


class Liking(Record):
    """What is liked and may be missed: each day of ``item`` costs one where it is not as liked.

    ``days``: those that are good; else any of ``others`` ``off`` days later is wanted (``near``) or unwanted.
    """

    item: int
    days: frozenset[int] | None = None
    others: tuple[int, ...] = ()
    off: int = 0
    near: bool = False


class Ban(Record):
    """An item must not stand at all, or not on these days."""

    because: str
    item: int
    days: frozenset[int] | None = None


class Clash(Record):
    """``first`` on a day and ``second`` ``off`` days later exclude each other."""

    because: str
    first: int
    second: int
    off: int


class Count(Record):
    """At most ``number`` in any ``window`` days on end: of applications, or of ``days`` with any of the items."""

    because: str
    items: tuple[int, ...]
    window: int
    number: int
    days: bool


class Need(Record):
    """Where ``item`` stands, each of ``offs`` days later one of ``others`` must stand."""

    because: str
    item: int
    others: tuple[int, ...]
    offs: tuple[int, ...]


class Refused(Record):
    """These items on exactly these days: the engine refused it."""

    because: str
    days: tuple[tuple[int, frozenset[int]], ...]


Fact = Ban | Clash | Count | Need | Refused


class Puzzle(Record):
    """Everything about one phase.  ``near`` are the days of the plan that is to change least."""

    length: int
    items: tuple[Item, ...]
    demands: tuple[Demand, ...]
    likings: tuple[Liking, ...] = ()
    facts: tuple[Fact, ...] = ()
    near: Plan | None = None

    def without(self, wishes: frozenset[str], rules: frozenset[str]) -> Puzzle:
        """The puzzle without the demands and facts of these wishes and rules."""
        gone = wishes | rules
        return replace(
            self,
            demands=tuple(demand for demand in self.demands if demand.wish not in gone),
            facts=tuple(fact for fact in self.facts if fact.because not in gone),
        )


def breaks(puzzle: Puzzle, plan: Sequence[frozenset[int]], facts: Iterable[Fact]) -> bool:
    """Whether a plan breaks any of the facts; items past the plan's end are not looked at by facts that name them."""
    return any(_broken(puzzle, plan, fact) for fact in facts)


def _broken(puzzle: Puzzle, plan: Sequence[frozenset[int]], fact: Fact) -> bool:
    length = puzzle.length
    if isinstance(fact, Ban):
        return bool(plan[fact.item] if fact.days is None else plan[fact.item] & fact.days)
    if isinstance(fact, Clash):
        second = plan[fact.second]
        if fact.first == fact.second and fact.off == 0:
            return False
        return any((day + fact.off) % length in second for day in plan[fact.first])
    if isinstance(fact, Need):
        have = frozenset[int]().union(*(plan[other] for other in fact.others))
        return any((day + off) % length not in have for day in plan[fact.item] for off in fact.offs)
    if isinstance(fact, Count):
        used = [sum(day in plan[item] for item in fact.items) for day in range(length)]
        if fact.days:
            used = [min(1, number) for number in used]
        return any(sum(used[(start + step) % length] for step in range(fact.window)) > fact.number for start in range(length))
    return all(plan[item] == days for item, days in fact.days)


def items_of(fact: Fact) -> tuple[int, ...]:
    """The items that a fact looks at."""
    if isinstance(fact, Ban):
        return (fact.item,)
    if isinstance(fact, Clash):
        return (fact.first, fact.second)
    if isinstance(fact, Need):
        return (fact.item, *fact.others)
    if isinstance(fact, Count):
        return fact.items
    return tuple(item for item, _ in fact.days)


def unmet(puzzle: Puzzle, plan: Plan) -> tuple[Demand, ...]:
    """The demands that a plan does not meet."""
    return tuple(
        demand
        for demand in puzzle.demands
        if demand.never or not demand.least <= sum(len(plan[item]) for item in demand.items) <= demand.most
    )


def cost(puzzle: Puzzle, plan: Plan) -> tuple[int, ...]:
    """What a plan costs, the weightiest first.

    Wishes not met by their levels, how far they are missed, likings missed, products in each slot's fullest routine,
    applications, uneven spacing, changes against ``near``, and at last late days, so that no two plans cost the same.
    """
    missed = unmet(puzzle, plan)
    by_level = [sum(demand.level == level for demand in missed) for level in levels(puzzle)]
    far = 0
    for demand in puzzle.demands:
        number = sum(len(plan[item]) for item in demand.items)
        far += max(0, demand.least - number) + max(0, number - demand.most)
    disliked = sum(_disliked(puzzle, plan, liking) for liking in puzzle.likings)
    sizes: dict[tuple[str, int], int] = {}
    for item, days in zip(puzzle.items, plan, strict=True):
        for day in days:
            sizes[item.slot, day] = sizes.get((item.slot, day), 0) + 1
    fullest: dict[str, int] = {}
    for (slot, _), size in sizes.items():
        fullest[slot] = max(size, fullest.get(slot, 0))
    uneven = sum(spread(puzzle.length, plan[number]) for number in free_items(puzzle) if not puzzle.items[number].usual)
    changes = 0
    if puzzle.near is not None:
        changes = sum(len(days ^ old) for days, old in zip(plan, puzzle.near, strict=True))
    late = [sum(1 << day for day in plan[number]) for number in free_items(puzzle)]
    return (
        *by_level,
        far,
        disliked,
        sum(fullest.values()),
        sum(len(plan[number]) for number in free_items(puzzle)),
        uneven,
        changes,
        *late,
    )


def levels(puzzle: Puzzle) -> list[int]:
    """The levels of importance that the demands have, the first first."""
    return sorted({demand.level for demand in puzzle.demands})


def free_items(puzzle: Puzzle) -> Iterator[int]:
    """The items whose days are to be found."""
    return (number for number, item in enumerate(puzzle.items) if item.fixed is None)


def spread(length: int, days: frozenset[int]) -> int:
    """How uneven days lie in a cycle: the squares of the gaps, added up."""
    ordered = sorted(days)
    gaps = (((ordered + [first + length for first in ordered[:1]])[place + 1] - day) for place, day in enumerate(ordered))
    return sum(gap * gap for gap in gaps)


def _disliked(puzzle: Puzzle, plan: Plan, liking: Liking) -> int:
    mine = plan[liking.item]
    if liking.days is not None:
        return len(mine - liking.days)
    have = frozenset[int]().union(*(plan[other] for other in liking.others))
    return sum(((day + liking.off) % puzzle.length in have) is not liking.near for day in mine)
