"""Facts that are commonly mis-stated, and the packs on the right side of each.

T1 to T40 are numbered as in ``TRAPS.md``, which lists those that no rule or regimen can show yet.  Beside each stands the
published source of the right value.
"""

from __future__ import annotations

from typing import Any

import pytest
from plans import holding, on, plan, together
from practice import judge_data, rules_of, shipped, tell

from dermalint.verdict.findings import Finding
from dermalint_grammar import nodes

LAW_IN_FORCE = "2027-06-01"


def law(regimen: dict[str, Any], region: str = "eu", as_of: str = LAW_IN_FORCE) -> list[Finding]:
    """What the packs of regional law say."""
    found = judge_data(regimen | {"region": region}, as_of=as_of)
    return [finding for finding in found if finding.rule.startswith(("regions.", "retinol-limits."))]


def rule(name: str) -> nodes.Rule:
    return next(linked.rule for linked in shipped().rules if linked.id == name)


def texts(one: nodes.Rule) -> str:
    return " ".join([one.why, one.advise, one.disputed, *(source.text for source in one.sources)])


ALL_TEXT = "\n".join(texts(linked.rule) for linked in shipped().rules)

# --- law ---

# Regulation (EU) 2024/996 of 3 April 2024, OJ 4.4.2024, Annex, entry 376: the figures are retinol equivalents.  By molar mass
# (286.46, 328.50 and 524.86 g/mol) 0.3 % are 0.344 % of the acetate and 0.550 % of the palmitate.


@pytest.mark.parametrize(
    ("within", "above"),
    [
        ("retinyl-palmitate 0.55 %", "retinyl-palmitate 0.56 %"),
        ("retinyl-acetate 0.344 %", "retinyl-acetate 0.36 %"),
        ("retinol 0.3 %", "retinol 0.31 %"),
    ],
)
def test_t01_the_limit_counts_retinol_equivalents(within: str, above: str) -> None:
    assert law(plan(holding(within))) == []
    assert [finding.severity for finding in law(plan(holding(above)))] == ["advice"]


@pytest.mark.parametrize(
    ("within", "above"),
    [
        ("retinyl-palmitate 0.091 %", "retinyl-palmitate 0.1 %"),
        ("retinyl-acetate 0.057 %", "retinyl-acetate 0.06 %"),
        ("retinol 0.05 %", "retinol 0.06 %"),
    ],
)
def test_t01_the_lower_limit_of_body_lotion(within: str, above: str) -> None:
    assert law(on("legs", holding(within, kind="moisturiser"))) == []
    assert [finding.severity for finding in law(on("legs", holding(above, kind="moisturiser")))] == ["advice"]


def test_t02_retinal_and_other_retinoids_have_no_entry() -> None:
    """Entry 376 names three substances; retinoic acid is prohibited by Annex II, entry 375, of Regulation (EC) 1223/2009."""
    for strengths in ("retinal 1 %", "hydroxypinacolone-retinoate 1 %", "retinyl-propionate 1 %"):
        assert law(plan(holding(strengths))) == [], strengths
    assert rules_of(law(plan(holding("tretinoin 0.05 %")))) == {"regions.tretinoin-no-cosmetic"}
    assert law(plan(holding("tretinoin 0.05 %", prescribed=True))) == []


@pytest.mark.parametrize(
    ("as_of", "expected"),
    [
        ("2025-10-31", set()),
        ("2025-11-01", {"retinol-limits.eu-retinol-sell-through"}),
        ("2027-04-30", {"retinol-limits.eu-retinol-sell-through"}),
        ("2027-05-01", {"retinol-limits.eu-retinol"}),
    ],
)
def test_t03_a_phased_limit_has_two_dates(as_of: str, expected: set[str]) -> None:
    """Regulation (EU) 2024/996: placing on the market until 1 November 2025, making available until 1 May 2027."""
    assert rules_of(law(plan(holding("retinol 0.5 %")), as_of=as_of)) == expected


def test_t04_body_lotion_has_its_own_limit_of_salicylic_acid() -> None:
    """Regulation (EC) 1223/2009, Annex III, entry 98: 2.0 % in most products, 0.5 % in body lotion and five others."""
    strong = holding("salicylic-acid 2 %", kind="moisturiser")
    assert law(plan(strong)) == []
    assert rules_of(law(on("legs", strong))) == {"regions.eu-salicylic-acid-body-lotion"}
    assert law(on("legs", holding("salicylic-acid 0.5 %", kind="moisturiser"))) == []


