"""Known findings: a record of what is found today, so that an old library can begin clean and only new findings fail.

The record is JSON: findings by the path of their file (relative to the record's folder) and their stable ids, with rule and
message for whoever reads it.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path

from dermalint.regimen.model import HINT, Problem
from dermalint.verdict.findings import Finding, Waived
from dermalint.verdict.report_model import FileResult, Review
from dermalint.verdict.stored import changed
from dermalint_grammar.record import Record, replace

FORMAT = "dermalint-known/1"
_NAMED = 3  # vanished findings that are named; of more, the number is said


class KnownError(Exception):
    """A record that cannot be read, in words."""


class Entry(Record):
    """One known finding."""

    path: str
    id: str
    rule: str
    person: str | None
    message: str


def read_known(file: Path) -> tuple[Entry, ...]:
    """The entries of a record.  Raises :class:`KnownError`."""
    try:
        document = json.loads(file.read_bytes())
    except OSError as error:
        raise KnownError(f"{file} cannot be read: {error.strerror or error}.") from None
    except (ValueError, RecursionError):
        raise KnownError(f"{file} is no record of known findings: it is no JSON.") from None
    if not isinstance(document, dict) or document.get("format") != FORMAT or not isinstance(document.get("findings"), list):
        raise KnownError(f"{file} is no record of known findings ({FORMAT}).")
    return tuple(_entry(file, number, item) for number, item in enumerate(document["findings"], 1))


def _entry(file: Path, number: int, item: object) -> Entry:
    fields = item if isinstance(item, dict) else {}
    texts = [fields.get(name) for name in ("path", "id", "rule", "message")]
    person = fields.get("person")
    if not all(isinstance(text, str) for text in texts) or not isinstance(person, str | None):
        raise KnownError(f"{file}: finding {number} needs a path, an id, a rule and a message.")
    path, name, rule, message = (str(text) for text in texts)
    return Entry(path, name, rule, person, message)


def record_known(review: Review, file: Path) -> str:
    """The record of all findings in force, as text: sorted, so that a change of it reads well in a diff."""
    entries = sorted(
        (_relative(result.path, file), finding.rule, finding.id, result.person or "", finding.message)
        for result, finding in _in_force(review)
    )
    findings = []
    for path, rule, name, person, message in dict.fromkeys(entries):
        findings.append({"path": path, "rule": rule, "id": name, **({"person": person} if person else {}), "message": message})
    return json.dumps({"format": FORMAT, "findings": findings}, indent=2, ensure_ascii=False) + "\n"


def set_known_aside(review: Review, known: tuple[Entry, ...], file: Path, *, all_rules: bool) -> Review:
    """The review with the known findings marked as waived, and a hint where known ones are found no more.

    With ``all_rules`` false some rules were left out of the run, and nothing is said of what is not found.
    """
    waived = Waived(f"Known before: recorded in {file.as_posix()}.", None, None, known=True)
    names = {(entry.path, entry.id) for entry in known}
    seen: set[tuple[str, str]] = set()
    reviewed: set[str] = set()
    for result in review.files:
        path = _relative(result.path, file)
        seen.update(key for finding in result.findings if (key := (path, finding.id)) in names)
        if result.readable:
            reviewed.add(path)

    def set_aside(result: FileResult) -> FileResult:
        path = _relative(result.path, file)
        findings = tuple(
            replace(finding, waived=waived) if _counts(finding) and (path, finding.id) in names else finding
            for finding in result.findings
        )
        return replace(result, findings=findings)

    gone = [
        entry
        for entry in known
        if (entry.path, entry.id) not in seen and (entry.path in reviewed or not (file.parent / entry.path).exists())
    ]
    problems = (*review.problems, _vanished(gone, file)) if gone and all_rules else review.problems
    return replace(review, files=changed(review.files, set_aside), problems=problems)


def _vanished(gone: list[Entry], file: Path) -> Problem:
    named = [f"{entry.rule} in {entry.path}" for entry in gone[:_NAMED]]
    more = f" and {len(gone) - _NAMED} more" if len(gone) > _NAMED else ""
    one = len(gone) == 1
    message = f"{'A known finding is' if one else f'{len(gone)} known findings are'} found no more: {'; '.join(named)}{more}."
    suggestion = f"Take {'it' if one else 'them'} out of {file.as_posix()}, or write it anew with --write-known."
    return Problem(HINT, message, suggestion)


def _in_force(review: Review) -> Iterator[tuple[FileResult, Finding]]:
    for result in review.files:
        for finding in result.findings:
            if _counts(finding):
                yield result, finding


def _counts(finding: Finding) -> bool:
    return finding.waived is None and finding.suspended_by is None


def _relative(path: str, file: Path) -> str:
    """A path as the record has it: from the record's folder, with forward slashes."""
    folder = os.path.abspath(file.parent)  # noqa: PTH100
    try:
        return os.path.relpath(os.path.abspath(path), folder).replace(os.sep, "/")  # noqa: PTH100
    except ValueError:  # another drive
        return path.replace(os.sep, "/")
