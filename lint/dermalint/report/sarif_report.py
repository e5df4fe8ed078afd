"""The review as OASIS SARIF 2.1.0 (with Approved Errata 01), for viewers and services that collect reports.

How a review maps to it:

- A certain finding has ``kind`` fail and the level error (avoid), warning (caution) or note (advice).
- A possible finding has ``kind`` open, which SARIF means for "not enough information to decide", and therefore the level
  none (section 3.27.9); its severity stands among its properties.  Where possible findings fail the run, they fail here too.
- A waiver stands in the regimen, so it is an ``inSource`` suppression; a rule that suspends another stands in a pack, and
  known findings in a record of their own, so these are ``external`` ones.  All are accepted.  Every result has the
  list, as SARIF wants of a run that knows of suppressions.
- Rules are listed in the driver, where every consumer looks for them, and packs as extensions with their versions.
- What is wrong with a file is a notification on execution, what is wrong with a pack or plugin one on configuration.
- Nothing tells the time, the machine or the command line: the same files give the same document.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.days import listed, when
from dermalint.report.plain_data import Stretch, clean, stretch, uri, written
from dermalint.report.remarks import CARE, counted_as, measured_against, sentence
from dermalint.spans import Place, SourceText
from dermalint.verdict.findings import POSSIBLE, SEVERITIES, Finding, Mend
from dermalint.verdict.report_model import FileResult, Review

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS = {"avoid": "error", "caution": "warning", "advice": "note"}
ENDINGS = {
    0: "Nothing at or above the severity that fails.",
    1: "Findings.",
    2: "Something could not be read; the findings of what was read are here.",
    3: "A fault inside the tool or a plugin.",
}
NOTIFICATIONS = {
    "mistake-in-file": "A mistake in a regimen file: what it concerns was not checked.",
    "hint-on-file": "A hint on a regimen file; it changes nothing else.",
    "mistake-in-pack": "A rule pack or plugin that does not load or work.",
}

_Json = dict[str, Any]
_LOOKS_LIKE_LINK = re.compile(r"\[[^]]*\]\(")
_LOOKS_LIKE_PLACEHOLDER = re.compile(r"\{[0-9]+\}")


def render(review: Review, status: int, possible_fails: bool = False) -> str:
    """The document as text; ``status`` is the exit status of the run."""
    return written(document(review, status, possible_fails))


def document(review: Review, status: int, possible_fails: bool = False) -> _Json:
    """The document as plain data: one run."""
    rules = _rules(review)
    numbers = {rule["id"]: number for number, rule in enumerate(rules)}
    artifacts = _Artifacts()
    for result in review.files:
        artifacts.number(result.path)
    results = [
        _result(finding, file, numbers[clean(finding.rule)], artifacts, possible_fails)
        for file in review.files
        for finding in file.findings
    ]
    execution, configuration = _notifications(review, artifacts)
    return {
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {"driver": _driver(review, rules), "extensions": _packs(review)},
                "language": "en",
                "invocations": [
                    {
                        "executionSuccessful": status in (0, 1),
                        "exitCode": status,
                        "exitCodeDescription": ENDINGS.get(status, ""),
                        "toolExecutionNotifications": execution,
                        "toolConfigurationNotifications": configuration,
                    }
                ],
                "artifacts": artifacts.listed(),
                "columnKind": "unicodeCodePoints",
                "newlineSequences": ["\r\n", "\n", "\r"],
                "results": results,
                "properties": {"asked": {"region": review.region, "stance": review.stance, "asOf": review.as_of}},
            }
        ],
    }


class _Artifacts:
    """The files that are spoken of, each with its number."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def number(self, path: str) -> int:
        return self._numbers.setdefault(uri(path), len(self._numbers))

    def location(self, path: str) -> _Json:
        return {"uri": uri(path), "index": self.number(path)}

    def listed(self) -> list[_Json]:
        return [{"location": {"uri": name}, "encoding": "UTF-8"} for name in self._numbers]


def _driver(review: Review, rules: list[_Json]) -> _Json:
    return {
        "name": "dermalint",
        "version": review.version,
        "semanticVersion": review.version,
        "shortDescription": {"text": "Checks skin-care regimens against rules that people wrote."},
        "fullDescription": {"text": f"Checks skin-care regimens against rules that people wrote. {CARE}"},
        "notifications": [{"id": name, "shortDescription": {"text": text}} for name, text in NOTIFICATIONS.items()],
        "rules": rules,
    }