def test_t05_no_exception_for_shampoos_of_small_children() -> None:
    """Entry 98 has none any more; Annex V, entry 3, keeps one for the salts as preservative."""
    wash = {"kind": "shampoo", "contact": "rinsed"}
    toddler = {"age": "20 months"}
    acid = judge_data(on("scalp", holding("salicylic-acid 2 %", **wash), person=toddler))
    assert "people.child-salicylic-acid" in rules_of(acid)
    salt = judge_data(on("scalp", holding("sodium-salicylate 0.5 %", **wash), person=toddler))
    assert rules_of(salt) == set()


def test_t06_a_committees_opinion_is_no_law() -> None:
    """SCCS/1675/25, final 30 April 2025: an opinion on ages 3 to 10; no amending act was found."""
    (finding,) = judge_data(plan(holding("salicylic-acid 2 %"), person={"age": 6, "reasons": ["acne"]}))
    assert (finding.rule, finding.severity) == ("people.child-salicylic-acid-strength", "advice")
    assert "no law" in finding.disputed
    assert law(plan(holding("salicylic-acid 2 %"), person={"age": 6})) == []


def test_t07_eu_law_sets_no_cap_on_glycolic_acid() -> None:
    """No entry in Annexes II to VI (export of 13 May 2024); 4 % and pH 3.8 are from a position paper of 2000."""
    assert law(plan(holding("glycolic-acid 20 %", base="water", ph=3.0))) == []
    assert "EU law sets no figure" in rule("acids.leave-on-fruit-acid-strength").disputed
    assert "EU law sets none" in rule("acids.leave-on-fruit-acid-acidity").disputed


def test_t08_ten_per_cent_is_a_panels_conclusion() -> None:
    """Cosmetic Ingredient Review, Int J Toxicol 2017;36(Suppl 2):15S-21S; the FDA issued labelling guidance only."""
    strong = plan(holding("glycolic-acid 12 %", base="water", ph=3.8))
    assert law(strong, region="us") == []
    assert "acids.leave-on-fruit-acid-strength" in rules_of(judge_data(strong))
    assert "not a law" in rule("acids.leave-on-fruit-acid-strength").disputed


def test_t09_no_strength_of_hydroquinone_is_a_cosmetic_in_the_eu() -> None:
    """Regulation (EC) 1223/2009, Annex II, entry 1339, and Annex III, entry 14: professional nail systems only."""
    for strength in ("0.02 %", "2 %"):
        assert rules_of(law(plan(holding(f"hydroquinone {strength}")))) == {"regions.hydroquinone-no-cosmetic"}


def test_t10_over_the_counter_hydroquinone_ended_in_the_united_states() -> None:
    """An unapproved new drug since the reform of 2020 (reports on FDA's letters of April 2022)."""
    found = law(plan(holding("hydroquinone 2 %")), region="us")
    assert rules_of(found) == {"regions.us-hydroquinone-needs-prescriber"}
    assert law(plan(holding("hydroquinone 4 %", prescribed=True)), region="us") == []


def test_t11_two_acne_products_are_a_warning_and_one_with_both_is_no_monograph_combination() -> None:
    """21 CFR 333.320 (combinations) and 333.350 (warning)."""
    one = law(plan(holding("benzoyl-peroxide 5 %, salicylic-acid 2 %")), region="us")
    assert rules_of(one) == {"regions.us-acne-combination"}
    two = judge_data(together(holding("salicylic-acid 2 %"), holding("benzoyl-peroxide 5 %"), region="us"))
    assert {(finding.rule, finding.severity) for finding in two} == {("acne.peroxide-with-other-drying-treatments", "advice")}


def test_t12_the_label_goes_down_to_once_a_day_or_every_other_day() -> None:
    """21 CFR 333.350 (75 FR 9776)."""
    cited = [linked.rule for linked in shipped().rules if any("333.350" in source.text for source in linked.rule.sources)]
    assert cited
    for one in cited:
        for source in one.sources:
            assert "333.350" not in source.text or "times a week" not in source.text, one.name.text
    assert "once a day or every other day" in texts(rule("retinoids.fewer-retinoid-evenings-on-dry-skin"))
    sore = plan(holding("benzoyl-peroxide 2.5 %"), person={"age": 20, "reasons": ["acne"], "symptoms": ["dryness"]})
    assert judge_data(sore) == []


