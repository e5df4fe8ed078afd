"""The review as one JSON document, ``dermalint-findings/1``; its schema is ``findings.schema.json`` in this folder."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from typing import Any

from dermalint.regimen.model import Problem
from dermalint.report.tally import Tally, count
from dermalint.spans import Place, SourceText
from dermalint.verdict.findings import Finding, Match, Measured, Mend, Occurrence, Related, Waived
from dermalint.verdict.report_model import FileResult, Review
from dermalint_grammar.record import replace

FORMAT = "dermalint-findings/1"

_Sources = Mapping[str, SourceText]
_Json = dict[str, Any]


def render(review: Review, tally: Tally | None = None) -> str:
    """The document as text: two spaces of indentation, nothing escaped that need not be, one line end at the end.

    ``tally`` gives the counts where the review at hand shows less than was found (``--possible hide``).
    """
    return "".join(pieces(review, tally))


def pieces(review: Review, tally: Tally | None = None) -> Iterator[str]:
    """The same text piece by piece, so that of very many files only one is in memory."""
    whole = document(replace(review, files=()), tally or count(review))
    between = '"files": []'
    head, _, tail = _written(whole, 0).rpartition(between)
    yield head + between[:-1]
    first = True
    for result in review.files:
        yield ("" if first else ",") + "\n    " + _written(_file(result), 2)
        first = False
    yield ("" if first else "\n  ") + "]" + tail + "\n"


def _written(part: _Json, depth: int) -> str:
    """A part of the document as it stands so many levels down; a line end inside a text is written as an escape."""
    return json.dumps(part, indent=2, ensure_ascii=False).replace("\n", "\n" + "  " * depth)


def document(review: Review, tally: Tally | None = None) -> _Json:
    """The document as plain data, keys in the order of the contract."""
    counts = tally or count(review)
    return {
        "format": FORMAT,
        "tool": {"version": review.version},
        "packs": [{"name": pack.name, "version": pack.version} for pack in review.packs],
        "asked": {"region": review.region, "stance": review.stance, "as_of": review.as_of},
        "problems": [problem_as_data(problem, review.sources, "") for problem in review.problems],
        "files": [_file(result) for result in review.files],
        "summary": {
            "files": counts.files,
            "unreadable": counts.unreadable,
            "avoid": counts.avoid,
            "caution": counts.caution,
            "advice": counts.advice,
            "possible": counts.possible,
            "waived": counts.waived,
        },
    }


def _file(result: FileResult) -> _Json:
    return {
        "path": result.path,
        "regimen": result.regimen,
        "person": result.person,
        "region": result.region,
        "stance": result.stance,
        "problems": [problem_as_data(problem, result.sources, result.path) for problem in result.problems],
        "findings": [finding_as_data(finding, result) for finding in result.findings],
    }


def problem_as_data(problem: Problem, sources: Mapping[str, SourceText], own: str) -> dict[str, Any]:
    """A problem as both documents, findings and rules, tell it; ``own`` is the path that a place without one means."""
    shown: _Json = {
        "level": problem.level,
        "message": problem.message,
        "suggestion": problem.suggestion,
        "where": None if problem.place is None else _where(problem.place, sources, own),
    }
    if problem.pack is not None:
        shown["pack"] = problem.pack
    if problem.plugin is not None:
        shown["plugin"] = problem.plugin
    return shown


def finding_as_data(finding: Finding, result: FileResult) -> dict[str, Any]:
    """A finding as every document of findings has it."""
    return {
        "rule": finding.rule,
        "severity": finding.severity,
        "topic": finding.topic,
        "certainty": finding.certainty,
        "unknown": list(finding.unknown),
        "message": finding.message,
        "why": finding.why,
        "advise": finding.advise,
        "sources": list(finding.sources),
        "disputed": finding.disputed,
        "products": list(finding.products),
        "where": _where(finding.where, result.sources, result.path),
        "related": [_related(related, result) for related in finding.related],
        "occurs": [_occurrence(occurrence) for occurrence in finding.occurs],
        "matched": [_match(match) for match in finding.matched],
        "measured": _measured(finding.measured),
        "mends": [_mend(mend) for mend in finding.mends],
        "id": finding.id,
        "group": finding.group,
        "waived": _waived(finding.waived),
        "suspended_by": finding.suspended_by,
    }


def _where(place: Place, sources: _Sources, own: str) -> _Json | None:
    """A place as lines and columns; None where its text is not at hand (a file that could not be decoded)."""
    path = place.path or own
    source = sources.get(path)
    if source is None:
        return None
    start, end = source.position(place.start), source.position(place.end)
    shown: _Json = {
        "line": start.line,
        "column": start.column,
        "end_line": end.line,
        "end_column": end.column,
        "pointer": place.pointer,
    }
    if path != own:
        shown["path"] = path
    return shown


def _related(related: Related, result: FileResult) -> _Json:
    where = _where(related.place, result.sources, result.path)
    return {**(where or {"pointer": related.place.pointer}), "note": related.note}


def _occurrence(occurrence: Occurrence) -> _Json:
    shown: _Json = {
        "phase": occurrence.phase,
        "day": occurrence.day,
        "weekday": occurrence.weekday,
        "slot": occurrence.slot,
        "repeats": None if occurrence.repeats is None else f"{occurrence.repeats} day{'s' if occurrence.repeats != 1 else ''}",
    }
    if occurrence.date is not None:
        shown["date"] = occurrence.date
    return shown


def _match(match: Match) -> _Json:
    return {"product": match.product, "as": match.term, "through": match.through}


def _measured(measured: Measured | None) -> _Json | None:
    if measured is None:
        return None
    value = measured.value
    if value is not None and not math.isfinite(value):
        value = None  # JSON has no number for what has no end
    return {"quantity": measured.quantity, "value": value, "unit": measured.unit, "required": measured.required}


def _mend(mend: Mend) -> _Json:
    return {"say": mend.say, "edits": [{"start": edit.start, "end": edit.end, "text": edit.text} for edit in mend.edits]}


def _waived(waived: Waived | None) -> _Json | None:
    return None if waived is None else {"reason": waived.reason, "by": waived.by, "until": waived.until}
