"""Waivers: by rule or by topic, for named products, until their last valid day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from dermalint.review import Asked, review_paths

PLAN = """regimen: x
products:
  acid: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  cream: {kind: treatment, base: emulsion, contains: {retinol: 0.3 %}}
  day: {kind: sunscreen, base: emulsion, spf: 50}
routines:
  - {slot: morning, steps: [day]}
  - {slot: evening, days: [monday], steps: [acid, cream]}
waivers:
  - WAIVER
"""
RULE = "retinoids.acid-off-retinoid-routines"


def waived(tmp_path: Path, waiver: str, as_of: date = date(2026, 3, 2)) -> tuple[set[str], list[str]]:
    path = tmp_path / "x.regimen.yaml"
    path.write_text(PLAN.replace("WAIVER", waiver))
    (result,) = review_paths([str(path)], Asked(as_of=as_of)).files
    assert any(finding.rule == RULE for finding in result.findings)
    return {finding.rule for finding in result.findings if finding.waived}, [problem.message for problem in result.problems]


@pytest.mark.parametrize(
    "waiver",
    [
        f"{{rule: {RULE}, reason: written plan}}",
        f"{{rule: {RULE}, products: [cream], reason: written plan, by: prescriber}}",
        "{topics: [separation], products: [acid], reason: clinic sheet}",
        f"{{rule: {RULE}, reason: written plan, until: 2026-03-02}}",
    ],
)
def test_a_waiver_that_fits_is_honoured(tmp_path: Path, waiver: str) -> None:
    assert RULE in waived(tmp_path, waiver)[0]


@pytest.mark.parametrize(
    "waiver",
    [
        "{topics: [sun], reason: other topic}",
        f"{{rule: {RULE}, products: [day], reason: other product}}",
    ],
)
def test_a_waiver_for_something_else_changes_nothing(tmp_path: Path, waiver: str) -> None:
    assert RULE not in waived(tmp_path, waiver)[0]


def test_an_expired_waiver_is_told_and_not_applied(tmp_path: Path) -> None:
    rules, problems = waived(tmp_path, f"{{rule: {RULE}, reason: plan, until: 2026-03-01}}")
    assert RULE not in rules
    assert any("2026-03-01" in problem for problem in problems)


def test_an_unknown_rule_in_a_waiver_is_told(tmp_path: Path) -> None:
    _, problems = waived(tmp_path, "{rule: retinoids.acid-of-retinoid-routines, reason: plan}")
    assert "No rule in force is called `retinoids.acid-of-retinoid-routines`." in problems


def test_a_waiver_that_fits_nothing_is_told(tmp_path: Path) -> None:
    nothing = "This waiver accepts nothing: no finding fits it."
    assert nothing in waived(tmp_path, f"{{rule: {RULE}, products: [day], reason: other product}}")[1]
    assert nothing in waived(tmp_path, "{topics: [shelf], products: [acid], reason: other topic}")[1]
    assert nothing not in waived(tmp_path, f"{{rule: {RULE}, reason: plan}}")[1]


@pytest.mark.parametrize("waiver", [f"{{rule: {RULE}, reason: plan}}", "{topics: [separation], products: [acid], reason: x}"])
def test_where_its_rule_was_left_out_a_waiver_is_not_blamed(tmp_path: Path, waiver: str) -> None:
    path = tmp_path / "x.regimen.yaml"
    path.write_text(PLAN.replace("WAIVER", waiver))
    (result,) = review_paths([str(path)], Asked(as_of=date(2026, 3, 2), only=("shelf",))).files
    assert [problem.message for problem in result.problems if "waiver" in problem.message or "No rule" in problem.message] == []


def test_a_shared_waiver_that_fits_one_person_is_of_use(tmp_path: Path) -> None:
    shared, _, routines = PLAN.replace("WAIVER", f"{{rule: {RULE}, reason: plan}}").partition("routines:\n")
    evenings, _, waivers = routines.partition("waivers:\n")
    inner = "".join(f"      {line}\n" for line in evenings.splitlines())
    calm = "      - {slot: morning, steps: [day]}\n"
    path = tmp_path / "x.regimen.yaml"
    path.write_text(f"{shared}waivers:\n{waivers}people:\n  anna:\n    routines:\n{calm}  bea:\n    routines:\n{inner}")
    results = review_paths([str(path)], Asked(as_of=date(2026, 3, 2))).files
    assert [result.person for result in results] == ["anna", "bea"]
    assert [any(finding.waived for finding in result.findings) for result in results] == [False, True]
    assert not any("waiver" in problem.message for result in results for problem in result.problems)
