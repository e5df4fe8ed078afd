"""Helpers of the tests: a small world, rules as text, regimens as compact examples or YAML, and verdicts on them."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import dermalint_grammar
from dermalint.checks.asked import Asked
from dermalint.checks.examples import build_example
from dermalint.checks.judge import Bench, judge
from dermalint.packs.link import link_files
from dermalint.packs.model import PackFile, PackSet
from dermalint.regimen.model import ERROR, Reading, Regimen
from dermalint.regimen.read import read_regimen
from dermalint.verdict.findings import Finding

VOCABULARY = Path(dermalint_grammar.__file__).with_name("corpus") / "vocabulary.rules"
AS_OF = date(2026, 3, 2)


def link_texts(text: str) -> PackSet:
    """The corpus's vocabulary and a whole rule file, linked, whatever is wrong with it."""
    files = [
        (PackFile(str(VOCABULARY), VOCABULARY.name, "given"), VOCABULARY.read_bytes()),
        (PackFile("trial.rules", "trial.rules", "given"), text.encode()),
    ]
    return link_files(files)


@cache
def link_rules(text: str) -> PackSet:
    """The corpus's vocabulary and a pack of the given rules, linked; fails on any problem."""
    packs = link_texts(f"pack trial 1.0.0\nuses vocabulary\n{text}")
    assert not packs.problems, [problem.message for problem in packs.problems]
    return packs


def as_regimen(text: str) -> Regimen:
    """A regimen from YAML text, or from compact notation (``monday evening: retinol 0.3 %``)."""
    packs = link_rules('rule shape advice\n  never use any product.\n  why "x"\n  holds ' + text) if ":\n" not in text else None
    if packs is not None:
        return build_example(packs.rules[0].rule.examples[0], packs.world)
    reading, lines = read_file(text)
    assert not lines, [problem.message for problem in reading.problems]
    return reading.regimens[0]


def read_file(text: str) -> tuple[Reading, list[int]]:
    """A regimen file read, and the lines of its errors."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "trial.regimen.yaml"
        path.write_text(text, encoding="utf-8")
        reading = read_regimen(path, shown="trial.regimen.yaml")
    places = [problem.place for problem in reading.problems if problem.level == ERROR]
    return reading, [text[: place.start].count("\n") + 1 if place is not None else 0 for place in places]


def findings_of(
    rule: str, regimen: str | Regimen, *, as_of: date = AS_OF, stance: str = "usual", region: str | None = None
) -> list[Finding]:
    """The findings of one rule (its text from the severity's requirement on, or whole rules) on a regimen."""
    text = rule if rule.lstrip().startswith("rule ") else f'rule trial advice\n  {rule}\n  why "trial"'
    packs = link_rules(text)
    found = as_regimen(regimen) if isinstance(regimen, str) else regimen
    return list(judge(Bench(packs.world, packs.rules), found, Asked(as_of, region, stance))[0])


def places(finding: Finding) -> list[tuple[int, str]]:
    """Day and slot of each occurrence."""
    return [(occurrence.day, occurrence.slot or "") for occurrence in finding.occurs]


def verdict(rule: str, regimen: str | Regimen, **asked: object) -> str:
    """``breaks`` for a certain finding, ``unknown`` for a possible one, else ``holds``."""
    certainties = {finding.certainty for finding in findings_of(rule, regimen, **asked)}  # type: ignore[arg-type]
    return "breaks" if "certain" in certainties else "unknown" if certainties else "holds"
