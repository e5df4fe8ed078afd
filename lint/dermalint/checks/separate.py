"""``separate A from B …`` and ``separate uses of A …``."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator

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
    rinsed = run.case.signatures.rinsed
    first = terms.matched(requirement.first, skip=rinsed & ~said_rinsed(terms, requirement.first))
    if not first:
        return
    second = terms.matched(requirement.second, skip=rinsed & ~said_rinsed(terms, requirement.second))
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
    before = apart.before if apart.within == "around" else apart.distance
    after = apart.after if apart.within == "around" else apart.distance
    minutes = [item[0].minute for item in second]
    ahead = _reach(before)
    behind = _reach(after)
    for item in first:
        use = item[0]
        for index in range(bisect_left(minutes, use.minute - behind), bisect_right(minutes, use.minute + ahead)):
            other = second[index]
            if any(limit is not None and _closer(case, use, other[0], limit) for limit in _limits(use, other[0], apart)):
                yield item, other


def _limits(use: Use, other: Use, apart: nodes.Apart) -> list[nodes.Duration | None]:
    """The distances asked: that before ``other`` where ``use`` comes first, else that after it; both in one moment.

    An event at the clock of a routine comes before its steps.
    """
    if apart.within != "around":
        return [apart.distance]
    mine, others = order_of(use), order_of(other)
    if mine == others:
        return [apart.before, apart.after]
    return [apart.before if mine < others else apart.after]


def _reach(duration: nodes.Duration | None) -> int:
    if duration is None:
        return 0
    return duration.minutes if duration.by_clock else (longest_days(duration) + 2) * DAY


def _closer(case: Case, use: Use, other: Use, limit: nodes.Duration) -> bool:
    if limit.by_clock:
        return abs(use.minute - other.minute) < limit.minutes
    return abs(use.day - other.day) < case.days_in(limit, min(use.day, other.day))


def said_rinsed(terms: Terms, term: nodes.Term) -> int:
    """The signatures that a term means by a part of it that says ``rinsed`` itself."""
    if isinstance(term, nodes.Contacted) and term.contact == "rinsed":
        return terms.masks(term)[1]
    if isinstance(term, nodes.OneOf | nodes.AllOf):
        said = 0
        for part in term.terms:
            said |= said_rinsed(terms, part)
        return said
    if isinstance(term, nodes.Named) and term.name in terms.world.groups:
        return said_rinsed(terms, terms.world.groups[term.name].term)
    inner = getattr(term, "term", None)
    return 0 if inner is None or isinstance(term, nodes.NotTerm) else said_rinsed(terms, inner)


def check_separate_uses(run: Run, requirement: nodes.SeparateUses) -> None:
    """Two applications of A on different days lie at least so far apart; told at the later one, with the nearest before it."""
    for matched in sharing(run.case.terms.matched(requirement.term), run.case.areas):
        for index, item in enumerate(matched):
            near = _nearest_before(run.case, matched, index, requirement.distance)
            if near is None:
                continue
            use, earlier = item[0], near[0]
            truth = min(_certainty(item), _certainty(near))
            run.hit(
                truth, use, (use, requirement.term), (earlier, requirement.term), value=use.minute - earlier.minute
            )


def _nearest_before(case: Case, matched: list[Matched], index: int, distance: nodes.Duration) -> Matched | None:
    """The nearest use before it, of another day, that is too near; a certain one rather than one that may not happen."""
    use = matched[index][0]
    found: Matched | None = None
    for earlier in reversed(matched[:index]):
        other = earlier[0]
        if other.day == use.day or not compatible(other, use):
            continue
        if not _closer(case, other, use, distance):
            break
        if found is None or _certainty(earlier) > _certainty(found):
            found = earlier
        if _certainty(found) == YES:
            break
    return found


def _certainty(item: Matched) -> int:
    return min(item[1], happens(item[0]))
