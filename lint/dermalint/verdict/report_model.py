"""What one run of ``review`` found, ready for any report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from dermalint.regimen.model import Problem
from dermalint.spans import SourceText
from dermalint.verdict.findings import Finding
from dermalint_grammar.record import Record

if TYPE_CHECKING:
    from dermalint.timeline.plan import Plan

_NO_SOURCES: Mapping[str, SourceText] = {}


class FileResult(Record):
    """One regimen's findings; a file with several people gives one entry a person, an unreadable file one without findings.

    ``sources`` holds the texts that the findings' places point into, the file's own under ``path``.  ``plan``
    is the regimen laid out to be drawn, only where the run was asked for it.
    """

    path: str
    regimen: str | None
    person: str | None
    region: str | None
    stance: str
    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...]
    sources: Mapping[str, SourceText]
    readable: bool = True
    plan: Plan | None = None


class PackName(Record):
    """A pack and its version."""

    name: str
    version: str


class Review(Record):
    """The whole run: packs in force, what was asked, problems of no file, and the files in their fixed order."""

    version: str
    packs: tuple[PackName, ...]
    region: str | None
    stance: str
    as_of: str
    problems: tuple[Problem, ...]
    files: Sequence[FileResult]  # of very many files they are on the disk, see dermalint.verdict.stored
    sources: Mapping[str, SourceText] = _NO_SOURCES  # texts of packs that problems point into
