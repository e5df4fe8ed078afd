"""``wait 10 minutes after A before B``."""

from __future__ import annotations

from dermalint.checks.case import Case, order_of
from dermalint.checks.moments import Happening, built_in, happenings, is_event
from dermalint.checks.run import Run
from dermalint.checks.terms import Matched
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint_grammar import nodes


def check_wait(run: Run, requirement: nodes.Wait) -> None:
    """The minutes from the end of an A to a later B of its routine; around events, to the event or from it."""
    first, second = requirement.first, requirement.second
    if is_event(first) or is_event(second):
        _wait_for_event(run, requirement)
        return
    case = run.case
    later: dict[int, list[Matched]] = {}
    for item in case.terms.anchors(second):
        later.setdefault(item[0].routine, []).append(item)
    if not later:
        return
    needed = requirement.duration.minutes
    for item in case.terms.anchors(first):
        use = item[0]
        for other in later.get(use.routine, ()):
            partner = other[0]
            if partner.position <= use.position:
                continue
            gap = partner.minute - use.end
            if gap >= needed:
                continue
            truth = run.pairing.truth(item, other)
            if partner.dry_waits > use.dry_waits:
                truth = min(truth, UNKNOWN)  # nobody wrote how long "until the skin is dry" takes
            run.hit(truth, use, (use, first), (partner, second), value=max(gap, 0))


def _wait_for_event(run: Run, requirement: nodes.Wait) -> None:
    """Each event and the last application of each product before it (each one after it), over days if need be."""
    case = run.case
    needed = requirement.duration
    event_last = is_event(requirement.second)
    events, others = (requirement.second, requirement.first) if event_last else (requirement.first, requirement.second)
    stated = [event for event in happenings(case, events) if event.stated]
    items = [item for item in happenings(case, others) if item.stated] if stated else []
    for event in stated:
        for item in items:
            gap = event.minute - item.end if event_last else item.minute - event.end
            if gap < 0 or not _short(case, gap, needed, event, item):
                continue
            if event.use is not None and item.use is not None and (order_of(item.use) > order_of(event.use)) is event_last:
                continue  # of one minute the event comes first
            if event_last and item.use is not None and _again(item.use, event.minute, items):
                continue
            truth = min(event.truth, item.truth)
            if event.area is not None and item.area is not None:
                truth = min(truth, case.areas.overlap(event.area, item.area))
            if truth == NO or item.use is None:
                continue
            beside = () if event.use is None else ((event.use, events),)
            run.hit(truth, item.use, (item.use, others), *beside, value=gap, note=built_in(requirement.second) or "")


def _short(case: Case, gap: int, needed: nodes.Duration, event: Happening, item: Happening) -> bool:
    if needed.by_clock:
        return gap < needed.minutes
    return abs(event.day - item.day) < case.days_in(needed, min(event.day, item.day))


def _again(use: Use, until: int, items: list[Happening]) -> bool:
    """Whether the same product surely goes on again before the event: the later application is the one told."""
    return any(
        other.use is not None
        and other.use.product == use.product
        and other.minute <= until
        and other.truth == YES
        and order_of(use) < order_of(other.use)
        for other in items
    )
