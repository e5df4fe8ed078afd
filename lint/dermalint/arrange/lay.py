"""From days to routines: which step comes where, with the waits that rules ask for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from dermalint.arrange.puzzle import Item, Plan
from dermalint.arrange.wanted import NOWHERE, SLOTS
from dermalint.regimen.model import Days, Mention, Product, Routine, Step, WaitStep

# Where a product usually stands: common practice, no published source.  What rules say of the order comes before it.
_USUAL = (
    "cleanser", "rinse", "toner", "essence", "serum", "treatment", "mask", "peel", "eye-cream", "moisturiser", "emollient",
    "face-oil", "balm", "lip-balm", "sunscreen", "make-up",
)  # fmt: skip


@dataclass(slots=True)
class Order:
    """What was learnt about routines: ``before`` are pairs of items in their order, ``waits`` the minutes between two."""

    items: tuple[Item, ...]
    products: dict[str, Product]
    before: set[tuple[int, int]] = field(default_factory=set)
    waits: dict[tuple[int, int], int] = field(default_factory=dict)

    def rank(self, item: int) -> tuple[int, int]:
        """Where an item stands when nothing is known."""
        product = self.products[self.items[item].product]
        kinds = [_USUAL.index(kind.name) for kind in product.kinds if kind.name in _USUAL]
        return max(kinds, default=_USUAL.index("treatment")), item

    def sort(self, items: Iterable[int]) -> list[int]:
        """Items of a routine in their order; where what was learnt runs in a circle, the usual order decides."""
        left = sorted(items, key=self.rank)
        given = [item for item in left if self.items[item].fixed is not None]
        kept = {(one, two) for place, one in enumerate(sorted(given)) for two in sorted(given)[place + 1 :]}
        ordered: list[int] = []
        while left:
            first = next(
                (
                    item
                    for item in left
                    if not any((other, item) in self.before or (other, item) in kept for other in left if other != item)
                ),
                left[0],
            )
            left.remove(first)
            ordered.append(first)
        return ordered

    def steps(self, items: Iterable[int]) -> tuple[Step, ...]:
        """The steps of a routine of these items."""
        ordered = self.sort(items)
        steps: list[Step] = []
        for place, item in enumerate(ordered):
            minutes = self._wait(ordered, place, steps)
            if minutes:
                steps.append(WaitStep(minutes, NOWHERE))
            steps.append(self.items[item].step)
            behind = self.items[item].wait
            if behind is not None and place + 1 < len(ordered):
                steps.append(behind)
        return tuple(steps)

    def _wait(self, ordered: list[int], place: int, steps: list[Step]) -> int:
        """The minutes that are still to be waited before the item at a place."""
        longest = 0
        for earlier in range(place):
            asked = self.waits.get((ordered[earlier], ordered[place]), 0)
            if not asked:
                continue
            since = steps.index(self.items[ordered[earlier]].step)
            waited = sum(step.minutes or 0 for step in steps[since:] if isinstance(step, WaitStep))
            longest = max(longest, asked - waited)
        return longest


def lay(order: Order, plan: Plan, length: int) -> tuple[Routine, ...]:
    """The routines of a cycle; days with the same steps in a slot are one routine."""
    routines: list[Routine] = []
    for (slot,) in SLOTS.values():
        groups: dict[tuple[Step, ...], list[int]] = {}
        for day in range(length):
            there = [number for number, days in enumerate(plan) if day in days and order.items[number].slot == slot]
            if there:
                groups.setdefault(order.steps(there), []).append(day)
        for steps, days in sorted(groups.items(), key=lambda group: group[1]):
            routines.append(Routine(Mention(slot, NOWHERE), steps, NOWHERE, written_days(days, length)))
    return tuple(routines)


def written_days(days: Sequence[int], length: int) -> Days:
    """Days of a cycle as a routine has them: weekdays in a week, else numbers from 1."""
    if len(days) == length:
        return Days()
    numbers = tuple(day + 1 for day in days)
    return Days(weekdays=numbers) if length == 7 else Days(numbers=numbers)
