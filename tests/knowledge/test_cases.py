"""Regimens from practice and what a careful practitioner says of them (``cases/README.md``)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from practice import AS_OF, EXPECTATION, HERE, Expected, faults_of, fits, judge_data, judge_file, read_case, read_yaml, vary

CASES = sorted((HERE / "cases").glob("*.regimen.yaml"))
NAMES = [path.name.removesuffix(".regimen.yaml") for path in CASES]
VARIANTS = [entry for path in sorted((HERE / "variants").glob("*.yaml")) for entry in read_yaml(path.read_text("utf-8"))]
CASE_FIELDS = {"about", "basis", "as_of", "expect", "silent", "complete", "strict"}
VARIANT_FIELDS = {"variant", "from", "change", "remove", "as_of", "expect", "silent", "complete"}


def note_of(regimen: Path) -> Any:
    return read_yaml(regimen.with_name(regimen.name.replace(".regimen.", ".expect.")).read_text("utf-8"))


@pytest.mark.parametrize("regimen", CASES, ids=NAMES)
def test_case(regimen: Path) -> None:
    note = note_of(regimen)
    as_of = note.get("as_of", AS_OF)
    assert faults_of(judge_file(regimen, as_of=as_of, stance="usual"), note) == []
    if "strict" in note:
        assert faults_of(judge_file(regimen, as_of=as_of, stance="strict"), note["strict"]) == []


@pytest.mark.parametrize("variant", VARIANTS, ids=[entry["variant"] for entry in VARIANTS])
def test_variant(variant: Expected) -> None:
    regimen = vary(read_case(variant["from"]), variant.get("change") or {}, variant.get("remove") or [])
    assert faults_of(judge_data(regimen, as_of=variant.get("as_of", AS_OF), stance="usual"), variant) == []


def test_every_case_has_its_expectations_and_the_other_way_round() -> None:
    notes = sorted(path.name.removesuffix(".expect.yaml") for path in (HERE / "cases").glob("*.expect.yaml"))
    assert notes == sorted(NAMES)
    assert len(NAMES) >= 80


@pytest.mark.parametrize("regimen", CASES, ids=NAMES)
def test_expectations_are_written_as_the_readme_says(regimen: Path) -> None:
    note = note_of(regimen)
    assert set(note) <= CASE_FIELDS
    assert {"about", "basis", "expect"} <= set(note)
    for entry in [*(note["expect"] or []), *(note.get("silent") or [])]:
        assert set(entry) <= EXPECTATION


def test_variants_are_many_differ_by_name_and_expect_something() -> None:
    names = [entry["variant"] for entry in VARIANTS]
    assert len(names) == len(set(names)) >= 200
    for entry in VARIANTS:
        assert set(entry) <= VARIANT_FIELDS, entry["variant"]
        assert entry.get("expect") or entry.get("silent"), entry["variant"]
        assert entry.get("change") or entry.get("remove"), entry["variant"]


def test_the_judge_of_expectations_notices() -> None:
    """What is missing, what must be silent and what was not expected are three different faults."""
    findings = judge_file(HERE / "cases" / "peroxide-gel-and-tretinoin.regimen.yaml")
    (pair,) = [finding for finding in findings if finding.rule == "acne.peroxide-from-tretinoin"]
    assert fits(pair, {"topics": ["separation"], "products": ["peroxide-gel"], "on": [{"slot": "evening", "day": 3}]})
    assert not fits(pair, {"on": [{"slot": "morning"}]})
    assert not fits(pair, {"products": ["day-sunscreen"]})
    assert not fits(pair, {"certainty": ["possible"]})
    assert faults_of(findings, {"expect": [{"severity": ["avoid"]}]})[0].startswith("missing")
    assert faults_of(findings, {"silent": [{"topics": ["separation"]}]})[0].startswith("must be silent")
    assert faults_of(findings, {"complete": True})[0].startswith("not expected")
    assert faults_of([], {"complete": True}) == []
