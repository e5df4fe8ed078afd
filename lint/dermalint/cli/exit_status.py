"""Which findings make a run fail, and with which exit status it ends."""

from __future__ import annotations

from collections.abc import Callable

from dermalint.regimen.model import ERROR
from dermalint.report.tally import all_problems, in_force
from dermalint.verdict.findings import POSSIBLE, SEVERITIES, Finding
from dermalint.verdict.report_model import Review

WELL, FINDINGS, UNREAD, FAULT = 0, 1, 2, 3


def failing(fail_at: str, possible: str) -> Callable[[Finding], bool]:
    """Whether a finding makes the run fail.

    Certain ones do at or above ``fail_at`` ("never": none does); possible ones only where ``possible`` is "fail"; waived and
    suspended ones never.
    """
    grave = SEVERITIES[: SEVERITIES.index(fail_at) + 1] if fail_at in SEVERITIES else ()

    def fails(finding: Finding) -> bool:
        counts = finding.certainty != POSSIBLE or possible == "fail"
        return counts and in_force(finding) and finding.severity in grave

    return fails


def exit_status(review: Review, fails: Callable[[Finding], bool]) -> int:
    """3 for a plugin at fault, else 2 where something was not read (or there was nothing to read), else 1 or 0."""
    errors = [problem for problem in all_problems(review) if problem.level == ERROR]
    if any(problem.plugin is not None for problem in errors):
        return FAULT
    if errors or not review.files or not all(result.readable for result in review.files):
        return UNREAD
    return FINDINGS if any(fails(finding) for result in review.files for finding in result.findings) else WELL
