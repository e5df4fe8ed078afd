"""Witnesses break what they are to break, are one step from what holds, and are files that a review confirms."""

from __future__ import annotations

from pathlib import Path

import pytest

from dermalint.proof.before import compare
from dermalint.proof.coverage import Covering, line_of
from dermalint.proof.mutants import BOUNDARY, CLAUSE
from dermalint.proof.witness import Witnesses, confirm
from dermalint.regimen.read import read_regimen
from dermalint_grammar.parse import parse_pack
from proof.seeded import ground_of

RULES = {
    "separate retinol from glycolic-acid by 12 hours.": "a minute",
    "separate retinol from event waxing by 3 days after.": "a day",
    "wait 10 minutes after retinol before moisturiser.": "a minute",
    "limit strength of retinol to at most 0.3 %.": "0.3 % in place of 0.4 %",
    "use retinol at most 2 evenings per week.": "a day",
    "never use retinol if age below 12 years.": "a month older",
    "use hydroquinone for at most 8 weeks.": "a day shorter",
    "apply serum before moisturiser.": "other order",
    "never use retinol with contact above 5 minutes and timed retinol.": "one minute less",
    "after retinol expect moisturiser in the same routine.": "beside it",
    "expect sunscreen in every morning.": "beside it",
    "never use retinol if person is pregnant.": "without “pregnant”",
    "in daylight expect sunscreen every 2 hours.": "a minute",
    "before first use of retinol expect patch-test of retinol at least 24 hours ahead.": "without “new”",
    "never use retinol unless skin is dry.": "",
    "never use event waxing if person takes isotretinoin.": "without",
    "limit total strength of alpha-hydroxy-acid per day to at most 10 %.": "",
    "never use retinol in the morning if region is eu.": "",
    "use retinol at most 2 evenings per week during the first 2 weeks of retinol.": "",
    "limit days-past-expiry of any product to at most 0 days.": "",
}


@pytest.mark.parametrize("sentence", RULES)
def test_witness_is_confirmed_and_one_change_from_holding(sentence: str, tmp_path: Path) -> None:
    ground = ground_of(f"rule one caution\n  {sentence}\nrule other caution\n  never use urea.\n")
    found = confirm(Witnesses(ground).of(ground.by_id["a.one"]), ground)
    assert found.well, found
    assert found.witness.others == ()
    assert RULES[sentence] in found.witness.change, found.witness.change
    for text in (found.breaks, found.holds):
        path = tmp_path / "w.regimen.yaml"
        path.write_text(text, encoding="utf-8")
        assert read_regimen(path, shown=path.name).problems == ()


def test_a_rule_that_no_plan_breaks_has_no_witness() -> None:
    ground = ground_of("rule one caution\n  separate uses of retinol by 1 day.\n")
    witness = Witnesses(ground).of(ground.by_id["a.one"])
    assert witness.breaks is None
    assert not confirm(witness, ground).well


def test_other_rules_are_kept_from_firing() -> None:
    text = """
rule one caution
  limit strength of retinol to at most 0.3 %.
rule two caution
  after retinol expect moisturiser in the same routine.
rule three caution
  expect sunscreen in every morning.
"""
    ground = ground_of(text)
    witness = Witnesses(ground).of(ground.by_id["a.one"])
    assert witness.others == ()
    assert witness.breaks is not None
    assert "moisturiser" in witness.breaks.written()
    assert "sunscreen" in witness.breaks.written()


EXAMPLES = """
rule one caution
  limit strength of retinol to at most 0.3 % if age at least 18 years.
  breaks person age 30 years: evening: retinol 1 %
  holds  person age 30 years: evening: retinol 0.1 %
"""


def test_coverage_counts_boundaries_and_missing_examples_close_them() -> None:
    ground = ground_of(EXAMPLES)
    covering = Covering(ground)
    linked = ground.by_id["a.one"]
    coverage = covering.measure(linked)
    assert coverage.of(BOUNDARY) == (0, 4)
    assert coverage.of(CLAUSE)[0] == 0
    lines = [line_of(missing) for missing in covering.missing(linked, coverage) if missing.plan is not None]
    closed = ground_of(EXAMPLES + "".join(f"  {line}\n" for line in lines))
    again = Covering(closed).measure(closed.by_id["a.one"])
    assert again.of(BOUNDARY) == (4, 4)
    assert all(parse_pack(f"pack x 1.0.0\nrule r advice\n never use retinol.\n {line}\n").mistakes == () for line in lines)


def test_versions_that_disagree_are_told_with_a_regimen() -> None:
    old = ground_of("rule one caution\n  use retinol at most 3 evenings per week.\nrule two caution\n  never use urea.\n")
    new = ground_of("rule one caution\n  use retinol at most 2 evenings per week.\nrule two caution\n  never use urea.\n")
    (found,) = compare(old, new, frozenset({"a"}))
    assert found.rule == "a.one"
    assert found.plan is not None
    assert found.before is None
    assert found.after is not None
    assert len(found.plan.routines) == 3


def test_a_rule_that_goes_and_one_that_comes_are_told() -> None:
    old = ground_of("rule one caution\n  never use retinol.\n")
    new = ground_of("rule two caution\n  never use urea.\n")
    gone = {one.rule: (one.before is None, one.after is None) for one in compare(old, new, frozenset({"a"}))}
    assert gone == {"a.two": (True, False), "a.one": (False, True)}


def test_the_same_said_otherwise_shows_no_difference() -> None:
    old = ground_of("rule one caution\n  never use retinol or adapalene.\n")
    new = ground_of("rule one caution\n  never use adapalene or retinol.\n")
    (found,) = compare(old, new, frozenset({"a"}))
    assert found.plan is None
    assert found.judged > 10
