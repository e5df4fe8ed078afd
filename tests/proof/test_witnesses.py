"""Witnesses break what they are to break, are one step from what holds, and are files that a review confirms."""

from __future__ import annotations

from pathlib import Path

import pytest

from dermalint.packs.load import load_packs
from dermalint.proof.before import compare
from dermalint.proof.beside import never_without
from dermalint.proof.coverage import Covering, line_of
from dermalint.proof.ground import Ground
from dermalint.proof.mutants import BOUNDARY, CLAUSE
from dermalint.proof.plans import own_examples
from dermalint.proof.witness import Witnesses, confirm
from dermalint.regimen.read import read_regimen
from dermalint_grammar.parse import parse_pack
from proof.seeded import AS_OF, ground_of

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


CANNOT_BE_ALONE = {
    ("use retinol for at most 14 days.", "use retinol for at most 7 days."): ("a.other0",),
    ("wait 5 minutes after toner before retinol or glycolic-acid.", "never use retinol.", "never use glycolic-acid."): (
        "a.other0",
        "a.other1",
    ),
    ("separate retinol from urea by routine if person is pregnant.", "never use retinol if person is pregnant."): ("a.other0",),
}


@pytest.mark.parametrize("sentences", CANNOT_BE_ALONE)
def test_what_cannot_be_broken_alone_is_said_with_the_reason(sentences: tuple[str, ...]) -> None:
    mine, *others = sentences
    text = f"rule one caution\n  {mine}\n" + "".join(f"rule other{n} advice\n  {said}\n" for n, said in enumerate(others))
    ground = ground_of(text)
    found = confirm(Witnesses(ground).of(ground.by_id["a.one"]), ground)
    assert found.well
    assert found.witness.always == CANNOT_BE_ALONE[sentences]
    assert {*found.witness.others} <= {*found.witness.always}
    assert "whatever breaks the rule breaks a.other0" in found.breaks


@pytest.mark.parametrize(
    "other",
    [
        "never use retinol if person is pregnant.",  # not where the rule speaks
        "never use retinol in the morning.",  # not at every hour
        "never use retinol with strength above 1 %.",  # not at every strength
        "never use retinol and urea.",
    ],
)
def test_a_rule_that_can_be_broken_alone_is_not_called_bound(other: str) -> None:
    ground = ground_of(f"rule one caution\n  separate retinol from urea by routine.\nrule other caution\n  {other}\n")
    linked = ground.by_id["a.one"]
    assert never_without(ground, linked, "usual") == ()
    assert Witnesses(ground).of(linked).others == ()


def test_an_example_of_its_author_is_among_what_is_tried() -> None:
    example = "evening: retinol 0.3 % (urea 2 %, squalane 8 %)"
    text = "rule one caution\n  never use retinol and urea and squalane.\n"
    ground = ground_of(f"{text}  breaks {example}\n  holds evening: urea 1 %\n")
    (plan,) = own_examples(ground.by_id["a.one"])
    assert plan.written() == example
    (kept,) = own_examples(ground.by_id["a.one"], breaks=False)
    assert kept.written() == "evening: urea 1 %"


SHIPPED = (
    "acids.acid-slow-start", "acne.wait-after-washing-when-it-stings", "procedures.retinoid-after-shaving",
    "steroids.self-bought-steroid-two-weeks", "regions.ca-alpha-hydroxy-acid", "scalp.minoxidil-and-retinoid",
    "retinol-limits.eu-retinol-body", "shelf.pharmacy-mixture-once-dispensed", "first-use.one-new-active-at-a-time",
)  # fmt: skip


@pytest.fixture(scope="module")
def shipped() -> Witnesses:
    return Witnesses(Ground(load_packs(), (), AS_OF))


@pytest.mark.parametrize("rule", SHIPPED)
def test_shipped_rules_are_broken_alone_or_cannot_be(shipped: Witnesses, rule: str) -> None:
    found = confirm(shipped.of(shipped.ground.by_id[rule]), shipped.ground)
    assert found.well
    assert bool(found.witness.others) is bool(found.witness.always)
    assert found.witness.change


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


ALIKE = {
    "expect serum with spf at least 30 in every day that has serum with spf below 30.": (["31 in place of 30"], "companion"),
    "expect serum with spf at least 30 in every day that has serum with spf below 20.": ([], ""),
    "never use retinol or adapalene.": ([], ""),
    "never use retinol or (retinol and urea).": (["left out", "left out"], "nothing is meant"),
}


@pytest.mark.parametrize("sentence", ALIKE)
def test_a_change_that_changes_nothing_is_not_asked_of_examples(sentence: str) -> None:
    changes, why = ALIKE[sentence]
    ground = ground_of(f"rule one caution\n  {sentence}\n  breaks evening: serum (spf 29)\n")
    coverage = Covering(ground).measure(ground.by_id["a.one"])
    alike = [one for one in coverage.shown if one.alike]
    assert [one.mutant.change for one in alike] == changes
    assert all(why in one.alike for one in alike)
    asked = sum(coverage.of(sort)[1] for sort in (BOUNDARY, CLAUSE))
    assert asked == len(coverage.shown) - len(alike) > 0


@pytest.mark.parametrize(
    ("sentence", "part"),
    [
        ("never use retinol if person is pregnant.", "if person is pregnant"),
        ("separate retinol except moisturiser from urea by routine.", "except `moisturiser`"),
        ("never use retinol unless person has burning.", "if not person has burning"),
        ("use left-on retinol only in the evening.", "left-on before `retinol`"),
    ],
)
def test_missing_examples_of_clauses_show_them(sentence: str, part: str) -> None:
    text = f"rule one caution\n  {sentence}\n"
    ground = ground_of(text)
    covering = Covering(ground)
    linked = ground.by_id["a.one"]
    missing = {one.mutant.part: one for one in covering.missing(linked, covering.measure(linked), CLAUSE)}
    closed = ground_of(f"{text}  {line_of(missing[part])}\n")
    again = Covering(closed).measure(closed.by_id["a.one"])
    assert [one.by_examples for one in again.shown if one.mutant.part == part] == [True]
