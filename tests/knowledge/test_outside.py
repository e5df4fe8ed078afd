"""Rules checked against published figures and dates that were not taken from the packs."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest
from dateutil.rrule import DAILY, FR, MO, SU, WE, WEEKLY, rrule
from plans import Data, holding, on, plan, together
from practice import judge_data, rules_of

LAW = ("regions.", "retinol-limits.")


def law(regimen: Data, region: str, as_of: str = "2026-11-25") -> set[str]:
    return {name for name in rules_of(judge_data(regimen | {"region": region}, as_of=as_of)) if name.startswith(LAW)}


def acne(product: Data) -> Data:
    return plan(product, person={"age": 20, "reasons": ["acne"]})


# --- 21 CFR 333.310 and 333.320: over-the-counter acne products (75 FR 9767, 4 March 2010) ---

# Upper ends of the strengths; a product below the lower end is weak and not unlawful to use, so nothing is said of it.
MONOGRAPH = {"benzoyl-peroxide": (2.5, 10), "salicylic-acid": (0.5, 2), "sulfur": (3, 10)}


@pytest.mark.parametrize("name", MONOGRAPH)
def test_strengths_of_the_acne_monograph(name: str) -> None:
    low, high = MONOGRAPH[name]
    for strength in (low, high):
        assert law(acne(holding(f"{name} {strength} %")), "us") == set(), strength
    assert law(acne(holding(f"{name} {high + 0.5} %")), "us") == {f"regions.us-{name}"}
    assert law(acne(holding(f"{name} {high + 0.5} %", prescribed=True)), "us") == set()


@pytest.mark.parametrize(
    ("strengths", "allowed"),
    [
        ("resorcinol 2 %, sulfur 8 %", True),
        ("benzoyl-peroxide 5 %, salicylic-acid 2 %", False),
        ("benzoyl-peroxide 5 %, sulfur 5 %", False),
        ("salicylic-acid 2 %, sulfur 5 %", False),
        ("salicylic-acid 2 %", True),
    ],
)
def test_combinations_of_the_acne_monograph(strengths: str, allowed: bool) -> None:
    found = law(acne(holding(strengths)), "us")
    assert found == (set() if allowed else {"regions.us-acne-combination"})
    assert law(acne(holding(strengths)), "ca") == set()


def test_resorcinol_goes_with_sulfur_only() -> None:
    assert law(acne(holding("resorcinol 2 %")), "us") == {"regions.us-resorcinol"}
    assert law(acne(holding("resorcinol 2 %, sulfur 3 %")), "us") == set()


# --- Regulation (EU) 2024/996 of 3 April 2024, Annex: entry, limit, and the day from which nothing above it may be supplied ---

EU_2024_996 = [
    ("kojic-acid", "face", 1.0, "2025-11-01", "regions.eu-kojic-acid"),
    ("alpha-arbutin", "face", 2.0, "2025-11-01", "regions.eu-alpha-arbutin"),
    ("alpha-arbutin", "legs", 0.5, "2025-11-01", "regions.eu-alpha-arbutin-body"),
    ("arbutin", "face", 7.0, "2025-11-01", "regions.eu-arbutin"),
    ("retinol", "face", 0.3, "2027-05-01", "retinol-limits.eu-retinol"),
]


@pytest.mark.parametrize(("name", "area", "limit", "day", "told"), EU_2024_996)
def test_limits_and_dates_of_the_eu_regulation(name: str, area: str, limit: float, day: str, told: str) -> None:
    before = (date.fromisoformat(day) - timedelta(days=1)).isoformat()
    above, within = on(area, holding(f"{name} {limit * 1.2:.2f} %")), on(area, holding(f"{name} {limit} %"))
    assert told in law(above, "eu", day)
    assert told not in law(above, "eu", before)
    assert law(within, "eu", day) == set()
    for region in ("uk", "us", "ca", "au"):
        assert law(above, region, day) == set(), region


# --- SI 2022/659, regulation 3(6): salicylic acid in body lotion in Great Britain, making available from 15 March 2023 ---


@pytest.mark.parametrize(
    ("as_of", "expected"), [("2023-03-14", set()), ("2023-03-15", {"regions.uk-salicylic-acid-body-lotion"})]
)
def test_the_british_date_for_salicylic_acid_in_body_lotion(as_of: str, expected: set[str]) -> None:
    lotion = on("legs", holding("salicylic-acid 1 %", kind="moisturiser"))
    assert law(lotion, "uk", as_of) == expected


# --- Regulation (EC) 1223/2009 (export of 13 May 2024): Annex III, entries 98 and 12, Annex II ---


def test_limits_of_the_older_eu_entries() -> None:
    shampoo = {"kind": "shampoo", "contact": "rinsed"}
    assert law(on("scalp", holding("salicylic-acid 3 %", **shampoo)), "eu") == set()
    assert law(on("scalp", holding("salicylic-acid 3.5 %", **shampoo)), "eu") == {"regions.eu-uk-salicylic-acid-shampoo"}
    assert law(plan(holding("salicylic-acid 2 %")), "eu") == set()
    assert law(plan(holding("salicylic-acid 2.5 %")), "eu") == {"regions.eu-uk-salicylic-acid"}
    assert law(plan(holding("hydrogen-peroxide 4 %")), "eu") == set()
    assert law(plan(holding("hydrogen-peroxide 5 %")), "eu") == {"regions.eu-hydrogen-peroxide"}
    for name in ("trichloroacetic-acid", "deoxyarbutin", "phytonadione"):
        assert "regions.eu-prohibited-substances" in law(plan(holding(f"{name} 1 %")), "eu"), name
    for name in ("glycolic-acid", "lactic-acid", "mandelic-acid", "azelaic-acid", "ascorbic-acid", "urea", "niacinamide"):
        assert law(plan(holding(f"{name} 20 %", base="water", ph=3.0)), "eu") == set(), name


# --- NAPRA National Drug Schedules, approved 23 December 2014: alpha hydroxy acids above 30 % or below pH 3.0 ---


def test_the_canadian_schedule() -> None:
    peel = {"kind": "peel", "contact": {"timed": "5 min"}, "base": "water"}
    assert law(plan(holding("glycolic-acid 30 %", ph=3.0, **peel)), "ca") == set()
    assert law(plan(holding("glycolic-acid 31 %", ph=3.0, **peel)), "ca") == {"regions.ca-alpha-hydroxy-acid"}
    assert law(plan(holding("glycolic-acid 10 %", ph=2.9, **peel)), "ca") == {"regions.ca-alpha-hydroxy-acid-acidity"}


# --- Cosmetic Ingredient Review, Int J Toxicol 2017;36(Suppl 2):15S-21S: 10 % and pH 3.5 at home, 30 % in a salon ---


@pytest.mark.parametrize(
    ("strength", "ph", "expected"),
    [
        (10, 3.5, set()),
        (10.5, 3.5, {"acids.leave-on-fruit-acid-strength"}),
        (10, 3.4, {"acids.leave-on-fruit-acid-acidity"}),
        (12, 3.0, {"acids.leave-on-fruit-acid-strength", "acids.leave-on-fruit-acid-acidity"}),
    ],
)
def test_the_panels_figures_for_leave_on_acids(strength: float, ph: float, expected: set[str]) -> None:
    regimen = plan(holding(f"glycolic-acid {strength} %", base="water", ph=ph))
    regimen["routines"][1]["days"] = ["monday", "thursday"]
    assert rules_of(judge_data(regimen)) == expected


def test_the_panels_figures_for_peels() -> None:
    peel = {"kind": "peel", "contact": {"timed": "5 min"}, "base": "water", "ph": 3.5}
    for strength, expected in ((30, set()), (31, {"acids.home-peel-strength"})):
        regimen = plan(holding(f"glycolic-acid {strength} %", **peel))
        regimen["routines"][1]["days"] = ["sunday"]
        assert rules_of(judge_data(regimen)) == expected, strength


# --- 21 CFR 201.327: sunscreen 15 minutes before the sun and at least every 2 hours; under 6 months ask a doctor ---


@pytest.mark.parametrize(("until", "expected"), [("11:30", set()), ("11:31", {"sun.renew-outdoors"})])
def test_sunscreen_lasts_two_hours_of_daylight(until: str, expected: set[str]) -> None:
    outdoors = [{"days": "every", "from": "09:30", "to": until}]
    assert rules_of(judge_data(plan(day={"morning": "09:00"}, outdoors=outdoors))) == expected


@pytest.mark.parametrize(("out", "expected"), [("09:15", set()), ("09:14", {"sun.sunscreen-before-going-out"})])
def test_sunscreen_goes_on_a_quarter_of_an_hour_before(out: str, expected: set[str]) -> None:
    outdoors = [{"days": "every", "from": out, "to": "10:00"}]
    assert rules_of(judge_data(plan(day={"morning": "09:00"}, outdoors=outdoors))) == expected


@pytest.mark.parametrize(("age", "expected"), [("5 months", {"sun.sunscreen-under-six-months"}), ("6 months", set())])
def test_no_sunscreen_under_six_months(age: str, expected: set[str]) -> None:
    assert rules_of(judge_data(plan(person={"age": age}))) == expected


# --- labels: hydroquinone 4 % (two months, not under 12), dapsone 7.5 % (9 and over), adapalene (12 and over) ---


@pytest.mark.parametrize(
    ("product", "age", "told"),
    [
        ("hydroquinone 4 %", 12, "people.child-hydroquinone"),
        ("dapsone 7.5 %", 9, "people.child-dapsone"),
        ("adapalene 0.1 %", 12, "people.child-adapalene"),
    ],
)
def test_ages_of_labels(product: str, age: int, told: str) -> None:
    def at(years: int) -> set[str]:
        return rules_of(judge_data(plan(holding(product), person={"age": years, "reasons": ["acne"]})))

    assert told in at(age - 1)
    assert told not in at(age)


@pytest.mark.parametrize(("weeks", "told"), [(8, False), (9, True)])
def test_two_months_of_hydroquinone(weeks: int, told: bool) -> None:
    regimen = plan(holding("hydroquinone 4 %"), starts="2026-03-02")
    regimen["phases"] = [{"for": f"{weeks} weeks", "cycle": "7 days", "routines": regimen.pop("routines")}]
    assert ("pigment.hydroquinone-course" in rules_of(judge_data(regimen))) is told


# --- RFC 5545, 3.3.10: alternate nights are FREQ=DAILY;INTERVAL=2, and no list of weekdays is ---

FIRST = datetime(2026, 3, 2, 21, 30)
REST = "retinoids.rest-evening-between-first-uses"


def evenings(days: str | list[str]) -> set[str]:
    regimen = plan(holding("retinol 0.3 %"), starts="2026-03-02", history=[{"product": "night", "since": "2026-02-16"}])
    regimen["routines"][1]["days"] = days
    return rules_of(judge_data(regimen), "retinoids")


def shortest_gap(rule: rrule) -> int:
    days = [moment.date() for moment in rule]
    return min((later - earlier).days for earlier, later in pairwise(days))


def test_every_second_day_is_the_interval_of_two_days() -> None:
    assert shortest_gap(rrule(DAILY, dtstart=FIRST, interval=2, count=60)) == 2
    assert evenings("every 2 days") == set()
    fortnight = rrule(DAILY, dtstart=FIRST, interval=2, until=FIRST + timedelta(days=13))
    assert len(list(fortnight)) == 7


def test_four_weekdays_put_two_evenings_side_by_side() -> None:
    assert shortest_gap(rrule(WEEKLY, dtstart=FIRST, byweekday=(MO, WE, FR, SU), count=60)) == 1
    assert evenings(["monday", "wednesday", "friday", "sunday"]) == {REST}


def test_three_weekdays_leave_a_rest() -> None:
    assert shortest_gap(rrule(WEEKLY, dtstart=FIRST, byweekday=(MO, WE, FR), count=60)) == 2
    assert evenings(["monday", "wednesday", "friday"]) == set()


# --- US label of dapsone gel and 21 CFR 333.350 on two acne medicines at one time, as pairs on one skin ---


def test_pairs_that_labels_name() -> None:
    peroxide = holding("benzoyl-peroxide 5 %")
    assert rules_of(judge_data(together(holding("dapsone 5 %", prescribed=True), peroxide))) == {
        "acne.peroxide-stain-with-dapsone"
    }
    assert rules_of(judge_data(together(holding("sulfur 5 %"), peroxide))) == {"acne.peroxide-with-other-drying-treatments"}