def test_t13_the_three_day_test_is_optional_and_on_affected_skin() -> None:
    """21 CFR 333.350: optional wording; one or two small affected areas during the first 3 days."""
    one = rule("first-use.patch-test-first")
    assert one.severity == "advice"
    assert any("optional" in source.text and "affected areas" in source.text for source in one.sources)


# --- acids, sun ---


def stopped(days: int) -> list[Finding]:
    """Findings on an acid used last on the evening of day 1, with sunscreen for so many days behind it and none after."""
    sun = {"slot": "morning", "steps": ["day"]}
    phases = [
        {"for": "1 day", "cycle": "1 day", "routines": [sun, {"slot": "evening", "steps": ["night"]}]},
        {"for": f"{days} days", "cycle": "7 days", "routines": [sun]},
        {"cycle": "7 days", "routines": [{"slot": "morning", "steps": ["plain"]}]},
    ]
    regimen = plan(holding("glycolic-acid 8 %", base="water", ph=3.8), starts="2026-03-02", phases=phases)
    regimen["products"]["plain"] = {"kind": "moisturiser"}
    regimen["history"] = [{"product": key, "since": "2025-03-03"} for key in regimen["products"]]
    del regimen["routines"]
    return [finding for finding in judge_data(regimen) if finding.topic == "sun"]


def test_t14_caution_in_the_sun_goes_on_for_a_week_after_the_acid() -> None:
    """FDA guidance on alpha hydroxy acids, 10 January 2005 (70 FR 1721): during use and for up to a week afterwards."""
    assert [finding.severity for finding in stopped(6)] == ["caution"]
    assert stopped(7) == []


def test_t15_salicylic_acid_asks_for_no_sunscreen() -> None:
    """Cosmetic Ingredient Review 2019: the condition of 2003 was dropped."""
    bare = {"kind": "moisturiser"}
    assert judge_data(plan(holding("salicylic-acid 2 %"), morning=bare)) == []
    glycolic = judge_data(plan(holding("glycolic-acid 8 %", base="water", ph=4.5), morning=bare))
    assert "sun.sun-with-alpha-hydroxy-acid" in rules_of(glycolic)


def test_t16_bodies_differ_on_the_minutes_before_the_sun() -> None:
    """21 CFR 201.327: 15 minutes; Cancer Council Australia and SunSmart: 20; UK health service: 30 and again just before."""

    def leaving(clock: str) -> set[str]:
        outdoors = [{"days": "every", "from": clock, "to": "09:00"}]
        return rules_of(judge_data(plan(day={"morning": "07:30"}, outdoors=outdoors)))

    assert leaving("07:45") == set()
    assert leaving("07:40") == {"sun.sunscreen-before-going-out"}
    one = rule("sun.sunscreen-before-going-out")
    assert one.severity == "advice"
    assert all(figure in one.disputed for figure in ("15 minutes", "20", "30"))


def test_t17_an_early_second_coat_is_welcome_and_no_cut_is_claimed_for_it() -> None:
    """Diffey 2001, J Am Acad Dermatol 45:882: the dose received is 60 to 85 % of what a late second coat leaves."""
    twice = plan(day={"morning": "08:00"}, outdoors=[{"days": "every", "from": "08:20", "to": "10:00"}])
    twice["routines"].append({"slot": "morning", "at": "08:40", "steps": ["day"]})
    assert [tell(finding) for finding in judge_data(twice)] == []
    assert "85 %" not in ALL_TEXT


# --- testing, shelf, labels ---


def new(product: dict[str, Any], **fields: Any) -> dict[str, Any]:
    return plan(product, starts="2026-03-02", history=[{"product": "day", "since": "2025-03-03"}], **fields)


