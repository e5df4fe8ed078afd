"""Which findings make a run fail, and with which exit status it ends."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.tally import in_force
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
    status = WELL if review.files else UNREAD
    for problem in review.problems:
        status = max(status, _weight(problem))
    for result in review.files:  # once only, as very many of them are on the disk
        if not result.readable:
            status = max(status, UNREAD)
        for problem in result.problems:
            status = max(status, _weight(problem))
        if status < FINDINGS and any(fails(result, finding) for finding in result.findings):
            status = FINDINGS
    return status


def _weight(problem: Problem) -> int:
    if problem.level != ERROR:
        return WELL
    return FAULT if problem.plugin is not None else UNREAD
