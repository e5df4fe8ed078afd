"""``use A for at most 8 weeks``: unbroken courses."""

from __future__ import annotations

from dermalint.checks.case import happens
from dermalint.checks.run import Run, counted_together, doubts_of
from dermalint.checks.terms import Matched
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison

PAUSE_THAT_ENDS = 7  # more days without use than these end a course


def check_course(run: Run, requirement: nodes.UseFor) -> None:
    """No course is longer (or, with ``at least``, shorter) than asked; a course in an endless phase has no end."""
    pause = run.rule.pauses.days if run.rule.pauses is not None else PAUSE_THAT_ENDS
    for matched in counted_together(run, requirement.term, requirement.bound):
        told: set[int] = set()
        everything = [item for item in matched if _truth(run, item) != NO]
        longest = _courses(everything, pause)
        shortest = _fewest(everything) if requirement.bound is Comparison.AT_LEAST else [everything]
        certain = [item for item in everything if _truth(run, item) == YES]
        for certainty, items in [(YES, certain), *((UNKNOWN, items) for items in shortest)]:
            here: set[int] = set()
            for course in _courses(items, pause):
                broken, length = _measure(run, requirement, course, pause)
                if not broken:
                    continue
                truth = certainty
                if requirement.bound is Comparison.AT_LEAST and certainty == YES:
                    day = course[0][0].day
                    around = next(other for other in longest if other[0][0].day <= day <= other[-1][0].day)
                    if not _measure(run, requirement, around, pause)[0]:
                        truth = UNKNOWN  # with what is used, or meant, only perhaps it is long enough
                for use, _, _ in course:
                    if use.kind not in told:
                        run.hit(truth, use, (use, requirement.term), value=length)
                here.update(use.kind for use, _, _ in course)
            told |= here


def _truth(run: Run, item: Matched) -> int:
    return min(item[1], happens(item[0]), run.holds(item[0]))


def _fewest(everything: list[Matched]) -> list[list[Matched]]:
    """For each doubt, what there is when it is resolved and no other is: the shortest courses lie there.

    Doubts are whether a product is meant, whether an ``only-if`` holds and whether an as-needed step is done; what depends on
    fewer of the same doubts is there too.
    """
    doubts = [(item, doubts_of(item)) for item in everything]
    distinct = dict.fromkeys(doubt for _, doubt in doubts)  # an empty one has what only the rule's own clauses leave open
    return [[item for item, less in doubts if less <= doubt] for doubt in sorted(distinct, key=len)]


def _courses(items: list[Matched], pause: int) -> list[list[Matched]]:
    courses: list[list[Matched]] = []
    last: int | None = None
    for item in items:
        day = item[0].day
        if last is None or day - last - 1 > pause:
            courses.append([])
        courses[-1].append(item)
        last = day
    return courses


def _measure(run: Run, requirement: nodes.UseFor, course: list[Matched], pause: int) -> tuple[bool, int | None]:
    """Whether a course breaks the rule, and its days; None for one that never ends."""
    line = run.case.line
    first, last = course[0][0].day, course[-1][0].day
    begin = min([first, *_history(run, requirement, first, pause)])
    # Laid-out days reach beyond the steady stretch, so a course still running there never ends.
    endless = line.steady_from is not None and line.judged_until - 1 - last <= pause and last >= line.steady_from
    if line.circular:
        endless = endless and first - line.first <= pause
    length = last - begin + 1
    limit = run.case.days_in(requirement.duration, begin)
    if requirement.bound is Comparison.AT_MOST:
        return endless or length > limit, None if endless else length
    return not endless and length < limit, None if endless else length


def _history(run: Run, requirement: nodes.UseFor, first: int, pause: int) -> list[int]:
    """The first days of uses in the history that run into a course beginning on ``first``."""
    case = run.case
    begins: list[int] = []
    for past in case.past_uses():
        if past.since is None or case.past_mask(requirement.term, past) == NO:
            continue
        until = -1 if past.until is None else (past.until - case.origin).days
        if first - until - 1 <= pause:
            begins.append((past.since - case.origin).days)
    return begins