def _packs(review: Review) -> list[_Json]:
    named = dict.fromkeys((clean(pack.name), clean(pack.version)) for pack in review.packs)
    return [{"name": name, "version": version} for name, version in named]


def _rules(review: Review) -> list[_Json]:
    """The rules that found something, by name, at the most severe level they were judged at."""
    first: dict[str, Finding] = {}
    for file in review.files:
        for finding in file.findings:
            known = first.get(finding.rule)
            if known is None or SEVERITIES.index(finding.severity) < SEVERITIES.index(known.severity):
                first[finding.rule] = finding
    cleaned = {clean(name): first[name] for name in sorted(first)}
    return [_rule(name, finding) for name, finding in cleaned.items()]


def _rule(name: str, finding: Finding) -> _Json:
    parts = [
        ("Why", [finding.why]),
        ("What to do", [finding.advise]),
        ("Other view", [finding.disputed or ""]),
        ("Sources", list(finding.sources)),
    ]
    told = [f"{label}: {' '.join(text for text in texts if text)}" for label, texts in parts if any(texts)]
    return {
        "id": name,
        "shortDescription": _message(_short(finding)),
        "fullDescription": _message(finding.why or _short(finding)),
        "help": _message("\n\n".join([*told, CARE])),
        "defaultConfiguration": {"level": LEVELS[finding.severity]},
        "properties": {
            "tags": list(dict.fromkeys(text for text in (clean(finding.topic), name.partition(".")[0]) if text)),
            "sources": [clean(source) for source in finding.sources],
        },
    }


def _short(finding: Finding) -> str:
    """The first sentence of why a rule is there, else its name in words."""
    first, stop, _ = finding.why.partition(". ")
    return first + stop.strip() or finding.rule.rpartition(".")[2].replace("-", " ") or "A rule"


def _result(finding: Finding, file: FileResult, rule: int, artifacts: _Artifacts, possible_fails: bool) -> _Json:
    unsure = finding.certainty == POSSIBLE and not possible_fails
    shown: _Json = {
        "ruleId": clean(finding.rule),
        "ruleIndex": rule,
        "kind": "open" if unsure else "fail",
        "level": "none" if unsure else LEVELS[finding.severity],
        "message": _message(_said(finding, file)),
        "locations": [_location(finding.where, file.sources, file.path, artifacts)],
    }
    related = [
        {
            "id": number,
            **_location(one.place, file.sources, file.path, artifacts),
            **({"message": _message(one.note)} if one.note else {}),
        }
        for number, one in enumerate(finding.related, start=1)
    ]
    if related:
        shown["relatedLocations"] = related
    # The same rule may find the same products in two files: only with the file is it the same finding again.
    shown["fingerprints"] = {"dermalintFinding/v1": f"{clean(finding.id)}:{uri(file.path)}"}
    shown["suppressions"] = list(_suppressions(finding))
    if fixes := [_fix(mend, file, artifacts) for mend in dict.fromkeys(finding.mends) if mend.edits]:
        shown["fixes"] = fixes
    shown["properties"] = _properties(finding, file)
    return shown


def _said(finding: Finding, file: FileResult) -> str:
    """The message as one paragraph a viewer can show alone."""
    parts = [f"For {file.person}:"] if file.person else []
    parts.append(f"Possibly: {finding.message}" if finding.certainty == POSSIBLE else finding.message)
    if finding.certainty == POSSIBLE:
        parts.append(f"This depends on {listed(finding.unknown or ('what the file does not say',))}.")
    if finding.occurs:
        phases = any(occurrence.phase > 1 for one in file.findings for occurrence in one.occurs)
        parts.append(sentence(when(finding.occurs, phases)))
    return " ".join(parts)


def _suppressions(finding: Finding) -> Iterator[_Json]:
    if finding.waived is not None:
        waived = finding.waived
        by = f" Accepted by {waived.by}." if waived.by else ""
        until = f" Until {waived.until}." if waived.until else ""
        kind = "external" if waived.known else "inSource"
        yield {"kind": kind, "status": "accepted", "justification": clean(f"{waived.reason.rstrip('. ')}.{by}{until}")}
    if finding.suspended_by is not None:
        justification = clean(f"Suspended by the rule {finding.suspended_by}.")
        yield {"kind": "external", "status": "accepted", "justification": justification}


