"""How two things may be used, for each kind of rule that keeps two things apart or puts them in order."""

from __future__ import annotations

import pytest

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench
from dermalint.pairings.grid import UnknownSubjectError, compare_names, compare_products
from dermalint.pairings.model import Grid, Pairing
from judging import AS_OF, as_regimen, link_rules

ASKED = Asked(AS_OF, None, "usual")


def bench_of(*sentences: str) -> Bench:
    rules = [f'rule r{number} advice\n  {sentence}\n  why "trial"\n' for number, sentence in enumerate(sentences)]
    packs = link_rules("\n".join(rules))
    return Bench(packs.world, packs.rules)


def pair(*sentences: str, one: str = "retinol", other: str = "glycolic-acid") -> Pairing:
    (found,) = compare_names(bench_of(*sentences), ASKED, [one, other]).pairings
    return found


@pytest.mark.parametrize(
    ("sentence", "kind", "first", "least"),
    [
        ("separate retinol from glycolic-acid by routine.", "routine", None, None),
        ("separate retinol from glycolic-acid by day.", "day", None, None),
        ("separate retinol from glycolic-acid by 2 days.", "days", None, 2),
        ("separate retinol from glycolic-acid by 7 days before and 2 days after.", "days", None, 7),
        ("separate retinol from glycolic-acid by 12 hours.", "hours", None, None),
        ("separate retinol from glycolic-acid by 10 hours.", "hours", None, None),
        ("separate retinol from glycolic-acid by 9 hours.", "routine", None, None),
        ("separate retinol from glycolic-acid by 30 minutes.", "wait", None, 30),
        ("separate retinol from glycolic-acid by 40 days.", "never", None, None),
        ("never use retinol if regimen has glycolic-acid.", "together", None, None),  # told of retinol alone
        ("apply retinol before glycolic-acid.", "order", "retinol", None),
        ("apply glycolic-acid before retinol.", "order", "glycolic-acid", None),
        ("apply retinol first.", "order", "retinol", None),
        ("apply retinol last.", "order", "glycolic-acid", None),
        ("wait 10 minutes after retinol before glycolic-acid.", "order", "glycolic-acid", None),
        ("use retinol at most 3 times per week.", "together", None, None),
        ("separate retinol from lactic-acid by routine.", "together", None, None),
    ],
)
def test_one_rule_between_two_substances(sentence: str, kind: str, first: str | None, least: int | None) -> None:
    found = pair(sentence)
    assert (found.ruling.kind, found.ruling.first, found.ruling.least) == (kind, first, least)
    assert found.some is None
    assert [reason.rule for reason in found.ruling.reasons] == ([] if kind == "together" else ["trial.r0"])


def test_hours_are_told_as_the_rule_asks_for_them() -> None:
    assert pair("separate retinol from glycolic-acid by 12 hours.").ruling.required == "12 hours"


def test_waits_in_both_orders_ask_for_the_shorter() -> None:
    rules = "wait 10 minutes after retinol before glycolic-acid.", "wait 25 minutes after glycolic-acid before retinol."
    found = pair(*rules).ruling
    assert (found.kind, found.first, found.least) == ("wait", "retinol", 10)
    assert [reason.rule for reason in found.reasons] == ["trial.r0", "trial.r1"]


def test_orders_that_exclude_each_other_leave_different_routines() -> None:
    found = pair("apply retinol before glycolic-acid.", "apply glycolic-acid before retinol.")
    assert found.ruling.kind == "routine"


def test_what_depends_on_the_strength_is_told_apart() -> None:
    found = pair("separate retinol from glycolic-acid with strength at least 5 % by routine.")
    assert found.ruling.kind == "together"
    assert found.some is not None
    assert found.some.kind == "routine"
    assert found.some.reasons[0].unknown == ("the strength of glycolic-acid in glycolic-acid",)


def test_some_of_a_family_may_ask_for_more() -> None:
    rules = "separate retinoid from glycolic-acid by routine.", "separate tretinoin from glycolic-acid by 2 days."
    found = pair(*rules, one="retinoid")
    assert found.ruling.kind == "routine"
    assert found.some is not None
    assert (found.some.kind, found.some.least) == ("days", 2)


def test_without_names_all_that_rules_speak_of_is_compared_and_nothing_with_itself() -> None:
    rules = "separate retinoid from glycolic-acid by routine.", "separate tretinoin from alpha-hydroxy-acid by day."
    grid = compare_names(bench_of(*rules), ASKED)
    assert [subject.name for subject in grid.subjects] == ["alpha-hydroxy-acid", "retinoid"]
    assert len(grid.pairings) == 1


def test_an_unknown_name_is_told() -> None:
    with pytest.raises(UnknownSubjectError):
        compare_names(bench_of("never use retinol."), ASKED, ["retinoll"])


PLAN = """regimen: x
person: PERSON
products:
  r: {name: Night serum, contains: {retinol: 0.3 %}}
  g: {contains: {glycolic-acid: 7 %}}
  h: {contains: {glycolic-acid: 7 %}}
routines:
  - {slot: evening, days: [monday], steps: [{product: r, areas: [face]}]}
  - {slot: evening, days: [tuesday], steps: [{product: g, areas: [face], as-needed: true}, {product: h, areas: [neck]}]}
"""


def of_products(person: str = "{}") -> Grid:
    rule = "separate retinol from glycolic-acid by routine unless person is tolerant-to-retinoids."
    return compare_products(bench_of(rule), ASKED, as_regimen(PLAN.replace("PERSON", person)))


def test_products_are_compared_where_they_are_used() -> None:
    kinds = {(found.one.name, found.other.name): found.ruling.kind for found in of_products().pairings}
    assert kinds == {("r", "g"): "routine", ("r", "h"): "together", ("g", "h"): "together"}


def test_products_are_compared_for_the_person() -> None:
    grid = of_products("{traits: [tolerant-to-retinoids]}")
    assert {found.ruling.kind for found in grid.pairings} == {"together"}
    assert [subject.title for subject in grid.subjects] == ["Night serum", "g", "h"]
