"""Steps brought into another order, and waits between them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from dermalint.mend.candidates import ORDER, WAIT, Candidate, Subject
from dermalint.mend.changes import change_rows, exchange, names_of, shift, wait_before
from dermalint.mend.plan import Row
from dermalint.regimen.model import ApplyStep, Step
from dermalint_grammar import nodes

LONGEST_WAIT = 120  # minutes that anybody would wait between two steps of one routine


def orders(subject: Subject) -> Iterator[Candidate]:
    """A step before or behind each other one, wherever both are in one routine; or two in each other's place."""
    for product in subject.movable:
        rows = [row for row in subject.rows if _place(row, product) is not None]
        others = dict.fromkeys(
            step for row in rows for step in row.steps if isinstance(step, ApplyStep) and product not in names_of(step)
        )
        neighbours = dict.fromkeys(frozenset(names_of(step)) for step in others)
        for names in neighbours:
            told = " and ".join(sorted(names))
            near = 0 if names & set(subject.finding.products) else 1
            for behind in (False, True):
                plan = change_rows(subject.plan, rows, partial(_beside, product, names, behind))
                side = "after" if behind else "before"
                yield Candidate(plan, ORDER, f"Apply {product} directly {side} {told}.", near)
            if near == 0 and len(names) == 1 and subject.may_move(told):
                plan = change_rows(subject.plan, rows, partial(_exchanged, product, names))
                yield Candidate(plan, ORDER, f"Let {product} and {told} change places.", 0)


def _place(row: Row, product: str) -> int | None:
    return _find(row.steps, frozenset((product,)))


def _find(steps: tuple[Step, ...], names: frozenset[str]) -> int | None:
    return next((number for number, step in enumerate(steps) if frozenset(names_of(step)) == names), None)


def _beside(product: str, names: frozenset[str], behind: bool, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    source, target = _find(steps, frozenset((product,))), _find(steps, names)
    if source is None or target is None:
        return steps
    return shift(steps, source, target + 1 if behind else target)


def _exchanged(product: str, names: frozenset[str], steps: tuple[Step, ...]) -> tuple[Step, ...]:
    one, other = _find(steps, frozenset((product,))), _find(steps, names)
    return steps if one is None or other is None else exchange(steps, one, other)


def waits(subject: Subject) -> Iterator[Candidate]:
    """The minutes that are missing, between the two steps."""
    needed = _minutes(subject.requirement)
    if needed is None or needed > LONGEST_WAIT:
        return
    products = subject.finding.products
    for first in products:
        for second in products:
            if first == second:
                continue
            rows = [row for row in subject.rows if _gap(row, first, second) is not None]
            for missing in dict.fromkeys((_missing(subject, needed), needed)):
                plan = change_rows(subject.plan, rows, partial(_waiting, first, second, missing))
                minutes = f"{missing} minute{'' if missing == 1 else 's'}"
                more = " more" if missing < needed else ""
                yield Candidate(plan, WAIT, f"Wait {minutes}{more} after {first} before {second}.", missing)


def _minutes(requirement: nodes.Requirement) -> int | None:
    if isinstance(requirement, nodes.Wait):
        duration: nodes.Duration | None = requirement.duration
    elif isinstance(requirement, nodes.Separate):
        duration = requirement.apart.distance
    else:
        return None
    return duration.minutes if duration is not None and duration.by_clock else None


def _missing(subject: Subject, needed: int) -> int:
    measured = subject.finding.measured
    value = measured.value if measured is not None and measured.unit == "min" else None
    return needed - int(value) if value is not None and 0 < value < needed else needed


def _gap(row: Row, first: str, second: str) -> tuple[int, int] | None:
    """Where two products stand in a row, the second behind the first."""
    steps = row.steps
    one = [number for number, step in enumerate(steps) if first in names_of(step)]
    other = [number for number, step in enumerate(steps) if second in names_of(step) and one and number > one[0]]
    if not other:
        return None
    return max(number for number in one if number < other[0]), other[0]


def _waiting(first: str, second: str, minutes: int, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    one = next(number for number, step in enumerate(steps) if first in names_of(step))
    other = next(number for number, step in enumerate(steps) if number > one and second in names_of(step))
    return wait_before(steps, one, other, minutes)
