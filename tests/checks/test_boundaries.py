"""Boundaries of the checks, one step on either side: a minute, a day, a use, an area, the place in a routine."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from dermalint.checks.case import alternatives, longest_days, sharing
from dermalint.checks.contents import Range, add_months, whole_months
from dermalint.checks.terms import compare, weighed
from dermalint.regimen.model import Person
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint_grammar.nodes import BILLION, Comparison, Duration, Span, Unit
from judging import findings_of, verdict

AT_LEAST, AT_MOST, ABOVE, BELOW = Comparison.AT_LEAST, Comparison.AT_MOST, Comparison.ABOVE, Comparison.BELOW


@pytest.mark.parametrize(
    ("low", "high", "comparison", "truth"),
    [
        (5, 5, AT_LEAST, YES), (4, 4, AT_LEAST, NO), (4, 5, AT_LEAST, UNKNOWN), (5, None, AT_LEAST, YES),
        (4, None, AT_LEAST, UNKNOWN),
        (5, 5, ABOVE, NO), (6, 6, ABOVE, YES), (4, 5, ABOVE, NO), (5, 6, ABOVE, UNKNOWN), (6, None, ABOVE, YES),
        (5, None, ABOVE, UNKNOWN),
        (5, 5, AT_MOST, YES), (6, 6, AT_MOST, NO), (5, 6, AT_MOST, UNKNOWN), (5, None, AT_MOST, UNKNOWN),
        (6, None, AT_MOST, NO),
        (5, 5, BELOW, NO), (4, 4, BELOW, YES), (4, 5, BELOW, UNKNOWN), (4, None, BELOW, UNKNOWN), (5, None, BELOW, NO),
    ],
)  # fmt: skip
def test_a_measure_against_five(low: int, high: int | None, comparison: Comparison, truth: int) -> None:
    assert compare(Range(low, high), comparison, 5) == truth


class _Face:
    """Areas of which the face is the bits 4 to 6, and spots the bit 6."""

    face = 0b1110000
    spots = 0b1000000


def _matched(*areas: int) -> list[Any]:
    return [(number, YES, area) for number, area in enumerate(areas)]


def _groups(*areas: int) -> list[list[tuple[int, int]]]:
    return [[(use, truth) for use, truth, _ in group] for group in sharing(_matched(*areas), _Face())]  # type: ignore[arg-type, misc]


@pytest.mark.parametrize(
    ("areas", "groups"),
    [
        ((), []),
        ((0b1,), [[(0, YES)]]),
        ((0b1, 0b1), [[(0, YES), (1, YES)]]),
        ((0b1, 0b10), [[(0, YES)], [(1, YES)]]),
        ((0b11, 0b10), [[(0, YES), (1, YES)]]),
        ((0b11, 0b110, 0b100), [[(0, YES), (1, YES)], [(1, YES), (2, YES)]]),
        ((0b1, 0b11, 0b10), [[(0, YES), (1, YES)], [(1, YES), (2, YES)]]),
        ((0b10000, 0b1000000), [[(0, YES), (1, UNKNOWN)], [(1, YES)]]),  # a part of the face, and spots
        ((0b1, 0b1000000), [[(0, YES)], [(1, YES)]]),
    ],
)
def test_what_shares_skin_is_counted_together(areas: tuple[int, ...], groups: list[list[tuple[int, int]]]) -> None:
    assert sorted(_groups(*areas)) == sorted(groups)


def test_nothing_excludes_itself_without_conditions() -> None:
    assert alternatives([]) == [[]]


@pytest.mark.parametrize(("unit", "days"), [(Unit.DAY, 2), (Unit.WEEK, 14), (Unit.MONTH, 63), (Unit.YEAR, 755)])
def test_two_of_a_unit_have_at_most_so_many_days(unit: Unit, days: int) -> None:
    """Two months have at most 62 days, two years 731: what is looked at may be more, and never less."""
    assert longest_days(Duration(2 * BILLION, unit, Span(0, 0))) == days


HISTORY = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}}
history: [{product: r, since: 2026-02-23}]
routines:
  - {slot: evening, steps: [r]}
"""


