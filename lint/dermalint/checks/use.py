"""``use …`` and ``never use …``: slots, counts over rolling windows, runs of days, numbers of products."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator

from dermalint.checks.case import happens
from dermalint.checks.run import Run, counted_together
from dermalint.checks.terms import Matched
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison

WEEK = 7
MONTH = 30
_A_MONTH = nodes.Duration(nodes.BILLION, nodes.Unit.MONTH, nodes.Span(0, 0))


def check_only(run: Run, requirement: nodes.UseOnly) -> None:
    """Every A lies in one of the slots, or in an own slot that counts as one."""
    allowed = {name.text for name in requirement.slots}
    for use, truth, _ in run.case.terms.anchors(requirement.term):
        if use.slot not in allowed and use.counts_as not in allowed:
            run.hit(min(truth, happens(use)), use, (use, requirement.term))


def check_never(run: Run, requirement: nodes.NeverUse) -> None:
    """No A at all, or none in the slot."""
    slot = requirement.slot.text if requirement.slot is not None else None
    for use, truth, _ in run.case.terms.anchors(requirement.term):
        if slot is None or slot in (use.slot, use.counts_as):
            run.hit(min(truth, happens(use)), use, (use, requirement.term))


# What is counted: an item is (day, key); the same key counts once, however many applications it has.
Item = tuple[int, object]


class _Tally:
    """How often something counts on each day: certainly, and possibly on top."""

    def __init__(self, run: Run, matched: list[Matched], counted: str) -> None:
        self.uses: dict[int, list[Matched]] = {}
        truths: dict[Item, int] = {}
        extra: dict[Item, int] = {}
        only_if: dict[Item, str | None] = {}
        for item in matched:
            use, truth, _ = item
            if counted not in ("times", "days", "products") and counted not in (use.slot, use.counts_as):
                continue
            truth = min(truth, run.holds(use))
            if truth == NO:
                continue
            self.uses.setdefault(use.day, []).append(item)
            application = use.application
            key: Item
            if counted == "times":
                key = (use.day, (use.routine, use.product))
            elif counted == "products":
                key = (use.day, use.product)
            else:
                key = (use.day, None)
            certain = min(truth, happens(use))
            truths[key] = max(truths.get(key, NO), certain)
            under = application.only_if if application is not None else None
            only_if[key] = under if only_if.setdefault(key, under) == under else None
            if counted == "times" and application is not None and application.step.as_needed:
                extra[key] = max(extra.get(key, 1), application.step.at_most or 1)
        self.certain: dict[int, int] = {}
        self.possible: dict[int, int] = {}
        alternatives: dict[int, dict[str, int]] = {}  # day -> condition -> how many uses there are under it
        for key, truth in truths.items():
            day, condition = key[0], only_if[key]
            if truth == YES:
                self.certain[day] = self.certain.get(day, 0) + 1
            self.possible.setdefault(day, 0)
            if condition is None:
                self.possible[day] += extra.get(key, 1)
            else:
                under_it = alternatives.setdefault(day, {})
                under_it[condition] = under_it.get(condition, 0) + extra.get(key, 1)
        for day, counts in alternatives.items():
            self.possible[day] += max(counts.values())

    def days(self) -> list[int]:
        """Days on which anything counts."""
        return sorted(self.possible)


def _goes_on(run: Run, days: list[int]) -> bool:
    """Whether what counts on these days still does in the stretch that is repeated for ever."""
    steady = run.case.line.steady_from
    return steady is not None and bool(days) and days[-1] >= steady


def _between(start: int, end: int, days: list[int], endless: bool) -> bool:
    """Whether a window [start, end) lies between the first and the last of the days on which something counts."""
    return bool(days) and start >= days[0] and (endless or end - 1 <= days[-1])


def _windows(run: Run, per: str, length: int) -> Iterator[tuple[int, int]]:
    """All windows [start, end) of whole days on the line; those of a cycle lie inside their phase."""
    line = run.case.line
    size = {"week": WEEK, "day": 1, "month": MONTH}.get(per, length)
    if per == "cycle":
        for span in line.phases:
            end = line.end if span.end is None else span.end
            for start in range(line.first if line.circular else span.start, end - span.cycle + 1):
                yield start, start + span.cycle
        return
    if per == "month" and line.starts is not None:
        for start in range(line.first, line.end):
            end = min(start + run.case.days_in(_A_MONTH, start), line.end)
            yield start, end
            if end == line.end:
                return
    if line.end - line.first < size:
        yield line.first, line.end
        return
    for start in range(line.first, line.end - size + 1):
        yield start, start + size


def check_count(run: Run, requirement: nodes.UseCount) -> None:
    """Times, days or slots with an A, counted over every window, where its applications share skin."""
    for matched in counted_together(run, requirement.term, requirement.bound):
        if requirement.per == "row":
            _check_row(run, requirement, matched)
        elif requirement.per == "routine":
            _check_routines(run, requirement, matched)
        else:
            _check_windows(run, requirement, matched, requirement.counted)


def check_products(run: Run, requirement: nodes.UseProducts) -> None:
    """How many different products are A, in a routine or a window."""
    for matched in counted_together(run, requirement.term, requirement.bound):
        if requirement.per == "routine":
            _check_routines(run, requirement, matched)
        else:
            _check_product_windows(run, requirement, matched)


def _check_windows(run: Run, requirement: nodes.UseCount, matched: list[Matched], counted: str) -> None:
    tally = _Tally(run, matched, counted)
    days = tally.days()
    if not days:
        return
    at_most = requirement.bound is Comparison.AT_MOST
    worst: dict[int, tuple[int, int]] = {}  # day -> (truth, count)
    sure = sorted(tally.certain)
    endless, sure_endless = _goes_on(run, days), _goes_on(run, sure)
    for start, end in _windows(run, requirement.per, requirement.window):
        inside = days[bisect_left(days, start) : bisect_left(days, end)]
        certain = sum([tally.certain.get(day, 0) for day in inside])
        possible = sum([tally.possible[day] for day in inside])
        if at_most:
            truth, value = _over(certain, possible, requirement.number)
            told = inside
        else:
            full = _between(start, end, days, endless)
            truth, value = _under(certain, possible, requirement.number) if full else (NO, 0)
            if not _between(start, end, sure, sure_endless):
                truth = min(truth, UNKNOWN)  # perhaps its use has not begun, or is over
            told = [max((day for day in days if day <= start), default=days[0])]
        if truth == NO:
            continue
        for day in told:
            seen = worst.get(day)
            if seen is None or (truth, value if at_most else -value) > (seen[0], seen[1] if at_most else -seen[1]):
                worst[day] = truth, value
    _tell(run, requirement, tally, worst)


def _over(certain: int, possible: int, number: int) -> tuple[int, int]:
    if certain > number:
        return YES, certain
    return (UNKNOWN, possible) if possible > number else (NO, 0)


def _under(certain: int, possible: int, number: int) -> tuple[int, int]:
    if possible < number:
        return YES, possible
    return (UNKNOWN, certain) if certain < number else (NO, 0)


def _tell(
    run: Run, requirement: nodes.UseCount | nodes.UseProducts, tally: _Tally, worst: dict[int, tuple[int, int]]
) -> None:
    for day, (truth, value) in worst.items():
        for use, _, _ in tally.uses.get(day, ()):
            run.hit(truth, use, (use, requirement.term), value=value)


def _check_row(run: Run, requirement: nodes.UseCount, matched: list[Matched]) -> None:
    """Runs of consecutive days (or of a slot on consecutive days)."""
    tally = _Tally(run, matched, requirement.counted)
    worst: dict[int, tuple[int, int]] = {}
    for truth, counts in ((UNKNOWN, tally.possible), (YES, tally.certain)):
        ordered = sorted(counts)
        begin = 0
        for index in range(1, len(ordered) + 1):
            if index == len(ordered) or ordered[index] != ordered[index - 1] + 1:
                length = index - begin
                if length > requirement.number:
                    for day in ordered[begin:index]:
                        worst[day] = truth, length
                begin = index
    _tell(run, requirement, tally, worst)


def _check_routines(run: Run, requirement: nodes.UseCount | nodes.UseProducts, matched: list[Matched]) -> None:
    routines: dict[int, list[Matched]] = {}
    for item in matched:
        routines.setdefault(item[0].routine, []).append(item)
    for items in routines.values():
        truths: dict[str, int] = {}
        uses: dict[str, tuple[Use, nodes.Term]] = {}
        for use, truth, _ in items:
            truth = min(truth, happens(use), run.holds(use))
            if truth != NO:  # a second coat is no second time
                truths[use.product] = max(truths.get(use.product, NO), truth)
                uses.setdefault(use.product, (use, requirement.term))
        if not uses:
            continue
        certain = sum(1 for truth in truths.values() if truth == YES)
        if requirement.bound is Comparison.AT_MOST:
            truth, value = _over(certain, len(truths), requirement.number)
        else:
            truth, value = _under(certain, len(truths), requirement.number)
            truth = min(truth, max(truths.values()))  # a routine without any is not asked
        if truth != NO:
            told = list(uses.values())
            run.hit(truth, told[0][0], *told, value=value)


def _check_product_windows(run: Run, requirement: nodes.UseProducts, matched: list[Matched]) -> None:
    """Different products in a window: a product used on several days of it counts once."""
    worst: dict[int, tuple[int, int]] = {}
    tally = _Tally(run, matched, "products")
    days = tally.days()
    sure = sorted(tally.certain)
    endless, sure_endless = _goes_on(run, days), _goes_on(run, sure)
    for start, end in _windows(run, requirement.per, requirement.window):
        truths: dict[str, int] = {}
        inside = [item for day in range(start, end) for item in tally.uses.get(day, ())]
        for use, truth, _ in inside:
            truths[use.product] = max(truths.get(use.product, NO), min(truth, happens(use), run.holds(use)))
        certain = sum(1 for truth in truths.values() if truth == YES)
        if requirement.bound is Comparison.AT_MOST:
            truth, value = _over(certain, len(truths), requirement.number)
        elif inside and _between(start, end, days, endless):
            truth, value = _under(certain, len(truths), requirement.number)
            if not _between(start, end, sure, sure_endless):
                truth = min(truth, UNKNOWN)
        else:
            continue
        if truth != NO:
            for use, _, _ in inside:
                if (truth, value) > worst.get(use.day, (NO, 0)):
                    worst[use.day] = truth, value
    _tell(run, requirement, tally, worst)
