"""The corpus's verdicts: what each sentence means on a line of days."""

from __future__ import annotations

from typing import Any, get_args

import pytest
from corpus_cases import (
    CASE_FIELDS,
    ENTRY_FIELDS,
    VERDICTS,
    Verdict,
    doubles,
    paragraphs_of,
    places_in,
    places_told,
    read_entries,
    read_verdicts,
    rules_of,
    run,
)

from dermalint_grammar import nodes
from dermalint_grammar.parse import parse_pack

ENTRIES = list(read_entries("verdicts"))
ALL = read_verdicts()


@pytest.mark.parametrize("one", ALL, ids=[one.id for one in ALL])
def test_a_verdict(one: Verdict) -> None:
    case = one.case
    found = run(one)
    assert found.verdict == case["verdict"], [finding.message for finding in found.certain + found.possible]
    if "line" in case:
        assert int(case["line"]) in found.lines
    for field, findings in (("at", found.told), ("possibly-at", found.possible), ("suspended-at", found.suspended)):
        if field in case:
            expected = places_in(case[field])
            assert places_told(findings, expected) == expected
    if "measured" in case:
        assert int(case["measured"]) in {finding.measured.value for finding in found.told if finding.measured}
    if "repeats" in case:
        assert {occurrence.repeats for finding in found.told for occurrence in finding.occurs} == {int(case["repeats"])}
    for field in ("severity", "topic"):
        if field in case:
            assert {getattr(finding, field) for finding in found.told} == {case[field]}
    if "suspended-by" in case:
        assert {finding.suspended_by for finding in found.suspended} == {f"trial.{case['suspended-by']}"}


def test_the_corpus_is_written_as_its_readme_says() -> None:
    for stem, number, entry in ENTRIES:
        where = f"{stem}.yaml, entry {number}"
        assert set(entry) <= ENTRY_FIELDS, where
        assert "about" in entry, where
        assert ("rule" in entry) is not ("rules" in entry), where
        for case in entry["cases"]:
            assert set(case) <= CASE_FIELDS, where
            assert case["verdict"] in VERDICTS, where
            if case["verdict"] in ("unknown", "suspended"):
                assert "at" in case, where
            assert ("line" in case) is (case["verdict"] == "error"), where
    assert doubles([one.id for one in ALL]) == []


def test_there_are_enough_verdicts() -> None:
    assert len(ALL) >= 400


def test_every_paragraph_of_the_meaning_has_a_regimen_that_holds_and_one_that_breaks() -> None:
    verdicts: dict[int, set[str]] = {}
    for one in ALL:
        for paragraph in paragraphs_of(one.entry):
            verdicts.setdefault(paragraph, set()).add(one.case["verdict"])
    lacking = {number: {"holds", "breaks"} - verdicts.get(number, set()) for number in range(1, 25)}
    assert {number: missing for number, missing in lacking.items() if missing} == {}


def kinds_in(node: Any) -> set[type]:
    if isinstance(node, tuple):
        return {kind for part in node for kind in kinds_in(part)}
    if isinstance(node, nodes.Node):
        names = type(node).__match_args__  # type: ignore[attr-defined]
        return {type(node)}.union(*(kinds_in(getattr(node, name)) for name in names))
    return set()


def spoken_kinds() -> dict[type, set[str]]:
    """Each kind of node that a rule of the corpus is made of, with the verdicts it has."""
    found: dict[type, set[str]] = {}
    for _, _, entry in ENTRIES:
        parsed = parse_pack(f"pack trial 1.0.0\n{rules_of(entry)}")
        assert parsed.pack is not None
        assert not parsed.mistakes, entry["about"]
        verdicts = {case["verdict"] for case in entry["cases"]}
        for rule in parsed.pack.rules:
            for kind in kinds_in((rule.requirement, rule.conditions)):
                found.setdefault(kind, set()).update(verdicts)
    return found


@pytest.mark.parametrize("union", [nodes.Requirement, nodes.Term, nodes.Condition], ids=["requirements", "terms", "conditions"])
def test_every_construct_has_a_regimen_that_holds_and_one_that_breaks(union: Any) -> None:
    found = spoken_kinds()
    kinds = get_args(union)
    assert len(kinds) > 10
    assert {kind.__name__ for kind in kinds if not {"holds", "breaks"} <= found.get(kind, set())} == set()


def test_every_clause_has_a_verdict() -> None:
    spoken: set[str] = set()
    for _, _, entry in ENTRIES:
        parsed = parse_pack(f"pack trial 1.0.0\n{rules_of(entry)}")
        assert parsed.pack is not None
        for rule in parsed.pack.rules:
            said = {"pauses", "one_area", "unknown", "suspends", "topic", "strict"}
            spoken |= {name for name in said if getattr(rule, name)}
    assert spoken == {"pauses", "one_area", "unknown", "suspends", "topic", "strict"}