def test_t23_a_test_of_a_day_is_not_called_enough() -> None:
    """French study of 328 open tests: reactions at day 3 in the middle, day 10 at the latest."""
    for name in ("first-use.patch-test-first", "first-use.patch-test-on-sensitive-skin"):
        assert "seven to ten days" in rule(name).advise
    assert "misses many reactions" in rule("first-use.patch-test-first").disputed
    asked = judge_data(new(holding("azelaic-acid 10 %")))
    assert "first-use.patch-test-first" in rules_of(asked)


def test_t24_no_use_test_for_strong_acids_peels_and_retinoids() -> None:
    """British contact-dermatitis society, leaflet on the repeated open application test."""
    for product in (holding("retinol 0.1 %"), holding("adapalene 0.1 %"), holding("trichloroacetic-acid 10 %", kind="peel")):
        found = rules_of(judge_data(new(product)), "first-use")
        assert not {name for name in found if "patch-test" in name}


def test_t25_an_unknown_period_is_no_expired_one() -> None:
    """Regulation (EC) 1223/2009, Article 19(1)(c): a period after opening only for durability above 30 months."""
    assert judge_data(plan({"kind": "moisturiser", "opened": "2020-01-01"})) == []
    late = plan({"kind": "moisturiser", "opened": "2025-01-01", "lasts-after-opening": "12 months"})
    assert rules_of(judge_data(late)) == {"shelf.past-its-date"}
    dated = plan({"kind": "moisturiser", "expires": "2026-03-02"})
    assert judge_data(dated, as_of="2026-03-02") == []
    assert rules_of(judge_data(dated, as_of="2026-03-03")) == {"shelf.past-its-date"}
    assert "up to 30 months" in texts(rule("shelf.past-its-date"))


def test_t26_the_order_of_a_label_gives_no_strength_below_one_per_cent() -> None:
    """Regulation (EC) 1223/2009, Article 19(1)(g): below 1 % in any order.  Phenoxyethanol: at most 1 % (Annex V, 29)."""
    traces = "Aqua, Glycerin, Panthenol, Phenoxyethanol, Glycolic Acid"
    low = together({"kind": "toner", "ingredients": traces}, holding("tretinoin 0.025 %", prescribed=True))
    assert [tell(finding) for finding in judge_data(low)] == []
    high = together(
        {"kind": "toner", "ingredients": "Aqua, Glycolic Acid, Glycerin"}, holding("tretinoin 0.025 %", prescribed=True)
    )
    assert {finding.certainty for finding in judge_data(high) if finding.topic == "separation"} == {"possible"}


# --- pairs ---


def test_t27_peroxide_and_tretinoin_depend_on_the_vehicle() -> None:
    """Martin 1998 (loss), Del Rosso 2010 (none in another gel), J Am Acad Dermatol 2023;89:719 (one product with both)."""
    peroxide = holding("benzoyl-peroxide 5 %")
    (finding,) = judge_data(together(peroxide, holding("tretinoin 0.05 %", prescribed=True)))
    assert (finding.rule, finding.severity) == ("acne.peroxide-from-tretinoin", "caution")
    assert "another gel kept all" in finding.disputed
    assert judge_data(together(peroxide, holding("adapalene 0.1 %"))) == []
    both = plan(holding("benzoyl-peroxide 3 %, tretinoin 0.1 %", form="encapsulated", prescribed=True))
    assert judge_data(both) == []


def test_t28_vitamin_c_and_niacinamide_may_share_a_morning() -> None:
    """Chin J Chem Eng 2014;22:1005: hydrolysis was measured at 190 to 250 °C."""
    acid = holding("ascorbic-acid 15 %", kind="serum", base="water", ph=3.2)
    assert judge_data(together(acid, holding("niacinamide 10 %", kind="serum", base="water", ph=6), slot="morning")) == []


def test_t29_ascorbic_acid_wants_a_ph_below_three_and_a_half() -> None:
    """Pinnell 2001, Dermatol Surg 27:137: below pH 3.5, in pig skin."""

    def at(ph: float) -> set[str]:
        return rules_of(judge_data(plan(holding("ascorbic-acid 15 %", kind="serum", base="water", ph=ph))))

    assert at(3.4) == set()
    assert at(3.5) == {"vitamin-c.ascorbic-acid-acidity"}
    assert any("pig skin" in source.text for source in rule("vitamin-c.ascorbic-acid-acidity").sources)


