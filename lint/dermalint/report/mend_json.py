"""Mends for programs: ``dermalint-mends/1``; its schema is ``mend.schema.json`` in this folder."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from dermalint import __version__
from dermalint.mend.clash import Clash
from dermalint.mend.mender import Proven
from dermalint.mend.whole import Change, Outcome
from dermalint.packs.model import PackSet
from dermalint.report.json_report import problem_as_data
from dermalint.report.mend_report import difference
from dermalint.report.remarks import CARE
from dermalint.review import Asked
from dermalint.verdict.findings import Finding

FORMAT = "dermalint-mends/1"

_Json = dict[str, Any]


def file_as_data(outcome: Outcome, clashes: Sequence[Clash], sentences: Mapping[str, str]) -> _Json:
    """What came of one file; ``sentences`` are the rules' own, by their full names."""
    before, after = outcome.document, outcome.result
    return {
        "path": before.shown,
        "changes": [_change(change) for change in outcome.changes],
        "left": [_finding(finding, None) for finding in outcome.skipped],
        "not_mended": [
            _clash(found.key[0], clash, sentences) for found, clash in zip(outcome.left, clashes, strict=True)
        ],
        "diff": "\n".join(difference(before.source.text, after.source.text, before.shown)),
    }


def document(files: Sequence[_Json], failed: Sequence[str], asked: Asked, packs: PackSet, *, wrote: bool) -> str:
    """The whole document as text; ``failed`` says what could not be read, written or mended."""
    changes = sum(len(one["changes"]) for one in files)
    whole: _Json = {
        "format": FORMAT,
        "tool": {"version": __version__},
        "packs": [{"name": pack.name, "version": pack.version} for pack in packs.packs],
        "asked": {"region": asked.region, "stance": asked.stance, "as_of": asked.as_of.isoformat() if asked.as_of else None},
        "problems": [problem_as_data(problem, packs.sources, "") for problem in packs.problems],
        "written": wrote and changes > 0,
        "files": list(files),
        "failed": list(failed),
        "summary": {"files": len(files), "changes": changes, "not_mended": sum(len(one["not_mended"]) for one in files)},
        "care": CARE,
    }
    return json.dumps(whole, ensure_ascii=False, indent=2) + "\n"


def _change(change: Change) -> _Json:
    return {
        "number": change.number,
        "for": _finding(change.finding, change.chosen.key[0]),
        **_proven(change.chosen),
        "others": [{"pick": f"{change.number}{letter}", **_proven(other)} for letter, other in change.others],
    }


def _proven(proven: Proven) -> _Json:
    edits = [{"start": edit.start, "end": edit.end, "text": edit.text} for edit in proven.mend.edits]
    return {"say": proven.mend.say, "moved": proven.gone, "edits": edits}


def _finding(finding: Finding, person: str | None) -> _Json:
    return {
        "rule": finding.rule,
        "id": finding.id,
        "person": person or None,
        "severity": finding.severity,
        "certainty": finding.certainty,
        "message": finding.message,
    }


def _clash(person: str, clash: Clash, sentences: Mapping[str, str]) -> _Json:
    return {
        "finding": _finding(clash.finding, person),
        "sentence": sentences.get(clash.finding.rule),
        "clashes": [{"rule": rule, "sentence": sentences.get(rule)} for rule in clash.rules],
        "tried": [{"say": say, "rule": rule} for say, rule in clash.examples],
        "reasons": list(clash.reasons),
        "products": list(clash.products),
        "complete": clash.complete,
    }