def _fix(mend: Mend, file: FileResult, artifacts: _Artifacts) -> _Json:
    """A mend as replacements of bytes of the regimen's file."""
    replacements = [
        {
            "deletedRegion": {"byteOffset": max(edit.start, 0), "byteLength": max(edit.end - edit.start, 0)},
            "insertedContent": {"text": clean(edit.text)},
        }
        for edit in mend.edits
    ]
    change = {"artifactLocation": artifacts.location(file.path), "replacements": replacements}
    return {"description": _message(mend.say), "artifactChanges": [change]}


def _properties(finding: Finding, file: FileResult) -> _Json:
    shown: _Json = {
        "severity": finding.severity,
        "certainty": finding.certainty,
        "topic": clean(finding.topic),
        "regimen": None if file.regimen is None else clean(file.regimen),
        "person": None if file.person is None else clean(file.person),
        "products": [clean(product) for product in finding.products],
        "group": clean(finding.group),
    }
    if finding.matched:
        shown["countedAs"] = clean(counted_as(finding))
    if finding.measured is not None and (finding.measured.value is None or math.isfinite(finding.measured.value)):
        label, said = measured_against(finding.measured, finding.certainty == POSSIBLE)
        shown[label] = clean(said)
    if finding.mends:
        shown["toMend"] = [clean(mend.say) for mend in finding.mends]
    return shown


def _location(place: Place, sources: Mapping[str, SourceText], own: str, artifacts: _Artifacts) -> _Json:
    found = stretch(place, sources, own)
    physical: _Json = {"artifactLocation": artifacts.location(place.path or own)}
    if found is not None:
        physical["region"] = _region(found)
    shown: _Json = {"physicalLocation": physical}
    if place.pointer:
        shown["logicalLocations"] = [{"fullyQualifiedName": clean(place.pointer), "kind": "element"}]
    return shown


def _region(found: Stretch) -> _Json:
    return {
        "startLine": found.line,
        "startColumn": found.column,
        "endLine": found.end_line,
        "endColumn": found.end_column,
    }


def _notifications(review: Review, artifacts: _Artifacts) -> tuple[list[_Json], list[_Json]]:
    """Problems of files, and problems of no file; what several people of one file share comes once."""
    configuration = [_notification(problem, "mistake-in-pack", review.sources, "", artifacts) for problem in review.problems]
    execution: list[_Json] = []
    said: set[tuple[str, Problem]] = set()
    for file in review.files:
        for problem in file.problems:
            if (file.path, problem) not in said:
                said.add((file.path, problem))
                kind = "mistake-in-file" if problem.level == ERROR else "hint-on-file"
                execution.append(_notification(problem, kind, file.sources, file.path, artifacts))
    return execution, configuration


def _notification(
    problem: Problem, kind: str, sources: Mapping[str, SourceText], own: str, artifacts: _Artifacts
) -> _Json:
    said = problem.message + (f" {problem.suggestion}" if problem.suggestion else "")
    shown: _Json = {
        "descriptor": {"id": kind, "index": list(NOTIFICATIONS).index(kind)},
        "level": "error" if problem.level == ERROR else "note",
        "message": _message(said),
    }
    path = own if problem.place is None else problem.place.path or own
    if path:
        shown["locations"] = [_location(problem.place or Place(0, 0), sources, path, artifacts)]
        if problem.place is None:
            del shown["locations"][0]["physicalLocation"]["region"]
    named = {"pack": problem.pack, "plugin": problem.plugin}
    if any(named.values()):
        shown["properties"] = {key: clean(value) for key, value in named.items() if value}
    return shown


def _message(text: str) -> _Json:
    """A message of plain text in which nothing is taken for a link or a placeholder (sections 3.11.5 and 3.11.6)."""
    text = clean(text)
    if _LOOKS_LIKE_LINK.search(text):
        text = text.replace("\\", "\\\\").replace("[", "\\[").replace("]", "\\]")
    if _LOOKS_LIKE_PLACEHOLDER.search(text):
        text = text.replace("{", "{{").replace("}", "}}")
    return {"text": text}


