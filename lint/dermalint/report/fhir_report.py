"""The review as an HL7 FHIR R4 bundle of DetectedIssue resources, for clinical systems.

How a review maps to it:

- Every finding is a DetectedIssue: avoid, caution and advice are the severities high, moderate and low; a certain finding has
  the status final, a possible one preliminary, one that another rule suspends cancelled.
- What to do is a mitigation that says that it is only suggested; a waiver is one that somebody has accepted.
- Products, people and sources are references that carry a display text alone: a regimen names no record of a patient.
- ``reference`` is a URN of the rule, ``meta.source`` the regimen's file with the place as JSON Pointer.
- The tool is a Device, with the packs as its components, and signs each issue as its author.
- What is wrong with files and packs is an OperationOutcome.

Codes are texts, not codes of a terminology: no terminology has the rules of these packs.  The resources are the same in R4
(4.0.1) and R4B (4.3.0).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from html import escape
from typing import Any
from urllib.parse import quote
from uuid import NAMESPACE_OID, uuid5

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.days import listed, when
from dermalint.report.plain_data import clean, stretch, uri, written
from dermalint.report.remarks import CARE, counted_as, measured_against, sentence
from dermalint.spans import Place, SourceText
from dermalint.verdict.findings import POSSIBLE, Finding
from dermalint.verdict.report_model import FileResult, Review

SEVERITIES = {"avoid": "high", "caution": "moderate", "advice": "low"}
FINDING, RULE = "urn:x-dermalint:finding", "urn:x-dermalint:rule"
_XHTML = "http://www.w3.org/1999/xhtml"

_Json = dict[str, Any]


def render(review: Review) -> str:
    """The bundle as text."""
    return written(document(review))


def document(review: Review) -> _Json:
    """The bundle as plain data."""
    names = _Names()
    device = names.new("device")
    entries = [_entry(device, _device(review))]
    outcome = _outcome(review)
    if outcome is not None:
        entries.append(_entry(names.new("problems"), outcome))
    for file in review.files:
        phases = any(occurrence.phase > 1 for finding in file.findings for occurrence in finding.occurs)
        for finding in file.findings:
            name = names.new(f"{uri(file.path)}|{file.person or ''}|{finding.id}")
            entries.append(_entry(name, _issue(finding, file, device, phases)))
    return {"resourceType": "Bundle", "type": "collection", "entry": entries}


class _Names:
    """Names for resources: the same for the same finding in every run, and each only once."""

    def __init__(self) -> None:
        self._times: dict[str, int] = {}

    def new(self, what: str) -> str:
        """A version 5 UUID (RFC 9562) of what a resource stands for."""
        what = clean(what)
        self._times[what] = time = self._times.get(what, 0) + 1
        return str(uuid5(NAMESPACE_OID, f"dermalint|{what}|{time}"))


def _entry(name: str, resource: _Json) -> _Json:
    kind = {"resourceType": resource.pop("resourceType"), "id": name}
    return {"fullUrl": f"urn:uuid:{name}", "resource": {**kind, **resource}}


def _device(review: Review) -> _Json:
    asked = [f"Region {review.region}."] if review.region else []
    asked += [f"Stance {review.stance}.", f"As of {review.as_of}."]
    return _filled(
        resourceType="Device",
        deviceName=[{"name": "dermalint", "type": "model-name"}],
        type=_concept("software that checks skin-care regimens against rules that people wrote"),
        version=[
            _filled(value=_text(review.version)),
            *[
                _filled(type=_concept(f"rule pack {pack.name}"), value=_text(pack.version) or "unknown")
                for pack in review.packs
            ],
        ],
        note=[{"text": _text(f"{' '.join(asked)} {CARE}")}],
    )


def _issue(finding: Finding, file: FileResult, device: str, phases: bool) -> _Json:
    possible = finding.certainty == POSSIBLE
    said = f"Possibly: {finding.message}" if possible else finding.message
    detail = _detail(said, finding, file, phases)
    return _filled(
        resourceType="DetectedIssue",
        meta={"source": _source(finding.where, file.path)},
        text=_narrative(said, finding),
        identifier=[{"system": FINDING, "value": _text(finding.id) or "unnamed"}],
        status="cancelled" if finding.suspended_by is not None else "preliminary" if possible else "final",
        code=_concept(finding.topic),
        severity=SEVERITIES[finding.severity],
        patient=_display(file.person or ""),
        author={"reference": f"urn:uuid:{device}", "display": "dermalint"},
        implicated=_each(_display(product) for product in finding.products),
        evidence=_evidence(finding),
        detail=_text(detail),
        reference=f"{RULE}:{quote(clean(finding.rule), safe='')}",
        mitigation=_mitigation(finding),
    )


def _detail(said: str, finding: Finding, file: FileResult, phases: bool) -> str:
    parts = [said]
    if finding.certainty == POSSIBLE:
        parts.append(f"This depends on {listed(finding.unknown or ('what the file does not say',))}.")
    if finding.occurs:
        parts.append(sentence(when(finding.occurs, phases)))
    parts.append(finding.why)
    if finding.disputed:
        parts.append(f"Other view: {finding.disputed}")
    if finding.suspended_by is not None:
        parts.append(f"Suspended by the rule {finding.suspended_by}.")
    if found := stretch(finding.where, file.sources, file.path):
        parts.append(f"File {found.path}, line {found.line}.")
    return " ".join(part for part in parts if part)


def _source(place: Place, own: str) -> str:
    """The file, and in it the place as a JSON Pointer (RFC 6901, section 6)."""
    pointer = quote(clean(place.pointer), safe="/~!$&'()*+,;=:@")
    return uri(place.path or own) + (f"#{pointer}" if pointer else "")


def _narrative(said: str, finding: Finding) -> _Json:
    told = [said, finding.advise, CARE]
    paragraphs = "".join(f"<p>{escape(_text(text))}</p>" for text in told if _text(text))
    return {"status": "generated", "div": f'<div xmlns="{_XHTML}">{paragraphs}</div>'}


def _evidence(finding: Finding) -> list[_Json]:
    codes = [counted_as(finding)] if finding.matched else []
    measured = finding.measured
    if measured is not None and (measured.value is None or math.isfinite(measured.value)):
        codes.append(sentence(": ".join(measured_against(measured, finding.certainty == POSSIBLE))))
    shown = _filled(
        code=_each(_concept(code) for code in codes), detail=_each(_display(f"Source: {source}") for source in finding.sources)
    )
    return [shown] if shown else []


def _mitigation(finding: Finding) -> list[_Json]:
    said = [finding.advise, *(mend.say for mend in finding.mends)]
    found = [{"action": _concept(f"Suggested, not done: {text}")} for text in said if _text(text)]
    waived = finding.waived
    if waived is not None:
        until = f" Until {waived.until}." if waived.until else ""
        action = _concept(f"Accepted as it is: {waived.reason.rstrip('. ')}.{until}")
        found.append(_filled(action=action, author=_display(waived.by or "")))
    return found


def _outcome(review: Review) -> _Json | None:
    """What is wrong with packs, plugins and files; None where nothing is.  What several people share comes once."""
    issues = [_problem(problem, review.sources, "") for problem in review.problems]
    said: set[tuple[str, Problem]] = set()
    for file in review.files:
        for problem in file.problems:
            if (file.path, problem) not in said:
                said.add((file.path, problem))
                issues.append(_problem(problem, file.sources, file.path))
    return {"resourceType": "OperationOutcome", "issue": issues} if issues else None


def _problem(problem: Problem, sources: Mapping[str, SourceText], own: str) -> _Json:
    error = problem.level == ERROR
    named = [("pack", problem.pack), ("plugin", problem.plugin)]
    where = [f"{label} {name}" for label, name in named if name]
    path = own if problem.place is None else problem.place.path or own
    if path:
        found = None if problem.place is None else stretch(problem.place, sources, own)
        where.append(f"file {path}" + (f", line {found.line}, column {found.column}" if found else ""))
    code = "informational" if not error else "exception" if problem.plugin else "processing" if problem.pack else "invalid"
    return _filled(
        severity="error" if error else "information",
        code=code,
        details=_concept(f"{problem.message} {problem.suggestion or ''}") or _concept("A problem without words"),
        diagnostics=_text("; ".join(where)),
    )


def _text(text: str) -> str:
    """A string as FHIR has it: no control characters, no white space but the plain ones, none at its ends."""
    return "".join(" " if sign.isspace() and sign not in "\r\n\t" else sign for sign in clean(text)).strip()


def _concept(text: str) -> _Json | None:
    said = _text(text)
    return {"text": said} if said else None


def _display(text: str) -> _Json | None:
    said = _text(text)
    return {"display": said} if said else None


def _each(found: Iterable[_Json | None]) -> list[_Json]:
    return [one for one in found if one]


def _filled(**members: Any) -> _Json:
    """Members that have a value; FHIR has no empty ones."""
    return {name: value for name, value in members.items() if value not in (None, "", [], {})}
