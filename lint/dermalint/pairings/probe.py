"""Asking the engine how far two products must be apart, by laying both into small regimens."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench, judge
from dermalint.pairings.subjects import NOWHERE, renamed
from dermalint.regimen.model import ApplyStep, DayClock, Days, Mention, Phase, Product, Regimen, Routine, WaitStep
from dermalint.verdict.findings import CERTAIN, Finding
from dermalint_grammar import nodes
from dermalint_grammar.record import Record, replace

TOGETHER, ORDER, WAIT, ROUTINE, HOURS, DAYS = "together", "order", "wait", "routine", "hours", "days"
STRICTNESS = (TOGETHER, ORDER, WAIT, ROUTINE, HOURS, DAYS)
CYCLE = 70  # days; longer than any distance that is tried, so that a use has no other near it
LONGEST_WAIT = 120  # minutes
LATEST = 16 * 60  # minutes after the first use that the second is tried in the same day
LONGEST = 30  # days
_FIRST_CLOCK = 6 * 60

_SLOTS = {"morning": 420, "midday": 750, "afternoon": 930, "evening": 1290}

_OF_TWO = (
    nodes.Separate,
    nodes.ApplyChain,
    nodes.ApplyEdge,
    nodes.ApplyDirectly,
    nodes.Wait,
    nodes.UseProducts,
    nodes.NeverUse,
    nodes.Limit,
)


_Objects = Callable[[tuple[Finding, ...]], bool]


class Apart(Record):
    """How far two products must be apart.

    ``how`` is one of :data:`STRICTNESS`; ``number`` minutes of a wait, hours, or days; for an order, 1 where the first comes
    first, -1 where the second does.  ``findings`` are what the engine said of them when they were nearer.  ``endless`` says
    that no distance that was tried is enough.
    """

    how: str
    number: int
    findings: tuple[Finding, ...]
    certain: bool
    endless: bool = False


def pair_rules(bench: Bench) -> Bench:
    """The bench with only the rules that can speak of two products at once."""
    kept = []
    for linked in bench.rules:
        requirement = linked.rule.requirement
        if not isinstance(requirement, _OF_TWO):
            continue
        if isinstance(requirement, nodes.NeverUse) and not _looks_round(linked.rule.conditions):
            continue
        if isinstance(requirement, nodes.Limit) and not requirement.total:
            continue
        kept.append(linked)
    return Bench(bench.world, tuple(kept), bench.plugins)


def _looks_round(conditions: tuple[nodes.Condition, ...]) -> bool:
    from dermalint.packs.references import walk

    return any(isinstance(part, nodes.Has | nodes.Around) for condition in conditions for part in walk(condition))


class Probe:
    """Asks about pairs, for one person, region and stance (those of ``base``)."""

    def __init__(self, bench: Bench, base: Regimen, asked: Asked) -> None:
        self._bench = bench
        self._base = base
        self._asked = asked
        self.judged = 0

    def pair(self, one: Product, two: Product) -> Apart:
        """How far two products must be apart, by what is certain; where nothing is, by what is possible."""
        a, b = one, two if two.key != one.key else renamed(two, f"{two.key}-2")
        forward, backward = self._same_routine(a, b), self._same_routine(b, a)
        every = (*forward, *backward)
        if not every:
            return Apart(TOGETHER, 0, (), True)
        certain = any(finding.certainty == CERTAIN for finding in every)

        def objects(found: tuple[Finding, ...]) -> bool:
            return any(finding.certainty == CERTAIN or not certain for finding in found)

        told = _once(finding for finding in every if finding.certainty == CERTAIN or not certain)
        if objects(forward) is not objects(backward):
            return Apart(ORDER, -1 if objects(forward) else 1, told, certain)
        wait = self._wait(a, b, objects)
        if wait is not None:
            return Apart(WAIT, wait, told, certain)
        hours = self._hours(a, b, objects)
        if hours is not None:
            return Apart(ROUTINE if hours <= 1 else HOURS, hours, told, certain)
        days = self._days(a, b, objects)
        return Apart(DAYS, days or LONGEST, told, certain, endless=days is None)

    def _wait(self, a: Product, b: Product, objects: _Objects) -> int | None:
        """The shortest wait between them that is enough in one of the two orders; None where none is."""
        best: int | None = None
        for first, second in ((a, b), (b, a)):
            if not objects(self._same_routine(first, second, LONGEST_WAIT)):
                low, high = 0, LONGEST_WAIT
                while high - low > 1:
                    middle = (low + high) // 2
                    low, high = (middle, high) if objects(self._same_routine(first, second, middle)) else (low, middle)
                best = high if best is None else min(best, high)
        return best

    def _hours(self, a: Product, b: Product, objects: _Objects) -> int | None:
        """The fewest whole hours between routines of one day that are enough whichever comes first."""

        def near(minutes: int) -> bool:
            return objects(self._same_day(a, b, minutes)) or objects(self._same_day(b, a, minutes))

        if near(LATEST):
            return None
        low, high = 0, LATEST // 60
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if near(middle * 60) else (low, middle)
        return high

    def _days(self, a: Product, b: Product, objects: _Objects) -> int | None:
        def near(days: int) -> bool:
            return objects(self._days_apart(a, b, days)) or objects(self._days_apart(b, a, days))

        return next((days for days in range(1, LONGEST + 1) if not near(days)), None)

    # --- small regimens ---

    def _same_routine(self, first: Product, second: Product, wait: int = 0) -> tuple[Finding, ...]:
        between = (WaitStep(wait, NOWHERE),) if wait else ()
        steps = (_apply(first), *between, _apply(second))
        return self._both(first, second, (_routine("evening", 1, steps),))

    def _same_day(self, first: Product, second: Product, minutes: int) -> tuple[Finding, ...]:
        routines = (
            _routine("morning", 1, (_apply(first),), _FIRST_CLOCK),
            _routine(_slot_near(_FIRST_CLOCK + minutes), 1, (_apply(second),), _FIRST_CLOCK + minutes),
        )
        return self._both(first, second, routines)

    def _days_apart(self, first: Product, second: Product, days: int) -> tuple[Finding, ...]:
        routines = (_routine("evening", 1, (_apply(first),)), _routine("evening", 1 + days, (_apply(second),)))
        return self._both(first, second, routines)

    def _both(self, one: Product, two: Product, routines: tuple[Routine, ...]) -> tuple[Finding, ...]:
        """The findings that concern both products together."""
        self.judged += 1
        regimen = replace(
            self._base,
            products={one.key: one, two.key: two},
            phases=(Phase(None, CYCLE, routines, NOWHERE),),
            starts=None,
            events=(),
            outdoors=(),
            history=None,
            waivers=(),
            clock=DayClock(),
        )
        found, _ = judge(self._bench, regimen, self._asked)
        keys = {one.key, two.key}
        return tuple(f for f in found if keys <= {*f.products} and f.suspended_by is None)


def _once(findings: Iterator[Finding]) -> tuple[Finding, ...]:
    return tuple({finding.rule: finding for finding in findings}.values())


def _slot_near(minute: int) -> str:
    """The slot whose usual clock is nearest: a stated clock is the turn nearest its slot's."""
    return min(_SLOTS, key=lambda slot: abs(_SLOTS[slot] - minute))


def _apply(product: Product) -> ApplyStep:
    return ApplyStep((Mention(product.key, NOWHERE),), NOWHERE)


def _routine(slot: str, day: int, steps: tuple[ApplyStep | WaitStep, ...], at: int | None = None) -> Routine:
    return Routine(Mention(slot, NOWHERE), steps, NOWHERE, Days(numbers=(day,)), at=at)