def test_what_was_certainly_used_before_began_then() -> None:
    found = findings_of("use retinol at most 1 times per week during the first 2 weeks of retinol.", HISTORY)
    assert {finding.certainty for finding in found} == {"certain"}
    assert max(occurrence.day for finding in found for occurrence in finding.occurs) == 7


def test_a_part_of_a_term_that_says_rinsed_speaks_for_itself_alone() -> None:
    rule = "separate (rinsed cleanser or toner) from retinol by routine."
    assert verdict(rule, "evening: toner (rinsed), retinol 0.3 %") == "holds"
    assert verdict(rule, "evening: toner, retinol 0.3 %") == "breaks"
    assert verdict(rule, "evening: cleanser (rinsed), retinol 0.3 %") == "breaks"


MIX = """regimen: x
products: {s: {kind: serum}, m: {kind: moisturiser}}
routines:
  - {slot: evening, days: [monday], steps: [%s]}
"""


@pytest.mark.parametrize(
    "rule", ["apply serum first.", "apply serum last.", "apply serum before moisturiser.", "apply moisturiser first."]
)
def test_what_is_mixed_has_no_order(rule: str) -> None:
    assert verdict(rule, MIX % "{mix: [m, s]}") == "holds"


def test_directly_is_about_the_next_one_of_the_same_routine() -> None:
    rule = "apply serum directly before moisturiser."
    assert verdict(rule, "evening: serum, moisturiser, niacinamide 4 % (moisturiser)") == "holds"
    assert (
        verdict(rule, "morning: toner, cleanser, mask, niacinamide 4 % (moisturiser); evening: serum, moisturiser") == "holds"
    )
    assert verdict(rule, "evening: serum, toner, moisturiser") == "breaks"


ONE_AREA = """regimen: x
products: {{s: {{kind: sunscreen, spf: 30}}, r: {{contains: {{retinol: 0.3 %}}}}}}
outdoors: [{{covered: [{covered}]}}]
routines:
  - {{slot: morning, days: [monday], steps: [{{product: r, areas: [{area}]}}]}}
"""


@pytest.mark.parametrize("area", ["abdomen", "back", "chin", "forehead", "lips", "neck"])
def test_only_the_covered_areas_need_no_sunscreen(area: str) -> None:
    rule = 'rule trial advice after retinol expect sunscreen in the same routine. topic sun why "x"'
    assert verdict(rule, ONE_AREA.format(covered=area, area=area)) == "holds"
    assert verdict(rule, ONE_AREA.format(covered="feet", area=area)) == "breaks"


@pytest.mark.parametrize(("first", "said"), [("2026-02-28", "breaks"), ("2026-03-01", "holds")])
def test_a_month_is_counted_from_the_earlier_day(first: str, said: str) -> None:
    plan = f"""regimen: x
starts: 2026-01-26
products: {{r: {{contains: {{retinol: 0.3 %}}}}}}
events: [{{event: laser, on: 2026-02-01}}]
routines:
  - {{slot: evening, dates: [{first}], steps: [r]}}
"""
    assert verdict("wait 1 month after event laser before retinol.", plan) == said
    assert verdict("separate retinol from event laser by 1 month.", plan) == said


def test_each_time_of_an_event_that_comes_again_is_seen() -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}}
events: [{event: waxing, every: 18 days, from: 2026-03-02, times: 6}, {event: laser, on: 2026-03-04}]
routines:
  - {slot: evening, steps: [r]}
