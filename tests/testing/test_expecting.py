"""The assertions for tests of packs: they pass on what is true, and say what is there instead where it is not."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from dermalint.testing.expecting import expect_finding, expect_no_finding, find_findings

EVENINGS = """\
regimen: Evenings
products:
  toner: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  night-cream: {kind: moisturiser, base: emulsion, contains: {retinol: 0.3 %}}
routines:
  - {slot: evening, days: [monday], steps: [toner, night-cream]}
history: []
"""
RULE = "retinoids.acid-off-retinoid-routines"
HOUSE = 'pack house 1.0.0\nuses core\nrule no-toner advice\n  never use toner.\n  why "Trial."\n'


def test_a_finding_that_is_there() -> None:
    finding = expect_finding(EVENINGS, RULE, products=["night-cream", "toner"], severity="caution", certainty="certain")
    assert (finding.rule, finding.products) == (RULE, ("toner", "night-cream"))
    assert finding in find_findings(EVENINGS)


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        ({"products": ["toner"]}, f"{RULE} was to find something of toner. Found:"),
        ({"severity": "avoid"}, f"{RULE} was to find something avoid. Found:"),
        ({"certainty": "possible"}, f"{RULE} was to find something possible. Found:"),
        ({"stance": "usual", "rule": "acids.nothing"}, "acids.nothing was to find something. Found:"),
    ],
)
def test_one_that_is_not_there_is_told_with_those_that_are(wanted: dict[str, object], told: str) -> None:
    with pytest.raises(AssertionError) as failed:
        expect_finding(EVENINGS, **{"rule": RULE, **wanted})  # type: ignore[arg-type]
    assert str(failed.value).startswith(told)
    assert f"  {RULE} (caution, certain; toner, night-cream): " in str(failed.value)


def test_where_nothing_is_found() -> None:
    quiet = EVENINGS.replace("[toner, night-cream]", "[night-cream]").replace("0.3 %", "null")
    with pytest.raises(AssertionError, match=" was to find something"):
        expect_finding(quiet, RULE)
    expect_no_finding(quiet, RULE)
    expect_no_finding(quiet, "acids", "vitamin-c")


@pytest.mark.parametrize("rules", [(), (RULE,), ("retinoids",), ("vitamin-c", "retinoids")])
def test_a_finding_that_was_not_wanted(rules: tuple[str, ...]) -> None:
    with pytest.raises(AssertionError, match=r" was to find nothing\. Found:") as failed:
        expect_no_finding(EVENINGS, *rules)
    assert RULE in str(failed.value)


def test_packs_region_and_day_count(tmp_path: Path) -> None:
    (tmp_path / "house.rules").write_text(HOUSE, encoding="utf-8")
    expect_finding(EVENINGS, "house.no-toner", packs=[tmp_path])
    law = "retinol-limits.eu-retinol"
    strong = EVENINGS.replace("0.3 %", "0.6 %")
    expect_finding(strong, law, region="eu", as_of=date(2027, 6, 1))
    expect_no_finding(strong, law, region="us", as_of=date(2027, 6, 1))


def test_a_file_is_read_where_it_lies(tmp_path: Path) -> None:
    path = tmp_path / "x.regimen.yaml"
    path.write_text(EVENINGS, encoding="utf-8")
    assert expect_finding(path, RULE).products == ("toner", "night-cream")


def test_waived_findings_are_not_in_force() -> None:
    waived = EVENINGS + f"waivers:\n  - {{rule: {RULE}, reason: Trial, by: us, until: 2026-12-31}}\n"
    expect_no_finding(waived, RULE)


MISTAKEN = {
    "a regimen with a mistake": EVENINGS.replace("kind: toner", "kind: tonner"),
    "no regimen": "- nonsense\n",
}


@pytest.mark.parametrize("text", MISTAKEN.values(), ids=list(MISTAKEN))
def test_what_hinders_a_true_answer_is_no_answer(text: str) -> None:
    with pytest.raises(AssertionError):
        expect_no_finding(text, RULE)


def test_a_plugin_at_fault_is_no_answer(tmp_path: Path) -> None:
    text = 'pack house 1.0.0\nuses core, substances\nmeasure lost ""\nrule x caution\n  limit lost of retinol to at most 1.\n'
    (tmp_path / "house.rules").write_text(text, encoding="utf-8")
    with pytest.raises(AssertionError, match="No plugin that can be used computes the measure lost"):
        expect_no_finding(EVENINGS, "house", packs=[tmp_path])
