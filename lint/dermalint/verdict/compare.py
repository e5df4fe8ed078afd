"""Two reviews of the same regimens under different packs: which findings each regimen gains, loses, or has changed."""

from __future__ import annotations

from dermalint.verdict.findings import CERTAIN, SEVERITIES, Finding
from dermalint.verdict.report_model import FileResult, Review
from dermalint_grammar.record import Record

_TOLD = ("severity", "certainty", "message", "measured", "occurs", "unknown")


class Changed(Record):
    """A finding that both reviews have, and not alike."""

    before: Finding
    after: Finding

    @property
    def graver(self) -> bool:
        """Whether it weighs more than before."""
        return _weight(self.after) < _weight(self.before)


class Impact(Record):
    """What becomes of one regimen (``after`` is its result with the new packs)."""

    after: FileResult
    gained: tuple[Finding, ...]
    lost: tuple[Finding, ...]
    changed: tuple[Changed, ...]
    before: FileResult

    @property
    def any(self) -> bool:
        """Whether anything becomes of it."""
        return bool(self.gained or self.lost or self.changed)


def compare(before: Review, after: Review) -> tuple[Impact, ...]:
    """What becomes of each regimen, in the order of the second review.

    Findings that are waived or suspended do not count, so that one that a rule newly suspends is lost.  Two findings are
    the same when they are of one rule and the same products.
    """
    earlier = {(result.path, result.person): result for result in before.files}
    impacts: list[Impact] = []
    for result in after.files:
        other = earlier.get((result.path, result.person))
        if other is not None:
            impacts.append(_compare(other, result))
    return tuple(impacts)


def _compare(before: FileResult, after: FileResult) -> Impact:
    waiting: dict[tuple[str, tuple[str, ...]], list[Finding]] = {}
    for finding in before.findings:
        if _in_force(finding):
            waiting.setdefault(_same(finding), []).append(finding)
    gained: list[Finding] = []
    changed: list[Changed] = []
    for finding in after.findings:
        if not _in_force(finding):
            continue
        candidates = waiting.get(_same(finding), [])
        if not candidates:
            gained.append(finding)
            continue
        other = next((candidate for candidate in candidates if candidate.id == finding.id), candidates[0])
        candidates.remove(other)
        if any(getattr(other, name) != getattr(finding, name) for name in _TOLD):
            changed.append(Changed(other, finding))
    left = {id(finding) for findings in waiting.values() for finding in findings}
    lost = tuple(finding for finding in before.findings if id(finding) in left)
    return Impact(after, tuple(gained), lost, tuple(changed), before)


def _same(finding: Finding) -> tuple[str, tuple[str, ...]]:
    return finding.rule, tuple(sorted(finding.products))


def _weight(finding: Finding) -> tuple[int, bool]:
    return SEVERITIES.index(finding.severity), finding.certainty != CERTAIN


def _in_force(finding: Finding) -> bool:
    return finding.waived is None and finding.suspended_by is None
