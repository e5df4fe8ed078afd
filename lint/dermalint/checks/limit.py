"""``limit MEASURE of A …``: what is in a product, or in all products of a routine together."""

from __future__ import annotations

from dermalint.checks.case import happens
from dermalint.checks.contents import Range
from dermalint.checks.explain import number_text
from dermalint.checks.run import Run, counted_together, doubts_of
from dermalint.checks.terms import Matched, compare
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, UNKNOWN, YES, negate
from dermalint_grammar import nodes


def check_limit(run: Run, requirement: nodes.Limit) -> None:
    """The measure of every product that is A and is used; added up over a routine or a day with ``total … per``."""
    case = run.case
    if requirement.total and requirement.per is not None:
        for group in counted_together(run, requirement.term, requirement.bound):
            _check_total(run, requirement, group)
        return
    signatures = case.signatures
    judged: dict[int, tuple[int, Range | None]] = {}
    for use, truth, _ in case.terms.anchors(requirement.term):
        number = use.signature
        if number not in judged:
            found = case.terms.measured(signatures.items[number], requirement.term, requirement.measure.text)
            judged[number] = _broken(found, requirement), found
        broken, found = judged[number]
        value = found.low if found and found.exact is not None else None
        run.hit(min(truth, broken), use, (use, requirement.term), value=value, note=_between(found))


def _between(found: Range | None) -> str:
    """``between 0.86 and 0.98``, of a measure that is known to lie between two figures."""
    if found is None or found.exact is not None or found.high is None:
        return ""
    return f"between {number_text(found.low)} and {number_text(found.high)}"


def _broken(found: Range | None, requirement: nodes.Limit) -> int:
    if found is None:
        return NO  # the measure does not apply, or nobody has to state it
    return negate(compare(found, requirement.bound, requirement.quantity.value))


def _check_total(run: Run, requirement: nodes.Limit, matched: list[Matched]) -> None:
    case = run.case
    places: dict[int, list[Matched]] = {}
    for item in matched:
        places.setdefault(item[0].day if requirement.per == "day" else item[0].routine, []).append(item)
    for together in places.values():
        items = together[_first_asked(run, together) :]
        low, high, used = 0, 0, NO
        open_end = False
        uses: dict[str, tuple[Use, nodes.Term]] = {}
        for use, truth, _ in items:
            number = use.signature
            found = case.terms.measured(case.signatures.items[number], requirement.term, requirement.measure.text)
            if found is None:
                continue
            truth = min(truth, happens(use))
            used = max(used, truth)
            uses.setdefault(use.product, (use, requirement.term))
            if truth == YES:
                low += found.low
            if found.high is None:
                open_end = True
            else:
                high += found.high
        if used == NO:
            continue
        total = Range(low, None if open_end else max(high, low))
        # Where perhaps none is used, perhaps nothing is too little; where the first may happen, perhaps the next is not asked.
        broken = min(used, _broken(total, requirement), YES if items[0] is together[0] else UNKNOWN)
        value = total.low if total.exact is not None or broken != UNKNOWN else None
        run.hit(broken, items[0][0], *uses.values(), value=value)


def _first_asked(run: Run, items: list[Matched]) -> int:
    """The application at which the clauses are asked: the first, or where they do not hold there and it may not happen, a later
    one that may happen without it."""
    passed: list[frozenset[object]] = []
    for index, item in enumerate(items):
        doubts = doubts_of(item)
        if not doubts or (run.holds(item[0]) != NO and not any(less <= doubts for less in passed)):
            return index
        passed.append(doubts)
    return 0
