"""Findings of a review with proven mends, for reports that show what could be done about each."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

from dermalint.mend.document import read_document
from dermalint.mend.judging import Judges, Verdict
from dermalint.mend.mender import search
from dermalint.review import Asked, open_desk
from dermalint.verdict.findings import Finding
from dermalint.verdict.report_model import FileResult, Review
from dermalint_grammar.record import replace


def with_mends(review: Review, asked: Asked) -> Review:
    """The review with up to three proven mends for each finding in force that can be mended, with edits.

    ``asked`` is what the review was asked.  Each mend is made on the file as it was reviewed, for itself alone; findings
    without one keep their advice, which has no edits.
    """
    desk, _ = open_desk(asked)
    judges = Judges(desk)
    files: list[FileResult] = []
    for path, group in groupby(review.files, key=lambda result: result.path):
        files += _file(judges, path, list(group))
        judges.kept.clear()
    return replace(review, files=tuple(files))


def _file(judges: Judges, path: str, results: list[FileResult]) -> list[FileResult]:
    where = Path(path)
    if not all(result.readable for result in results) or judges.desk.bench.plugins.reads(where):
        return results
    try:
        document = read_document(where, path, where.read_bytes())
    except OSError:
        return results
    if not document.sound or document.source != results[0].sources.get(path):
        return results
    before = judges.verdict(document.reading)

    def filled(result: FileResult, finding: Finding, verdict: Verdict = before) -> Finding:
        key = (result.person or "", finding.id)
        if key not in verdict.found:
            return finding
        mends = tuple(proven.mend for proven in search(judges, document, verdict, key).proven)
        return replace(finding, mends=mends) if mends else finding

    return [replace(result, findings=tuple(filled(result, one) for one in result.findings)) for result in results]