"""
    found = findings_of("separate retinol from event waxing by day.", plan)
    dates = [occurrence.date for finding in found for occurrence in finding.occurs]
    assert dates == ["2026-03-02", "2026-03-20", "2026-04-07", "2026-04-25", "2026-05-13", "2026-05-31"]


def test_in_one_routine_what_stands_before_comes_not_after() -> None:
    rule = "after retinol expect moisturiser within 12 hours."
    assert verdict(rule, "monday morning: moisturiser, retinol 0.3 %") == "breaks"
    assert verdict(rule, "monday morning: retinol 0.3 %, moisturiser") == "holds"
    rule = "before retinol expect moisturiser within 12 hours."
    assert verdict(rule, "monday morning: retinol 0.3 %, moisturiser") == "breaks"
    assert verdict(rule, "monday morning: moisturiser, retinol 0.3 %") == "holds"


@pytest.mark.parametrize(
    ("bases", "expected"),
    [
        ("a: {}, b: {}", "unknown"),  # a alone may be meant, for three days
        ("a: {base: aqueous}, b: {}", "unknown"),
        ("a: {}, b: {base: aqueous}", "holds"),  # b is used on for ever
        ("a: {base: oil}, b: {}", "holds"),
        ("a: {base: aqueous}, b: {base: oil}", "breaks"),
    ],
)
def test_a_course_may_be_too_short_where_what_follows_may_not_be_meant(bases: str, expected: str) -> None:
    first, second = (part.split("{")[1] for part in bases.split("}")[:2])
    plan = f"""regimen: x
products: {{a: {{kind: serum{", " + first if first else ""}}}, b: {{kind: serum{", " + second if second else ""}}}}}
phases:
  - {{for: 3 days, routines: [{{slot: evening, steps: [a]}}]}}
  - {{routines: [{{slot: evening, steps: [b]}}]}}
"""
    assert verdict("use (not base oil) for at least 1 week.", plan) == expected


def test_one_doubt_is_no_two_for_a_course() -> None:
    plan = """regimen: x
products: {a: {kind: serum}}
phases:
  - {for: 3 days, routines: [{slot: evening, steps: [a]}, {slot: morning, steps: [{product: a, as-needed: true}]}]}
  - {routines: [{slot: evening, steps: [a]}]}
"""
    assert verdict("use (not base oil) for at least 1 week.", plan) == "holds"


def test_a_course_that_is_certainly_too_short_stays_so_beside_what_is_only_possible() -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}, w: {kind: cleanser}}
phases:
  - {for: 1 week, cycle: 7 days, routines: [{slot: evening, steps: [r]}]}
  - {for: 2 weeks, cycle: 7 days, routines: [{slot: evening, only-if: at home, steps: [r]}]}
  - {cycle: 7 days, routines: [{slot: evening, steps: [w]}]}
"""
    assert verdict("use retinol for at least 2 weeks.", plan) == "unknown"
    assert verdict("use retinol for at least 3 weeks.", plan) == "unknown"
    assert verdict("use retinol for at least 4 weeks.", plan) == "breaks"
    assert verdict("use retinol for at most 7 days.", plan) == "unknown"
    assert verdict("use retinol for at most 3 weeks.", plan) == "holds"


@pytest.mark.parametrize(("pause", "said"), [(6, "breaks"), (7, "breaks"), (8, "holds")])
def test_more_than_seven_days_without_use_end_a_course(pause: int, said: str) -> None:
    plan = f"""regimen: x
starts: 2026-03-02
products: {{r: {{contains: {{retinol: 0.3 %}}}}, w: {{kind: cleanser}}}}
history: []
phases:
  - {{for: 2 weeks, cycle: 7 days, routines: [{{slot: evening, steps: [r]}}]}}
  - {{for: {pause} days, cycle: 1 days, routines: [{{slot: evening, steps: [w]}}]}}
  - {{for: 2 weeks, cycle: 7 days, routines: [{{slot: evening, steps: [r]}}]}}
"""
    assert verdict("use retinol for at most 2 weeks.", plan) == said
    assert verdict(f"use retinol for at most 2 weeks allowing pauses of {pause} days.", plan) == "breaks"
    assert verdict(f"use retinol for at most 2 weeks allowing pauses of {pause - 1} days.", plan) == "holds"


