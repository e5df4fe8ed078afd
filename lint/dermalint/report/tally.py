"""What a review comes to in numbers, which of its findings count, and which a report is to show."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from dermalint.regimen.model import ERROR, Problem
from dermalint.verdict.findings import POSSIBLE, SEVERITIES, Finding
from dermalint.verdict.report_model import FileResult, Review
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
    seen: set[tuple[str, Problem]] = set()
    for result in review.files:
        for problem in result.problems:
            if (result.path, problem) not in seen:
                seen.add((result.path, problem))
                yield problem


def count(review: Review) -> Tally:
    """Count a review."""
    severities = dict.fromkeys(SEVERITIES, 0)
    possible = waived = suspended = 0
    for result in review.files:
        for finding in result.findings:
            if finding.suspended_by is not None:
                suspended += 1
            elif finding.waived is not None:
                waived += 1
            elif finding.certainty == POSSIBLE:
                possible += 1
            else:
                severities[finding.severity] += 1
    problems = list(all_problems(review))
    errors = sum(problem.level == ERROR for problem in problems)
    return Tally(
        files=len({result.path for result in review.files}),
        unreadable=len({result.path for result in review.files if not result.readable}),
        avoid=severities["avoid"],
        caution=severities["caution"],
        advice=severities["advice"],
        possible=possible,
        waived=waived,
        suspended=suspended,
        errors=errors,
        hints=len(problems) - errors,
    )


def without_possible(review: Review) -> Review:
    """The review without the findings that are only possible; waived and suspended ones stay, they are listed apart."""
    return _keep(review, lambda _, finding: not in_force(finding) or finding.certainty != POSSIBLE)


def only_what_fails(review: Review, fails: Callable[[FileResult, Finding], bool]) -> Review:
    """The review cut down to errors and the findings for which ``fails`` holds there: no hints, nothing waived."""
    kept = _keep(review, fails)
    files = tuple(replace(result, problems=_errors(result.problems)) for result in kept.files)
    return replace(kept, problems=_errors(kept.problems), files=files)


def _errors(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    return tuple(problem for problem in problems if problem.level == ERROR)


def _keep(review: Review, wanted: Callable[[FileResult, Finding], bool]) -> Review:
    def cut(result: FileResult) -> FileResult:
        return replace(result, findings=tuple(finding for finding in result.findings if wanted(result, finding)))

    return replace(review, files=tuple(cut(result) for result in review.files))
