"""What a change of packs does to regimens, for reading and for programs."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from dermalint.regimen.model import ERROR
from dermalint.report.days import date_in_words, listed, when
from dermalint.report.json_report import finding_as_data, problem_as_data
from dermalint.report.page import Page, wrap
from dermalint.report.quotes import quote
from dermalint.report.remarks import marks_of, sentence
from dermalint.report.text_report import care, problem_note, ruled
from dermalint.verdict.compare import Changed, Impact
from dermalint.verdict.findings import POSSIBLE, Finding
from dermalint.verdict.report_model import FileResult, Review

FORMAT = "dermalint-impact/1"


def as_text(page: Page, before: Review, after: Review, impacts: Sequence[Impact]) -> str:
    """Regimens that gain, lose or see findings changed, each with these findings; the rest are counted."""
    lines: list[str] = []
    for title, review in (("With the packs before", before), ("With the packs after", after)):
        errors = [problem for problem in review.problems if problem.level == ERROR]
        if errors:
            lines += [page.paint(title, "title"), *ruled(page)]
            for problem in errors:
                lines += [*problem_note(page, problem, review.sources, ""), ""]
    for impact in impacts:
        errors = [problem for problem in impact.after.problems if problem.level == ERROR]
        if impact.any or errors or not impact.after.readable:
            lines += _regimen(page, impact)
    lines += [page.paint(line, "title") for line in wrap(in_numbers(impacts), page.width)]
    different = different_packs(before, after)
    if different:
        lines += [page.paint(line, "faint") for line in wrap(different, page.width)]
    asked = f"{after.stance} stance · as of {date_in_words(after.as_of)}"
    lines += [page.paint(line, "faint") for line in wrap(asked, page.width)]
    return page.finish([*lines, "", *care(page)])


def _regimen(page: Page, impact: Impact) -> Iterator[str]:
    result = impact.after
    title = (result.regimen or result.path) + (f", for {result.person}" if result.person else "")
    yield from (page.paint(line, "title") for line in wrap(title, page.width))
    yield from ruled(page, result.path if result.regimen else "")
    for problem in result.problems:
        if problem.level == ERROR:
            yield from problem_note(page, problem, result.sources, result.path)
            yield ""
    for finding in impact.gained:
        yield from _finding(page, "Gained", finding, result)
    for change in impact.changed:
        yield from _changed(page, change, result)
    for finding in impact.lost:
        yield from _finding(page, "Lost", finding, impact.before)


def _finding(page: Page, label: str, finding: Finding, result: FileResult) -> Iterator[str]:
    said = f"{_weight(finding)}: {finding.message}"
    yield from page.note(label, said, finding.severity if label == "Gained" else "faint", "title" if label == "Gained" else "")
    if label == "Gained":
        yield from quote(page, marks_of(finding), result.sources, result.path)
        if finding.occurs:
            yield from page.note("when", sentence(when(finding.occurs, False)))
    yield from page.note("rule", finding.rule, body="faint")
    yield ""


def _changed(page: Page, change: Changed, result: FileResult) -> Iterator[str]:
    yield from page.note("Changed", f"{_weight(change.after)}: {change.after.message}", change.after.severity, "title")
    yield from quote(page, marks_of(change.after), result.sources, result.path)
    yield from page.note("before", f"{_weight(change.before)}: {change.before.message}")
    if change.before.occurs != change.after.occurs:
        yield from page.note("when", sentence(when(change.after.occurs, False)))
        yield from page.note("before", sentence(when(change.before.occurs, False)))
    yield from page.note("rule", change.after.rule, body="faint")
    yield ""


def _weight(finding: Finding) -> str:
    return f"Possible {finding.severity}" if finding.certainty == POSSIBLE else finding.severity.capitalize()


def in_numbers(impacts: Sequence[Impact]) -> str:
    """How many regimens there are, and what becomes of them."""
    numbers = _numbers(impacts)
    regimens = f"{numbers['regimens']} regimen{'' if numbers['regimens'] == 1 else 's'}"
    if not numbers["regimens"]:
        return "No regimen was found."
    if not numbers["affected"]:
        return f"{regimens}: no finding is gained, lost or changed."
    return (
        f"{regimens}, of which {numbers['affected']} with differences: "
        f"{numbers['gained']} gained, {numbers['lost']} lost, {numbers['changed']} changed."
    )


def _numbers(impacts: Sequence[Impact]) -> dict[str, int]:
    return {
        "regimens": len(impacts),
        "affected": sum(impact.any for impact in impacts),
        "gained": sum(len(impact.gained) for impact in impacts),
        "lost": sum(len(impact.lost) for impact in impacts),
        "changed": sum(len(impact.changed) for impact in impacts),
    }


def different_packs(before: Review, after: Review) -> str:
    """The packs whose versions differ, in words."""
    old, new = ({pack.name: pack.version for pack in review.packs} for review in (before, after))
    parts = [
        f"{name} {old[name]} to {new[name]}" if name in old and name in new else f"{name} {'new' if name in new else 'gone'}"
        for name in sorted({*old, *new})
        if old.get(name) != new.get(name)
    ]
    return f"Packs: {listed(parts)}" if parts else ""


def as_json(before: Review, after: Review, impacts: Sequence[Impact]) -> str:
    """One document, ``dermalint-impact/1``; findings are as in ``dermalint-findings/1``."""
    document = {
        "format": FORMAT,
        "tool": {"version": after.version},
        "asked": {"region": after.region, "stance": after.stance, "as_of": after.as_of},
        "before": _packs(before),
        "after": _packs(after),
        "files": [_as_data(impact) for impact in impacts],
        "summary": _numbers(impacts),
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def _packs(review: Review) -> dict[str, Any]:
    return {
        "packs": [{"name": pack.name, "version": pack.version} for pack in review.packs],
        "problems": [problem_as_data(problem, review.sources, "") for problem in review.problems],
    }


def _as_data(impact: Impact) -> dict[str, Any]:
    result, before = impact.after, impact.before
    return {
        "path": result.path,
        "regimen": result.regimen,
        "person": result.person,
        "problems": [problem_as_data(problem, result.sources, result.path) for problem in result.problems],
        "gained": [finding_as_data(finding, result) for finding in impact.gained],
        "lost": [finding_as_data(finding, before) for finding in impact.lost],
        "changed": [
            {"before": finding_as_data(change.before, before), "after": finding_as_data(change.after, result)}
            for change in impact.changed
        ],
    }