@pytest.mark.parametrize(("gap", "said"), [(6, "breaks"), (7, "breaks"), (8, "holds")])
def test_a_use_before_the_regimen_runs_on_into_its_course(gap: int, said: str) -> None:
    plan = f"""regimen: x
starts: 2026-03-10
products: {{r: {{contains: {{retinol: 0.3 %}}}}}}
history: [{{product: r, since: 2026-01-01, until: 2026-03-0{9 - gap}}}]
phases:
  - {{for: 2 weeks, cycle: 7 days, routines: [{{slot: evening, steps: [r]}}]}}
"""
    assert verdict("use retinol for at most 2 weeks.", plan) == said


def test_a_product_is_as_certain_as_its_most_certain_use() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, t: {contains: {retinol: 0.1 %}}}
routines:
  - {slot: evening, days: [monday], steps: [r]}
  - {slot: evening, days: [wednesday], steps: [t]}
  - {slot: evening, days: [friday], steps: [{product: t, as-needed: true}]}
"""
    assert verdict("use at most 1 products of retinol per week.", plan) == "breaks"
    assert verdict("use at most 2 products of retinol per week.", plan) == "holds"
    assert verdict("use at least 2 products of retinol per week.", plan) == "holds"
    assert verdict("use at most 1 products of retinol per week.", plan.replace("steps: [t]", "steps: [r]")) == "unknown"


def test_before_an_event_the_last_application_is_told_though_another_is_of_its_minute() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}}
routines:
  - {slot: morning, days: [monday], steps: [{product: r, repeat: every 150 min, until: "22:30"}]}
  - {slot: evening, days: [monday], at: "22:00", steps: [r]}
"""
    found = findings_of("wait 1 hour after retinol before event bed.", plan)
    assert [occurrence.slot for finding in found for occurrence in finding.occurs] == ["evening"]


def test_the_next_one_shares_skin() -> None:
    rule = "apply serum directly before moisturiser."
    there = "serum (on face), moisturiser (on neck), toner (on face), niacinamide 4 % (moisturiser, on face)"
    assert verdict(rule, f"evening: {there}") == "breaks"
    assert verdict(rule, f"evening: {there.replace('toner (on face), ', '')}") == "holds"


def test_what_happens_under_one_condition_is_new_once() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}}
history: []
phases:
  - {for: 3 days, cycle: 7 days, routines: [{slot: evening, only-if: going out, steps: [r]}]}
  - {cycle: 7 days, routines: [{slot: evening, only-if: CONDITION, steps: [r]}]}
"""
    for condition, new in (("going out", [(1, 1)]), ("not going out", [(1, 1), (2, 1)])):
        found = findings_of("never use first use of retinol.", plan.replace("CONDITION", condition))
        assert [(occurrence.phase, occurrence.day) for finding in found for occurrence in finding.occurs] == new


def test_spots_may_be_where_no_light_reaches() -> None:
    rule = 'rule trial advice after retinol expect sunscreen in the same routine. topic sun why "x"'
    assert verdict(rule, ONE_AREA.format(covered="neck", area="spots")) == "breaks"
    assert verdict(rule, ONE_AREA.format(covered="cheeks", area="spots")) == "unknown"
    assert verdict(rule, ONE_AREA.format(covered="face", area="spots")) == "holds"


def test_what_may_come_again_before_an_event_hides_nothing() -> None:
    plan = MIX.replace("{s: {kind: serum}, m", "{s: {contains: {retinol: 0.3 %%}}, m")
    rule = "wait 3 hours after retinol before event bed."
    assert verdict(rule, plan % "s, {wait: 5 min}, {product: s, as-needed: true}") == "breaks"
    assert verdict(rule, plan % "{product: s, as-needed: true}") == "unknown"


SPOTS = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, g: {contains: {glycolic-acid: 7 %}}}
routines:
  - {slot: evening, steps: [{product: r, areas: [ONE], except: [OTHER]}, {product: g, areas: [spots]}]}
"""


