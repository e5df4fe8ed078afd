"""A change to be tried, and the finding it is to mend."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from dermalint.mend.plan import Plan, Row, moved, tidy
from dermalint.regimen.model import ApplyStep, Regimen
from dermalint.verdict.findings import Finding
from dermalint_grammar import nodes
from dermalint_grammar.record import Record, replace

# Of two changes that move equally many applications, the one that leaves more as it is comes first.
WAIT, ORDER, AREA, COMPANION, SLOT, DAY, BOTH, FEWER, ALTERNATE, CYCLE, FEWER_ELSEWHERE, END = range(12)


class Candidate(Record):
    """A changed plan; ``say`` tells the change in a sentence, ``effort`` weighs it among those of its ``sort``.

    ``variants`` makes the same change with the moved step in other places among its neighbours; it is asked only where the
    change is tried.
    """

    plan: Plan
    sort: int
    say: str
    effort: int = 0
    variants: Callable[[], tuple[Plan, ...]] = tuple
    gone: int = 0  # applications a cycle that are no longer where they were


@dataclass
class Subject:
    """A finding with all that proposing a change for it needs."""

    finding: Finding
    requirement: nodes.Requirement
    regimen: Regimen
    plan: Plan
    areas: Mapping[str, int]  # which parts of the skin each area is
    gone_in: Callable[[Plan], bool]  # whether the finding's own rule finds it no more in a changed plan
    harmless: Callable[[Plan], bool]  # whether no rule finds anything new

    @cached_property
    def movable(self) -> tuple[str, ...]:
        """The finding's products that may be moved: not those that were prescribed."""
        return tuple(name for name in self.finding.products if self.may_move(name))

    def may_move(self, product: str) -> bool:
        """Whether a product may be moved: a prescribed one may not."""
        declared = self.regimen.products.get(product)
        return declared is not None and not declared.prescribed

    @cached_property
    def pointers(self) -> frozenset[str]:
        """Where the finding points to."""
        return frozenset((self.finding.where.pointer, *(related.place.pointer for related in self.finding.related)))

    def is_pointed_at(self, step: ApplyStep) -> bool:
        """Whether the finding is about this step."""
        pointer = step.place.pointer
        return bool(pointer) and any(one == pointer or one.startswith(f"{pointer}/") for one in self.pointers)

    @cached_property
    def phases(self) -> tuple[int, ...]:
        """The phases that the finding occurs in, from 0."""
        return tuple(dict.fromkeys(occurs.phase - 1 for occurs in self.finding.occurs))

    def days_in(self, phase: int, slot: str | None = None) -> frozenset[int]:
        """The days of a phase's cycle on which the finding occurs, in one slot or in any."""
        cycle = self.plan.cycles[phase]
        return frozenset(
            (occurs.day - 1) % cycle + 1
            for occurs in self.finding.occurs
            if occurs.phase - 1 == phase and slot in (None, occurs.slot)
        )

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """The rows of the phases that the finding occurs in."""
        return tuple(row for row in self.plan.rows if row.phase in self.phases)


def used(plan: Plan) -> set[tuple[int, str]]:
    """Which products each phase uses: a change that gives one up altogether is no mend."""
    return {
        (row.phase, product.name)
        for row in plan.rows
        for step in row.steps
        if isinstance(step, ApplyStep)
        for product in step.products
    }


def in_order(before: Plan, candidates: Iterable[Candidate]) -> list[Candidate]:
    """The candidates that change something, each plan once, the smallest change first."""
    found: dict[Plan, tuple[tuple[int, int, int, int, int, str], Candidate]] = {}
    known = used(before)
    for candidate in candidates:
        plan = tidy(candidate.plan)
        if plan == before:
            continue
        gone, lost, come = moved(before, plan)
        if gone and not known <= used(plan):
            continue
        weight = (gone, candidate.sort, lost, come, candidate.effort, candidate.say)
        if plan not in found or weight < found[plan][0]:
            found[plan] = weight, replace(candidate, plan=plan, gone=gone)
    return [candidate for _, candidate in sorted(found.values(), key=lambda entry: entry[0])]
