"""What a review comes to in numbers, which of its findings count, and which a report is to show."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from dermalint.regimen.model import ERROR, Problem
from dermalint.verdict.findings import POSSIBLE, SEVERITIES, Finding
from dermalint.verdict.report_model import FileResult, Review
from dermalint.verdict.stored import changed
from dermalint_grammar.record import Record, replace


class Tally(Record):
    """Counts over a whole review.

    ``files`` and ``unreadable`` count files, not people.  ``avoid``, ``caution`` and ``advice`` count certain findings that are
    neither waived nor suspended; ``possible`` those that are only possible.
    """

    files: int
    unreadable: int
    avoid: int
    caution: int
    advice: int
    possible: int
    waived: int
    suspended: int
    errors: int
    hints: int


def in_force(finding: Finding) -> bool:
    """Whether a finding counts: neither waived nor suspended."""
    return finding.waived is None and finding.suspended_by is None


def all_problems(review: Review) -> Iterator[Problem]:
    """The problems of no file, then each file's; what several people of one file share comes once."""
    yield from review.problems
    path, seen = None, set[Problem]()  # the people of a file stand behind one another
    for result in review.files:
        if result.path != path:
            path, seen = result.path, set()
        yield from unsaid(result.problems, seen)


def unsaid(problems: Iterable[Problem], seen: set[Problem]) -> Iterator[Problem]:
    """The problems that were not seen before; they are now."""
    for problem in problems:
        if problem not in seen:
            seen.add(problem)
            yield problem


def count(review: Review) -> Tally:
    """Count a review."""
    severities = dict.fromkeys(SEVERITIES, 0)
    possible = waived = suspended = errors = hints = files = unreadable = 0
    path, seen = None, set[Problem]()
    for problem in review.problems:
        errors, hints = (errors + 1, hints) if problem.level == ERROR else (errors, hints + 1)
    for result in review.files:
        if result.path != path:
            path, seen = result.path, set()
            files += 1
            unreadable += not result.readable
        for problem in unsaid(result.problems, seen):
            errors, hints = (errors + 1, hints) if problem.level == ERROR else (errors, hints + 1)
        for finding in result.findings:
            if finding.suspended_by is not None:
                suspended += 1
            elif finding.waived is not None:
                waived += 1
            elif finding.certainty == POSSIBLE:
                possible += 1
            else:
                severities[finding.severity] += 1
    return Tally(
        files=files,
        unreadable=unreadable,
        avoid=severities["avoid"],
        caution=severities["caution"],
        advice=severities["advice"],
        possible=possible,
        waived=waived,
        suspended=suspended,
        errors=errors,
        hints=hints,
    )


def without_possible(review: Review) -> Review:
    """The review without the findings that are only possible; waived and suspended ones stay, they are listed apart."""
    return _keep(review, lambda _, finding: not in_force(finding) or finding.certainty != POSSIBLE)


def only_what_fails(review: Review, fails: Callable[[FileResult, Finding], bool]) -> Review:
    """The review cut down to errors and the findings for which ``fails`` holds there: no hints, nothing waived."""
    kept = _keep(review, fails)
    files = changed(kept.files, lambda result: replace(result, problems=_errors(result.problems)))
    return replace(kept, problems=_errors(kept.problems), files=files)


def _errors(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    return tuple(problem for problem in problems if problem.level == ERROR)


def _keep(review: Review, wanted: Callable[[FileResult, Finding], bool]) -> Review:
    def cut(result: FileResult) -> FileResult:
        return replace(result, findings=tuple(finding for finding in result.findings if wanted(result, finding)))

    return replace(review, files=changed(review.files, cut))
