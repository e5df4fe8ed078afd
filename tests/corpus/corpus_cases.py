"""Reading the conformance corpus, and running one verdict of it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import yaml

import dermalint_grammar
from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench, judge
from dermalint.verdict.findings import Finding, Occurrence
from judging import as_regimen, link_rules, read_file

CORPUS = Path(dermalint_grammar.__file__).with_name("corpus")
AS_OF = "2026-03-02"

ENTRY_FIELDS = {"about", "paragraph", "rule", "rules", "of", "head", "cases"}
CASE_FIELDS = {
    *("regimen", "as-of", "region", "stance", "verdict", "at", "possibly-at", "suspended-at", "suspended-by", "repeats"),
    *("measured", "severity", "topic", "line"),
}
VERDICTS = ("holds", "breaks", "unknown", "suspended", "unjudged", "error")

Place = tuple[int, int, str, str | None]  # phase, day, slot, date where one is told


def read_entries(folder: str) -> Iterator[tuple[str, int, dict[str, Any]]]:
    """All entries of a folder of the corpus with their file's name and number; every scalar is text, as written."""
    for path in sorted((CORPUS / folder).glob("*.yaml")):
        for number, entry in enumerate(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader), start=1):
            yield path.stem, number, entry


def paragraphs_of(entry: dict[str, Any]) -> list[int]:
    """The paragraphs of the meaning that an entry is about."""
    named = entry.get("paragraph", [])
    return [int(number) for number in ([named] if isinstance(named, str) else named)]


def rules_of(entry: dict[str, Any]) -> str:
    """The rule text of an entry; a single sentence becomes a rule named ``trial``."""
    if "rules" in entry:
        return str(entry["rules"])
    return f'rule trial advice\n  {entry["rule"]}\n  why "trial"'


@dataclass(frozen=True, slots=True)
class Verdict:
    """One regimen under one rule, and what is expected of it."""

    id: str
    entry: dict[str, Any]
    case: dict[str, Any]

    @property
    def regimen(self) -> str:
        """The regimen file's text, or its compact notation."""
        head = self.entry.get("head")
        return str(self.case["regimen"]) if head is None else f"{head}{self.case['regimen']}\n"


def read_verdicts() -> list[Verdict]:
    return [
        Verdict(f"{stem}-{number}-{index}: {entry['about'][:60]}", entry, case)
        for stem, number, entry in read_entries("verdicts")
        for index, case in enumerate(entry["cases"], start=1)
    ]


_PLACE = re.compile(r"(?:phase (\d+) )?days? ([\d, ]+|\d+ to \d+) ([a-z-]+)(?: on (\d{4}-\d\d-\d\d))?")


def places_in(written: str | list[str]) -> set[Place]:
    """``day 1 evening``, ``days 1, 3 evening``, ``days 1 to 7 evening``, ``phase 2 day 1 morning on 2026-03-09``."""
    found: set[Place] = set()
    for text in [written] if isinstance(written, str) else written:
        match = _PLACE.fullmatch(text)
        assert match, f"not a place: {text}"
        phase, days, slot, on = match.groups()
        first, _, last = days.partition(" to ")
        numbers = range(int(first), int(last) + 1) if last else [int(day) for day in days.split(",")]
        found |= {(int(phase or 1), day, slot, on) for day in numbers}
    return found


def places_told(findings: list[Finding], expected: set[Place]) -> set[Place]:
    """Where findings are; with its date only where the case states one."""
    dated = {place[:3] for place in expected if place[3] is not None}

    def told(occurrence: Occurrence) -> Place:
        key = (occurrence.phase, occurrence.day, occurrence.slot or "")
        return (*key, occurrence.date if key in dated else None)

    return {told(occurrence) for finding in findings for occurrence in finding.occurs}


@dataclass(slots=True)
class Outcome:
    """What the engine says of a verdict's regimen: the findings of its rule by what they amount to."""

    verdict: str
    certain: list[Finding]
    possible: list[Finding]
    suspended: list[Finding]
    lines: list[int]

    @property
    def told(self) -> list[Finding]:
        """The findings that the verdict rests on."""
        return {"breaks": self.certain, "unknown": self.possible, "suspended": self.suspended}.get(self.verdict, [])


@cache
def bench_of(rules: str) -> Bench:
    packs = link_rules(rules)
    return Bench(packs.world, packs.rules)


def run(one: Verdict) -> Outcome:
    """Judge the regimen of one verdict."""
    case = one.case
    bench = bench_of(rules_of(one.entry))
    text = one.regimen
    if "regimen:" in text:
        reading, lines = read_file(text)
        if lines:
            return Outcome("error", [], [], [], lines)
        regimen = reading.regimens[0]
    else:
        regimen = as_regimen(text)
    asked = Asked(date.fromisoformat(case.get("as-of", AS_OF)), case.get("region"), case.get("stance", "usual"))
    findings, problems = judge(bench, regimen, asked)
    name = f"trial.{one.entry.get('of') or bench.rules[0].rule.name.text}"
    own = [finding for finding in findings if finding.rule == name]
    suspended = [finding for finding in own if finding.suspended_by]
    certain = [finding for finding in own if finding.certainty == "certain" and not finding.suspended_by]
    possible = [finding for finding in own if finding.certainty == "possible" and not finding.suspended_by]
    verdict = "breaks" if certain else "unknown" if possible else "suspended" if suspended else "holds"
    return Outcome("unjudged" if problems and not own else verdict, certain, possible, suspended, [])


def doubles(ids: list[str]) -> list[str]:
    return [name for name, count in Counter(ids).items() if count > 1]
