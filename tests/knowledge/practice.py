"""Helpers of the knowledge tests: all shipped packs, regimens judged by them, and what a case expects of the findings."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import yaml

from dermalint.checks.judge import Bench
from dermalint.packs.load import load_packs
from dermalint.packs.model import PackSet
from dermalint.regimen.model import ERROR
from dermalint.review import Asked, choose_rules, review_file
from dermalint.verdict.findings import Finding

HERE = Path(__file__).resolve().parent
PROJECT = HERE.parents[1]
AS_OF = date(2026, 3, 2)
ABOVE_ADVICE = ("caution", "avoid")
EXPECTATION = {"topics", "severity", "certainty", "products", "rule", "on", "where"}

Expected = Mapping[str, Any]


@cache
def shipped() -> PackSet:
    """The packs in force; fails when one of them has a problem."""
    packs = load_packs()
    assert [problem.message for problem in packs.problems] == []
    return packs


@cache
def bench() -> Bench:
    return choose_rules(shipped(), Asked(as_of=AS_OF))


def judge_file(path: Path, *, as_of: date | str = AS_OF, stance: str | None = None) -> list[Finding]:
    """All findings on a file but the waived and suspended ones; fails when the file has an error."""
    day = as_of if isinstance(as_of, date) else date.fromisoformat(as_of)
    results = review_file(str(path), bench(), Asked(as_of=day, stance=stance))
    errors = [problem.message for result in results for problem in result.problems if problem.level == ERROR]
    assert errors == [], path.name
    return [finding for result in results for finding in result.findings if not (finding.waived or finding.suspended_by)]


def judge_data(regimen: Any, **asked: Any) -> list[Finding]:
    """The findings on a regimen given as data."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "trial.regimen.json"
        path.write_text(json.dumps(regimen), encoding="utf-8")
        return judge_file(path, **asked)


def judge_text(text: str, **asked: Any) -> list[Finding]:
    """The findings on a regimen given as YAML text."""
    return judge_data(read_yaml(text), **asked)


def rules_of(findings: Iterable[Finding], pack: str = "") -> set[str]:
    """The full names of the rules that found something, of one pack where one is named."""
    return {finding.rule for finding in findings if finding.rule.startswith(pack)}


def read_yaml(text: str) -> Any:
    """YAML as regimen files are read: ``on``, ``no``, ``07:30`` and dates are text."""
    return _plain(yaml.load(text, Loader=yaml.BaseLoader))


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    if re.fullmatch(r"-?\d+", value):
        return int(value)
    if re.fullmatch(r"-?\d+\.\d+", value):
        return float(value)
    return {"": None, "true": True, "false": False}.get(value, value)


# --- expectations: tests/knowledge/cases/README.md says what they mean ---


def fits(finding: Finding, wanted: Expected) -> bool:
    assert set(wanted) <= EXPECTATION, sorted(set(wanted) - EXPECTATION)
    occurs = [
        {"phase": place.phase, "day": place.day, "weekday": place.weekday, "slot": place.slot, "date": place.date}
        for place in finding.occurs
    ]
    return (
        finding.topic in wanted.get("topics", [finding.topic])
        and finding.severity in wanted.get("severity", [finding.severity])
        and finding.certainty in wanted.get("certainty", [finding.certainty])
        and finding.rule == wanted.get("rule", finding.rule)
        and set(wanted.get("products") or []) <= set(finding.products)
        and all(
            any(all(str(there.get(key)) == str(value) for key, value in place.items()) for there in occurs)
            for place in wanted.get("on") or []
        )
    )


def faults_of(findings: Iterable[Finding], expected: Expected) -> list[str]:
    """What the findings lack, and what they have too much, in words; empty when they are as expected."""
    found = list(findings)
    wanted = expected.get("expect") or []
    faults = [f"missing: {entry}" for entry in wanted if not any(fits(finding, entry) for finding in found)]
    for entry in expected.get("silent") or []:
        faults += [f"must be silent: {tell(finding)}" for finding in found if fits(finding, entry)]
    if expected.get("complete"):
        faults += [
            f"not expected: {tell(finding)}"
            for finding in found
            if finding.severity in ABOVE_ADVICE and not any(fits(finding, entry) for entry in wanted)
        ]
    return faults


def tell(finding: Finding) -> str:
    certainty = "" if finding.certainty == "certain" else f" ({finding.certainty})"
    return f"{finding.rule} {finding.severity}{certainty}: {finding.message}"


# --- variants: a case with some of its fields changed ---


def vary(regimen: Any, change: Mapping[str, Any], remove: Iterable[str] = ()) -> Any:
    """A copy of a regimen with the values at some JSON pointers replaced or added, and others removed."""
    changed = json.loads(json.dumps(regimen))
    for pointer, value in change.items():
        parent, last = _parent(changed, pointer)
        if isinstance(parent, list) and last == len(parent):
            parent.append(value)
        else:
            parent[last] = value
    for pointer in remove:
        parent, last = _parent(changed, pointer)
        del parent[last]
    return changed


def _parent(value: Any, pointer: str) -> tuple[Any, Any]:
    first, *parts = pointer.split("/")
    assert first == "", pointer
    for part in parts[:-1]:
        value = value[int(part)] if isinstance(value, list) else value.setdefault(part, {})
    return value, int(parts[-1]) if isinstance(value, list) else parts[-1]


def read_case(name: str) -> Any:
    """The regimen of a case, as data."""
    return read_yaml((HERE / "cases" / f"{name}.regimen.yaml").read_text(encoding="utf-8"))
