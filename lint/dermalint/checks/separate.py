"""``separate A from B …`` and ``separate uses of A …``."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator

from dermalint.checks.case import Case, compatible, happens, longest_days, order_of, sharing
from dermalint.checks.run import Run
from dermalint.checks.terms import Matched, Terms
from dermalint.timeline.clock import DAY
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, YES
from dermalint_grammar import nodes


def check_separate(run: Run, requirement: nodes.Separate) -> None:
    """No application of A near one of B from another product, on shared skin; rinsed ones only where a term says so."""
    terms = run.case.terms
    first = terms.anchors(requirement.first, skip=_rinsed(terms, requirement.first))
    if not first:
        return
    second = terms.matched(requirement.second, skip=_rinsed(terms, requirement.second))
    if not second:
        return
    apart = requirement.apart
    pairs = _same(first, second, apart.within) if apart.within in ("routine", "day") else _near(run.case, first, second, apart)
    for one, other in pairs:
        truth = run.pairing.truth(one, other)
        if truth == NO:
            continue
        use, partner = one[0], other[0]
        anchor = use if use.application is not None else partner
        run.hit(
            truth, anchor, (use, requirement.first), (partner, requirement.second), value=abs(use.minute - partner.minute)
        )


def _same(first: list[Matched], second: list[Matched], within: str) -> Iterator[tuple[Matched, Matched]]:
    by_place: dict[int, list[Matched]] = {}
    for item in second:
        by_place.setdefault(_place(item[0], within), []).append(item)
    for item in first:
        for other in by_place.get(_place(item[0], within), ()):
            yield item, other


def _place(use: Use, within: str) -> int:
    # Events have no routine of their own: they fall into the day.
    return use.day if within == "day" else use.routine or -1 - use.day


def _near(case: Case, first: list[Matched], second: list[Matched], apart: nodes.Apart) -> Iterator[tuple[Matched, Matched]]:
    """Pairs closer than asked: ``before`` counts how long before a B no A may be, ``after`` how long after it."""
    around = apart.within == "around"
    before = apart.before if around else apart.distance
    after = apart.after if around else apart.distance
    minutes = [item[0].minute for item in second]
    ahead = _reach(before)
    behind = _reach(after)
    closer_before, closer_after = _closer(case, before), _closer(case, after)
    for item in first:
        use = item[0]
        for other in second[bisect_left(minutes, use.minute - behind) : bisect_right(minutes, use.minute + ahead)]:
            if around:
                # Of one moment both count; an event at the clock of a routine comes before its steps.
                mine, others = order_of(use), order_of(other[0])
                near = (mine <= others and closer_before(use, other[0])) or (mine >= others and closer_after(use, other[0]))
            else:
                near = closer_before(use, other[0])
            if near:
                yield item, other


def _reach(duration: nodes.Duration | None) -> int:
    if duration is None:
        return 0
    return duration.minutes if duration.by_clock else (longest_days(duration) + 2) * DAY


def _closer(case: Case, distance: nodes.Duration | None) -> Callable[[Use, Use], bool]:
    """Whether two uses are nearer than a distance; without one none are."""
    if distance is None:
        return lambda *_: False
    if distance.by_clock:
        minutes = distance.minutes
        return lambda use, other: abs(use.minute - other.minute) < minutes
    if case.regimen.starts is None or distance.unit not in (nodes.Unit.MONTH, nodes.Unit.YEAR):
        days = distance.days
        return lambda use, other: abs(use.day - other.day) < days
    return lambda use, other: abs(use.day - other.day) < case.days_in(distance, min(use.day, other.day))


def _rinsed(terms: Terms, term: nodes.Term) -> int:
    """The rinsed signatures, but for those that a term means by a part of it that says ``rinsed`` itself."""
    rinsed = terms.signatures.contacts.get("rinsed", 0)
    for part in terms.said.rinsed_parts(term):
        rinsed &= ~terms.masks(part)[1]
    return rinsed


def check_separate_uses(run: Run, requirement: nodes.SeparateUses) -> None:
    """Two applications of A on different days lie at least so far apart; told at the later one, with the nearest before it."""
    closer = _closer(run.case, requirement.distance)
    for matched in sharing(run.case.terms.matched(requirement.term), run.case.areas):
        for index, item in enumerate(matched):
            if not run.case.line.judged(item[0].day):
                continue
            near = _nearest_before(matched, index, closer)
            if near is None:
                continue
            use, earlier = item[0], near[0]
            truth = min(_certainty(item), _certainty(near))
            run.hit(
                truth, use, (use, requirement.term), (earlier, requirement.term), value=use.minute - earlier.minute
            )


def _nearest_before(matched: list[Matched], index: int, closer: Callable[[Use, Use], bool]) -> Matched | None:
    """The nearest use before it, of another day, that is too near; a certain one rather than one that may not happen."""
    use = matched[index][0]
    found: Matched | None = None
    for earlier in reversed(matched[:index]):
        other = earlier[0]
        if other.day == use.day or not compatible(other, use):
            continue
        if not closer(other, use):
            break
        if found is None or _certainty(earlier) > _certainty(found):
            found = earlier
        if _certainty(found) == YES:
            break
    return found


def _certainty(item: Matched) -> int:
    return min(item[1], happens(item[0]))
