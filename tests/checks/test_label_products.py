"""Products that are given by their label: what rules conclude from a list of ingredients."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from textwrap import dedent, indent

import pytest

from dermalint.checks.asked import Asked
from dermalint.checks.contents import read_contents, strength
from dermalint.checks.judge import Bench, judge
from dermalint.checks.labels import with_labels
from dermalint.packs.link import link_files
from dermalint.packs.model import PackFile, PackSet
from dermalint.regimen.model import HINT, Problem, Regimen
from dermalint.regimen.read import read_regimen
from dermalint.verdict.findings import Finding
from dermalint_grammar.nodes import BILLION
from judging import as_regimen

ROOT = Path(__file__).parents[2]
SHIPPED = (
    ROOT / "rulesets/dermalint_rulesets/core.rules",
    ROOT / "rulesets/dermalint_rulesets/substances.rules",
    ROOT / "rulesets/dermalint_rulesets/sun.rules",
    ROOT / "rulesets/dermalint_rulesets/layering.rules",
    ROOT / "plugins/dermalint_acids/acids.rules",
    ROOT / "plugins/dermalint_retinoids/retinoids.rules",
)
EXAMPLE = "Aqua, Glycolic Acid, Propanediol, …"


@cache
def packs(rules: str = "") -> PackSet:
    paths = SHIPPED[:2] if rules else SHIPPED
    files = [(PackFile(str(path), path.name, "given"), path.read_bytes()) for path in paths]
    if rules:
        text = f'pack trial 1.0.0\nuses core, substances\nrule trial advice\n  {rules}\n  why "trial"\n'
        files.append((PackFile("trial.rules", "trial.rules", "given"), text.encode()))
    linked = link_files(files)
    assert not linked.problems, [problem.message for problem in linked.problems]
    return linked


def regimen(products: str, steps: str = "it") -> Regimen:
    body = indent(dedent(products).strip(), "  ")
    return as_regimen(f"regimen: Labels\nhistory: []\nproducts:\n{body}\nroutines:\n  - {{slot: evening, steps: [{steps}]}}\n")


def labelled(ingredients: str, more: str = "kind: serum") -> str:
    return f'it:\n  {more}\n  ingredients: "{ingredients}"'


def asked(products: str, rules: str = "", steps: str = "it") -> tuple[tuple[Finding, ...], tuple[Problem, ...]]:
    linked = packs(rules)
    return judge(Bench(linked.world, linked.rules), regimen(products, steps), Asked(date(2026, 3, 2), None, "usual"))


def verdict(rules: str, products: str) -> str:
    certainties = {finding.certainty for finding in asked(products, rules)[0]}
    return "breaks" if "certain" in certainties else "unknown" if certainties else "holds"


def strength_of(products: str, *names: str) -> tuple[int, int | None] | None:
    """The bounds of a strength, in per cent."""
    world = packs().world
    product = with_labels(regimen(products), world)[0].products["it"]
    found = strength(read_contents(product, world), frozenset(names), frozenset())
    return None if found is None else (found.low // BILLION, None if found.high is None else found.high // BILLION)


def test_the_example_of_the_format_meets_the_rules_about_acids() -> None:
    products = labelled(EXAMPLE, "kind: toner") + "\nother: {kind: serum, contains: {retinol: 0.3 %}}"
    findings, _ = asked(products, steps="it, other")
    certain = {finding.rule: finding for finding in findings if finding.certainty == "certain"}
    possible = {finding.rule: finding for finding in findings if finding.certainty == "possible"}
    assert certain["sun.sun-with-alpha-hydroxy-acid"].matched[0].through == "glycolic-acid from the label list"
    assert possible["retinoids.acid-off-retinoid-routines"].unknown == ("the strength of glycolic-acid in it",)


def test_what_order_proves_decides_about_strengths() -> None:
    rule = "never use retinol with strength above 1 %."
    assert verdict(rule, labelled("Aqua, Retinol, Phenoxyethanol")) == "unknown"
    assert verdict(rule, labelled("Aqua, Phenoxyethanol, Retinol")) == "holds"
    finding = asked(labelled("Aqua, Phenoxyethanol, Retinol"), "never use retinol.")[0][0]
    assert finding.matched[0].through == "retinol from the label list (listed after Phenoxyethanol, so at most 1 %)"


def test_a_bound_that_does_not_decide_is_told_as_unknown() -> None:
    finding = asked(labelled("Aqua, Phenoxyethanol, Retinol"), "never use retinol with strength above 0.5 %.")[0][0]
    assert finding.certainty == "possible"
    assert finding.unknown == ("the strength of retinol (listed after Phenoxyethanol, so at most 1 %) in it",)
    limit = asked(labelled("Aqua, Phenoxyethanol, Retinol"), "limit strength of retinol to at most 0.5 %.")[0][0]
    assert limit.unknown == finding.unknown


def test_bounds_add_up_over_a_family() -> None:
    text = "Aqua, Phenoxyethanol, Retinol, Retinyl Palmitate"
    assert strength_of(labelled(text), "retinoid") == (0, 2)
    assert strength_of(labelled(text.replace("Phenoxyethanol, Retinol", "Retinol, Phenoxyethanol")), "retinoid") == (0, None)
    assert strength_of(labelled(text), "hydroquinone") is None


def test_a_panel_states_strengths() -> None:
    panel = "Active ingredients: Salicylic Acid 2 % Inactive ingredients: Water, Citric Acid"
    assert strength_of(labelled(panel), "beta-hydroxy-acid") == (2, 2)
    assert verdict("limit strength of salicylic-acid to at most 1.5 %.", labelled(panel)) == "breaks"


def test_may_contain_is_possible_and_no_strength() -> None:
    text = labelled("Talc, Mica, may contain: Titanium Dioxide, Retinol")
    assert verdict("never use retinol.", text) == "unknown"
    assert verdict("never use retinol with strength above 0.1 %.", text) == "holds"
    assert strength_of(text, "retinol") is None
    finding = asked(text, "never use retinoid.")[0][0]
    assert finding.unknown == ("whether retinol is in it",)


def test_named_twice_and_once_for_certain_is_certain() -> None:
    assert verdict("never use retinol.", labelled("Talc, Mica, Retinol, may contain: Retinol")) == "breaks"


@pytest.mark.parametrize(
    ("ingredients", "found"),
    [
        ("Aqua, Glycerin, Betaine, Panthenol, Carbomer, Citric Acid", "holds"),
        ("Aqua, Phenoxyethanol, Citric Acid", "holds"),
        ("Active ingredient: Zinc Oxide 10 % Inactive ingredients: Citric Acid, Water", "holds"),
        ("Aqua, Malic Acid, Tartaric Acid, Glycerin", "unknown"),
        ("Aqua, Glycerin, Betaine, Panthenol, Carbomer, Citric Acid 8 %", "breaks"),
        ("Aqua, Glycerin, Betaine, Panthenol, Carbomer, Lactic Acid", "breaks"),
    ],
)
def test_acids_that_set_the_ph_are_no_exfoliating_acids(ingredients: str, found: str) -> None:
    assert verdict("never use exfoliating-acid.", labelled(ingredients)) == found


def test_a_ph_adjuster_is_still_that_substance() -> None:
    low = labelled("Aqua, Glycerin, Betaine, Panthenol, Carbomer, Citric Acid")
    assert verdict("never use citric-acid.", low) == "breaks"
    assert verdict("never use ph-adjuster.", low) == "breaks"
    assert verdict("never use citric-acid with strength at least 5 %.", low) == "holds"
    finding = asked(low, "never use citric-acid.")[0][0]
    assert finding.matched[0].through == "citric-acid from the label list (taken as setting the pH, so at most 1 %)"


def test_an_acid_among_the_first_names_may_be_there_to_exfoliate() -> None:
    finding = asked(labelled("Aqua, Citric Acid, Glycerin"), "never use alpha-hydroxy-acid.")[0][0]
    assert finding.unknown == ("whether citric-acid is in it to exfoliate or only sets its pH",)


def test_an_ordinary_cream_meets_no_rule_about_acids() -> None:
    cream = labelled(
        "Aqua, Glycerin, Caprylic/Capric Triglyceride, Cetearyl Alcohol, Niacinamide, Panthenol, Phenoxyethanol, "
        "Hyaluronic Acid, Citric Acid, Some Plant Extract, Another Plant Extract, Parfum",
        "kind: moisturiser",
    )
    findings, problems = asked(cream)
    assert findings == ()
    assert problems == ()


def test_contains_wins_over_the_label() -> None:
    both = labelled(EXAMPLE, "contains: {glycolic-acid: 7 %}")
    assert strength_of(both, "alpha-hydroxy-acid") == (7, 7)
    assert strength_of(labelled("Glycolic Acid 5 %, Aqua", "contains: {glycolic-acid: 7 %}"), "glycolic-acid") == (7, 7)


def test_the_label_helps_where_contains_has_no_strength() -> None:
    assert strength_of(labelled("Aqua, Phenoxyethanol, Retinol", "contains: {retinol: }"), "retinol") == (0, 1)
    assert strength_of(labelled("Aqua, Retinol 2 %", "contains: {retinol: }"), "retinol") == (2, 2)
    assert strength_of(labelled("Aqua, Retinol", "contains: {retinol: }"), "retinol") == (0, None)


def test_a_listed_member_is_part_of_its_familys_total() -> None:
    both = labelled(EXAMPLE, "contains: {alpha-hydroxy-acid: 30 %}")
    assert strength_of(both, "alpha-hydroxy-acid") == (30, 30)
    assert strength_of(both, "glycolic-acid") == (0, 30)


def test_a_ph_adjuster_named_under_contains_is_an_acid() -> None:
    both = labelled("Aqua, Phenoxyethanol, Citric Acid", "contains: {citric-acid: }")
    assert verdict("never use exfoliating-acid.", both) == "breaks"


def test_names_that_are_not_known_are_nothing() -> None:
    assert (
        verdict("never use retinoid or exfoliating-acid or fragrance.", labelled("Aqua, Rosa Extract, Salix Extract"))
        == "holds"
    )


def test_the_base_of_a_label_counts_and_a_stated_one_wins() -> None:
    rule = "never use base oil."
    assert verdict(rule, labelled("Squalane, Retinol")) == "breaks"
    assert verdict(rule, labelled("Aqua, Retinol")) == "holds"
    assert verdict(rule, labelled("Some Oily Thing, Retinol")) == "unknown"
    assert verdict(rule, labelled("Squalane, Retinol", "base: emulsion")) == "holds"
    assert asked(labelled("Squalane, Retinol"), rule)[0][0].matched[0].through == "oil base from the label list"


def test_an_oil_has_no_ph() -> None:
    assert verdict("limit ph of retinol to at least 5.", labelled("Squalane, Retinol")) == "holds"
    assert verdict("limit ph of retinol to at least 5.", labelled("Aqua, Retinol")) == "unknown"


@pytest.mark.parametrize(
    ("ingredients", "message"),
    [
        (
            "Aqua, A Thing, Another Thing",
            "On the label of it, 2 of 3 names were not recognised; nothing is concluded from them.",
        ),
        ("A Thing", "The one name on the label of it was not recognised; nothing is concluded from it."),
        ("Aqua, Glycerin, A Thing, Another Thing", None),
        ("…", None),
    ],
)
def test_one_hint_where_most_names_are_unknown(ingredients: str, message: str | None) -> None:
    problems = asked(labelled(ingredients))[1]
    assert [problem.message for problem in problems] == ([message] if message else [])
    assert all(problem.level == HINT for problem in problems)


@pytest.mark.parametrize(
    "written",
    [
        '"Aqua, Retinol"',
        "'Aqua, Retinol'",
        "Aqua, Retinol",
    ],
)
def test_a_name_has_its_place_in_the_file(tmp_path: Path, written: str) -> None:
    text = f"regimen: X\nproducts:\n  it:\n    ingredients: {written}\nroutines:\n  - {{slot: evening, steps: [it]}}\n"
    path = tmp_path / "x.regimen.yaml"
    path.write_text(text, encoding="utf-8")
    product = with_labels(read_regimen(path, shown="x").regimens[0], packs().world)[0].products["it"]
    assert [text[content.place.start : content.place.end] for content in product.contains] == ["Aqua", "Retinol"]


@pytest.mark.parametrize(
    "written",
    [
        "|\n      Aqua,\n      Retinol",
        "|\n     a, Retinol",
        ">-\n      Aqua, Retinol",
        "Aqua,\n      Retinol",
        '"Aqua\\u002c Retinol"',
    ],
)
def test_a_list_written_over_lines_has_one_place(tmp_path: Path, written: str) -> None:
    text = f"regimen: X\nroutines: []\nproducts:\n  it:\n    ingredients: {written}\n"
    path = tmp_path / "x.regimen.yaml"
    path.write_text(text, encoding="utf-8")
    product = with_labels(read_regimen(path, shown="x").regimens[0], packs().world)[0].products["it"]
    assert product.contains
    assert {content.place for content in product.contains} == {product.ingredients_place}


def test_findings_point_into_the_label() -> None:
    finding = asked(labelled("Aqua, Retinol"), "never use retinol.")[0][0]
    assert [related.note for related in finding.related] == ["retinol on the label of it"]


def test_a_regimen_without_lists_is_left_alone() -> None:
    plain = regimen("it: {kind: serum, contains: {retinol: 0.3 %}}")
    assert with_labels(plain, packs().world)[0] is plain