@pytest.mark.parametrize(
    ("one", "other", "said"),
    [("face, neck", "neck", "breaks"), ("face", "cheeks", "unknown"), ("spots", "cheeks", "breaks"), ("neck", "face", "holds")],
)
def test_spots_where_a_part_is_left_out(one: str, other: str, said: str) -> None:
    plan = SPOTS.replace("ONE", one).replace("OTHER", other)
    assert verdict("separate retinol from glycolic-acid by routine.", plan) == said


@pytest.mark.parametrize("day", [1, 4, 8])
def test_use_every_eighth_day_is_one_course_without_end(day: int) -> None:
    plan = f"""regimen: x
products: {{r: {{contains: {{retinol: 0.3 %}}}}}}
cycle: 8 days
routines:
  - {{slot: evening, days: [{day}], steps: [r]}}
"""
    assert verdict("use retinol for at least 10 weeks.", plan) == "holds"
    assert verdict("use retinol for at least 10 weeks.", plan.replace("8 days", "9 days")) == "breaks"
    assert verdict("use retinol for at most 10 weeks.", plan) == "breaks"
    assert verdict("use retinol for at most 10 weeks.", plan.replace("8 days", "9 days")) == "holds"


def test_what_depends_on_nothing_happens_under_each_condition() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}}
routines:
  - {slot: evening, days: [monday], only-if: going out, steps: [r]}
  - {slot: evening, days: [wednesday], steps: [r]}
  - {slot: evening, days: [friday], only-if: not going out, steps: [r]}
"""
    assert verdict("use retinol at most 1 evenings per week.", plan) == "unknown"
    assert verdict("use retinol at most 2 evenings per week.", plan) == "holds"


@pytest.mark.parametrize(
    ("written", "milligrams"),
    [
        ("1.2 g", 1200),
        ("0.25 mL", 250),
        ("0.0015 g", 2),  # whole milligrams
        ("1 drop", 50),
        ("3 drops", 150),
        ("two drops", 100),
        ("2 finger-tip units", 980),  # 0.49 g each for men: Long and Finlay 1991
        ("1 FTU", 490),
        ("12 mg", 12),
    ],
)
def test_written_amounts_are_exact(written: str, milligrams: int) -> None:
    assert weighed(written, Person(sex="male")) == Range(milligrams * BILLION // 1000, milligrams * BILLION // 1000)


def test_a_finger_tip_unit_weighs_what_the_finger_does() -> None:  # 0.43 g for women: Long and Finlay 1991
    assert weighed("2 finger-tip units", Person(sex="female")) == Range(860 * BILLION // 1000, 860 * BILLION // 1000)
    assert weighed("2 finger-tip units", Person()) == Range(860 * BILLION // 1000, 980 * BILLION // 1000)


@pytest.mark.parametrize("written", [None, "a little", "2", "1.5.2 g", "-1 g"])
def test_an_amount_that_cannot_be_read_may_be_any(written: str | None) -> None:
    assert weighed(written, Person()) == Range(0, None)


@pytest.mark.parametrize(
    ("number", "steps", "expected"),
    [
        (2, "retinol 0.3 %, adapalene 0.1 %", "holds"),
        (2, "retinol 0.3 %", "breaks"),
        (2, "retinol 0.3 %, adapalene 0.1 % (as-needed)", "unknown"),
        (3, "retinol 0.3 %, adapalene 0.1 % (as-needed)", "breaks"),
        (2, "retinol 0.3 % (as-needed)", "unknown"),  # a routine without any is not asked
        (2, "cleanser", "holds"),
    ],
)
def test_at_least_so_often_in_a_routine(number: int, steps: str, expected: str) -> None:
    assert verdict(f"use retinoid at least {number} times per routine.", f"evening: {steps}") == expected
    assert verdict(f"use at least {number} products of retinoid per routine.", f"evening: {steps}") == expected


def test_what_is_mixed_in_is_not_what_follows() -> None:
    plan = """regimen: x
products: {s: {kind: serum}, m: {kind: moisturiser}, t: {kind: toner}}
routines:
  - {slot: evening, steps: [%s]}