def test_t30_acid_does_not_destroy_the_copper_peptide() -> None:
    """Pharm Dev Technol 2016;21:152: stable for two weeks at 60 °C from pH 4.5 to 7.4; worse with base and oxidants."""
    copper = holding("copper-tripeptide-1 1 %", kind="serum", base="water", ph=6)
    acid = judge_data(together(holding("glycolic-acid 8 %", kind="toner", base="water", ph=4.5), copper))
    assert {finding.severity for finding in acid} == {"advice"}
    assert "speaks against destruction" in rule("copper-peptides.copper-peptide-from-exfoliating-acid").disputed
    for ph, expected in ((4.4, {"copper-peptides.copper-peptide-acidity"}), (4.5, set()), (7.4, set())):
        assert rules_of(judge_data(plan(copper | {"ph": ph}))) == expected, ph


def test_t31_kojic_acid_is_no_exfoliating_acid() -> None:
    """pKa about 9.4 (encyclopaedia after Bjerrum 1958): no carboxylic acid."""
    tretinoin = holding("tretinoin 0.025 %", prescribed=True)
    assert judge_data(together(holding("kojic-acid 1 %", kind="serum"), tretinoin)) == []
    assert "retinoids.acid-off-retinoid-routines" in rules_of(judge_data(together(holding("mandelic-acid 8 %"), tretinoin)))


def test_t32_acids_with_two_protons_have_two_constants() -> None:
    """Secondary tables differ by up to 0.2; test_vocabulary.py compares the figures with a tolerance."""
    pka = {
        name: shipped().world.substances[name].pka for name in ("azelaic-acid", "malic-acid", "tartaric-acid", "citric-acid")
    }
    assert {name: len(values) for name, values in pka.items()} == {
        "azelaic-acid": 2, "malic-acid": 2, "tartaric-acid": 2, "citric-acid": 3,
    }  # fmt: skip


# --- procedures, times ---


@pytest.mark.parametrize(
    ("event", "ended", "expected"),
    [
        ("waxing", "2025-12-10", {"people.isotretinoin-and-waxing"}),
        ("waxing", "2025-06-10", set()),
        ("laser", "2025-12-10", set()),
        ("clinic-peel", "2025-12-10", set()),
    ],
)
def test_t33_not_everything_waits_six_months_after_isotretinoin(event: str, ended: str, expected: set[str]) -> None:
    """AAD on waxing; ASDS consensus 2017, Dermatol Surg 43:1249, on superficial peels and lasers."""
    regimen = plan(
        starts="2026-03-02",
        person={"age": 25, "takes": [{"substance": "isotretinoin", "since": "2025-01-01", "until": ended}]},
        events=[{"event": event, "on": "2026-03-14", "at": "11:00", "areas": ["face"]}],
    )
    assert rules_of(judge_data(regimen)) == expected


def test_t34_no_wait_between_products_but_where_it_stings() -> None:
    """AAD acne advice, page of 14 April 2010: only if the medicine stings, 5 to 15 minutes after washing."""
    wash = {"kind": "cleanser", "contact": "rinsed"}
    gel = holding("adapalene 0.1 %")
    assert judge_data(together(wash, gel)) == []
    assert judge_data(together(holding("lactic-acid 8 %", kind="toner", base="water", ph=4.5), {"kind": "moisturiser"})) == []
    stings = judge_data(together(wash, gel, person={"age": 20, "reasons": ["acne"], "symptoms": ["stinging"]}))
    assert "acne.wait-after-washing-when-it-stings" in rules_of(stings)


def test_t35_no_rule_says_that_cold_keeps_peroxide_free_of_benzene() -> None:
    """J Invest Dermatol, online 7 October 2024: the result at 2 °C is of one encapsulated prescription product."""
    assert "benzene" not in ALL_TEXT.lower()


def test_t36_the_stain_of_dapsone_and_peroxide_fades() -> None:
    """US label of dapsone gel 5 %: 7 of 95 users, gone in 4 to 57 days."""
    (finding,) = judge_data(together(holding("dapsone 5 %", prescribed=True), holding("benzoyl-peroxide 5 %")))
    assert (finding.rule, finding.severity) == ("acne.peroxide-stain-with-dapsone", "caution")
    assert "fades" in finding.why
    assert any("4 to 57 days" in source for source in finding.sources)
