"""Which findings make a run fail, and with which exit status it ends."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from dermalint.regimen.model import ERROR
from dermalint.report.tally import all_problems, in_force
from dermalint.verdict.findings import POSSIBLE, SEVERITIES, Finding
from dermalint.verdict.report_model import FileResult, Review

if TYPE_CHECKING:
    from dermalint.settings.model import Settings

WELL, FINDINGS, UNREAD, FAULT = 0, 1, 2, 3
FAIL_AT = "caution"


Fails = Callable[[FileResult, Finding], bool]
"""Whether a finding in a file makes the run fail."""


def failing(fail_at: str | None, possible: str, settings: Settings | None = None) -> Fails:
    """Whether a finding makes the run fail.

    Certain ones do at or above ``fail_at`` ("never": none does; None: as settings say for the file, else from caution on);
    possible ones only where ``possible`` is "fail"; waived and suspended ones never.
    """

    def fails(result: FileResult, finding: Finding) -> bool:
        if not in_force(finding) or (finding.certainty == POSSIBLE and possible != "fail"):
            return False
        level = fail_at or (settings.part_for(result.path).fail_at if settings else None) or FAIL_AT
        return level in SEVERITIES and SEVERITIES.index(finding.severity) <= SEVERITIES.index(level)

    return fails


def exit_status(review: Review, fails: Fails) -> int:
    """3 for a plugin at fault, else 2 where something was not read (or there was nothing to read), else 1 or 0."""
    errors = [problem for problem in all_problems(review) if problem.level == ERROR]
    if any(problem.plugin is not None for problem in errors):
        return FAULT
    if errors or not review.files or not all(result.readable for result in review.files):
        return UNREAD
    return FINDINGS if any(fails(result, finding) for result in review.files for finding in result.findings) else WELL