"""
    rule = "apply serum directly before moisturiser."
    assert verdict(rule, plan % "s, m") == "holds"
    assert verdict(rule, plan % "{mix: [s, m]}, t") == "holds"
    assert verdict(rule, plan % "{mix: [s, m]}, t, m") == "breaks"


@pytest.mark.parametrize(
    ("dates", "expected"),
    [
        ("expires: 2026-03-02", "holds"),
        ("expires: 2026-03-01", "breaks"),
        ("opened: 2024-01-01", "holds"),  # for how long it keeps is not said
        ("lasts-after-opening: 12 months", "holds"),
        ("opened: 2025-03-01, lasts-after-opening: 12 months", "breaks"),
        ("opened: 2025-03-02, lasts-after-opening: 12 months", "holds"),
        ("expires: 2027-01-01, opened: 2025-03-01, lasts-after-opening: 12 months", "breaks"),
    ],
)
def test_what_is_past_its_day(dates: str, expected: str) -> None:
    plan = f"""regimen: x
products: {{m: {{kind: moisturiser, {dates}}}}}
routines:
  - {{slot: evening, steps: [m]}}
"""
    assert verdict("limit days-past-expiry of moisturiser to at most 0 days.", plan) == expected


@given(st.dates(date(1990, 1, 1), date(2060, 12, 31)), st.dates(date(1990, 1, 1), date(2060, 12, 31)), st.integers(-200, 200))
def test_months_are_calendar_months_as_in_a_reference_library(one: date, other: date, months: int) -> None:
    start, end = sorted((one, other))
    between = relativedelta(end, start)
    assert whole_months(start, end) == between.years * 12 + between.months
    assert add_months(one, months) == one + relativedelta(months=months)


def test_a_day_that_has_too_much_either_way_certainly_has_too_much() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 2 %}}}
routines:
  - {slot: morning, only-if: going out, steps: [r]}
  - {slot: evening, steps: [r]}
"""
    rule = "limit total strength of retinol per day to at most"
    assert verdict(f"{rule} 1 %.", plan) == "breaks"
    assert verdict(f"{rule} 2 %.", plan) == "unknown"
    assert verdict(f"{rule} 4 %.", plan) == "holds"


def test_a_cream_made_up_counts_from_the_day_it_was_dispensed() -> None:
    plan = """regimen: x
products: {m: {kind: moisturiser, %s}}
routines:
  - {slot: evening, steps: [m]}
"""
    rule = "limit months-open of moisturiser to at most 3 months."
    assert verdict(rule, plan % "opened: 2025-12-02") == "holds"
    assert verdict(rule, plan % "opened: 2025-11-02") == "breaks"
    assert verdict(rule, plan % "dispensed: 2025-11-02") == "breaks"
    assert verdict(rule, plan % "dispensed: 2025-11-02, opened: 2025-12-02") == "holds"
    assert verdict(rule, plan % "made-up: true, dispensed: 2025-11-02, opened: 2025-12-02") == "breaks"
    assert verdict(rule, plan % "made-up: true, opened: 2025-12-02") == "holds"


def test_a_course_is_perhaps_too_short_where_the_clauses_are_unknown() -> None:
    plan = """regimen: x
products: {s: {kind: serum}}
phases:
  - {for: 4 days, routines: [{slot: evening, steps: [s]}]}
"""
    assert verdict("use serum for at least 1 week if age below 12 years.", plan) == "unknown"
    assert verdict("use serum for at least 4 days if age below 12 years.", plan) == "holds"


def test_a_total_is_asked_at_the_first_of_what_is_meant_together() -> None:
    plan = """regimen: x
products: {p: {contains: {hydroxy-acid: 0.3 %}, base: water, ph: 3.5}}
routines:
  - {slot: morning, steps: [{product: p, repeat: every 150 min, until: "21:00"}]}
"""
    rule = "limit total strength of glycolic-acid per day to at most 1 %"
    assert verdict(f"{rule}.", plan) == "unknown"
    assert verdict(f"{rule} if not (before event daylight within 30 minutes).", plan) == "holds"
