"""Boundaries of what may happen, is used before, or comes again: one step on either side."""

from __future__ import annotations

import pytest

from judging import findings_of, verdict

MIX = """regimen: x
products: {s: {kind: serum}, m: {kind: moisturiser}}
routines:
  - {slot: evening, days: [monday], steps: [%s]}
"""


def test_another_product_later_hides_nothing_before_bed() -> None:
    found = findings_of("wait 3 hours after retinoid before event bed.", "evening: retinol 0.3 %, adapalene 0.1 %")
    assert len({finding.products for finding in found}) == 2


def test_what_is_perhaps_the_anchor_gives_perhaps_an_order() -> None:
    rule = "never use moisturiser if routine has serum after base water."
    assert verdict(rule, "evening: toner (base water), serum, moisturiser") == "breaks"
    assert verdict(rule, "evening: toner, serum (base oil), moisturiser (base oil)") == "unknown"
    assert verdict(rule, "evening: serum (base oil), toner, moisturiser (base oil)") == "holds"


def test_dated_events_are_all_seen() -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}}
events: [{event: waxing, on: 2026-05-20}, {event: waxing, on: 2026-03-05}]
routines:
  - {slot: evening, steps: [r]}
"""
    found = findings_of("separate retinol from event waxing by day.", plan)
    assert [occurrence.date for finding in found for occurrence in finding.occurs] == ["2026-03-05", "2026-05-20"]


def test_the_morning_of_the_application_itself_counts() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, s: {kind: sunscreen, spf: 30}}
routines:
  - {slot: morning, days: [monday], steps: [{wait: 10 min}, r]}
  - {slot: morning, days: not monday, steps: [s]}
"""
    found = findings_of("after retinol expect sunscreen every morning for 1 day.", plan)
    assert [occurrence.day for finding in found for occurrence in finding.occurs] == [1]
    assert verdict("after retinol expect sunscreen every morning for 1 day.", plan.replace(", r]", ", r, s]")) == "holds"


def test_a_repeat_is_no_routine_that_lacks_its_companion() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, s: {kind: sunscreen, spf: 30}, m: {kind: moisturiser}}
routines:
  - {slot: morning, days: [monday], steps: [r, m, {product: s, repeat: every 2 hours, until: "13:00"}]}
"""
    assert verdict("after retinol expect moisturiser every routine for 1 day.", plan) == "holds"
    assert verdict("expect moisturiser in every routine.", plan) == "holds"
    assert verdict("expect toner in every routine.", plan) == "breaks"


@pytest.mark.parametrize(("minutes", "said"), [(30, "holds"), (31, "breaks")])
def test_so_long_ahead_is_enough(minutes: int, said: str) -> None:
    rule = f"before retinol expect moisturiser at least {minutes} minutes ahead."
    once = MIX.replace("regimen: x", "regimen: x\nstarts: 2026-03-02").replace("days: [monday]", "dates: [2026-03-02]")
    assert verdict(rule.replace("retinol", "serum"), once % "m, {wait: 30 min}, s") == said
    test = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}}
history: [{patch-test: r, from: 2026-03-01, hours: 24, reaction: REACTION}]
routines:
  - {slot: evening, steps: [r]}
"""
    rule = f"before first use of retinol expect patch-test of retinol at least {1260 + minutes} minutes ahead."
    assert verdict(rule, test.replace("REACTION", "none")) == said  # it ended with the day, 21 h 30 min before
    assert verdict(rule, test.replace(", reaction: REACTION", "")) == ("unknown" if said == "holds" else "breaks")
    assert verdict(rule, test.replace("REACTION", "mild")) == "breaks"


@pytest.mark.parametrize(("pause", "said"), [(9, "breaks"), (10, "holds"), (20, "holds")])
def test_a_pause_is_counted_from_the_latest_use(pause: int, said: str) -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}, t: {contains: {tretinoin: 0.05 %}}}
history: [{product: t, since: 2026-01-01, until: 2026-02-20}, {product: r, since: 2025-12-01, until: 2026-02-01}]
routines:
  - {slot: evening, steps: [r]}
"""
    assert verdict(f"never use retinoid during the first 2 weeks of retinoid after a pause of {pause} days.", plan) == said


AS_NEEDED = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}}
routines:
  - {slot: evening, days: DAYS, steps: [{product: r, as-needed: true, at-most: 3 per day}]}
"""


@pytest.mark.parametrize(
    ("rule", "days", "said"),
    [
        ("use at least 2 products of retinol per routine.", "[monday]", "unknown"),
        ("use at least 2 products of retinol per week.", "not monday", "unknown"),
        ("use retinol at least 1 times per week.", "not monday", "unknown"),
        ("use retinol at least 30 times per week.", "not monday", "unknown"),
        ("use retinol at most 1 days per week.", "[monday]", "holds"),
        ("use retinol at most 1 evenings per week.", "[monday]", "holds"),
        ("use at most 1 products of retinol per week.", "not monday", "holds"),
        ("use retinol at most 3 times per week.", "[monday]", "holds"),
        ("use retinol at most 2 times per week.", "[monday]", "unknown"),
    ],
)
def test_what_may_happen_is_counted_as_such(rule: str, days: str, said: str) -> None:
    assert verdict(rule, AS_NEEDED.replace("DAYS", days)) == said


def test_the_first_month_is_a_month_of_the_calendar() -> None:
    plan = """regimen: x
starts: 2026-02-01
products: {r: {contains: {retinol: 0.3 %}}}
history: []
cycle: 60 days
routines:
  - {slot: evening, steps: [r]}
"""
    found = findings_of("never use retinol during the first 1 month of retinol.", plan)
    assert max(occurrence.date or "" for finding in found for occurrence in finding.occurs) == "2026-02-28"
    old = plan.replace("history: []", "history: [{product: r}]")
    assert verdict("never use retinol during the first 1 month of retinol.", old) == "holds"


def test_too_little_is_told_of_the_fullest_alternative() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}}
routines:
  - {slot: evening, days: [friday], steps: [r]}
  - {slot: evening, days: [monday], only-if: going out, steps: [r]}
  - {slot: morning, days: [monday], only-if: not going out, steps: [r]}
  - {slot: midday, days: [monday], only-if: not going out, steps: [r]}
"""
    said = {number: verdict(f"use retinol at least {number} times per week.", plan) for number in (1, 2, 3, 4)}
    assert said == {1: "holds", 2: "unknown", 3: "unknown", 4: "breaks"}


def test_what_is_known_of_a_total_is_told_where_it_is_too_much_already() -> None:
    (found,) = findings_of(
        "limit total strength of hydroxy-acid per routine to at most 10 %.", "evening: glycolic-acid 12 %, lactic-acid"
    )
    assert found.certainty == "certain"
    assert found.measured is not None
    assert found.measured.value == 12


def test_a_total_asks_its_clauses_at_the_first_application_that_happens() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 2 %}}, w: {kind: cleanser}}
routines:
  - {slot: evening, days: [monday], steps: [FIRST, w, r]}
"""
    rule = "limit total strength of retinol per routine to at most 1 % if not before cleanser within 30 minutes."
    assert verdict(rule, plan.replace("FIRST", "r")) == "holds"
    assert verdict(rule, plan.replace("FIRST", "{product: r, as-needed: true}")) == "unknown"
    assert verdict(rule, plan.replace("FIRST, ", "")) == "breaks"


def test_what_was_used_before_is_looked_up_by_its_own_name() -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}, w: {kind: cleanser}}
history: [{product: NAME, since: 2025-11-01}]
routines:
  - {slot: evening, steps: [w, r]}
"""
    rule = "never use retinol during the first 2 weeks of retinol."
    assert verdict(rule, plan.replace("NAME", "w")) == "breaks"
    assert verdict(rule, plan.replace("NAME", "r")) == "holds"


def test_each_repeat_wants_its_companion_where_no_routine_is_asked_for() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, m: {kind: moisturiser}}
routines:
  - {slot: morning, days: [monday], steps: [{product: r, repeat: every 3 hours, until: "11:00"}, m]}
  - {slot: midday, days: [monday], at: "TIME", steps: [m]}
"""
    assert verdict("after retinol expect moisturiser within 30 minutes.", plan.replace("TIME", "10:30")) == "holds"
    assert verdict("after retinol expect moisturiser within 30 minutes.", plan.replace("TIME", "10:31")) == "breaks"
    assert verdict("after retinol expect moisturiser in the same routine.", plan.replace("TIME", "10:31")) == "holds"


def test_too_little_is_certain_only_between_uses_that_are() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, w: {kind: cleanser}}
phases:
  - {for: 2 weeks, cycle: 7 days, routines: [{slot: evening, days: [1], steps: [r]}]}
  - {for: 2 weeks, cycle: 14 days, routines: [{slot: evening, days: [14], only-if: at home, steps: [r]}]}
  - {cycle: 7 days, routines: [{slot: evening, steps: [w]}]}
"""
    assert verdict("use retinol at least 1 times per week.", plan) == "unknown"
    assert verdict("use at least 1 products of retinol per week.", plan) == "unknown"
    assert verdict("use retinol at least 1 times per week.", plan.replace("only-if: at home, ", "")) == "breaks"


@pytest.mark.parametrize(("minutes", "said"), [(570, "holds"), (571, "breaks")])
def test_a_dated_event_without_a_clock_is_at_noon(minutes: int, said: str) -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}}
events: [{event: waxing, on: 2026-03-02}]
routines:
  - {slot: evening, dates: [2026-03-02], steps: [r]}
"""
    assert verdict(f"separate retinol from event waxing by {minutes} minutes.", plan) == said


def test_what_is_mixed_with_a_product_is_not_behind_it() -> None:
    plan = MIX.replace("m: {kind: moisturiser}", "m: {kind: moisturiser}, t: {kind: toner}")
    assert verdict("apply serum directly before moisturiser.", plan % "{mix: [s, t]}, m") == "holds"
    assert verdict("apply serum directly before moisturiser.", plan % "s, {mix: [t, m]}") == "holds"
    assert verdict("apply serum directly before moisturiser.", plan % "s, t, m") == "breaks"


def test_what_may_come_before_makes_a_first_use_only_possible() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}}
history: []
routines:
  - {slot: morning, steps: [{product: r, as-needed: true}]}
  - {slot: evening, steps: [r]}
"""
    assert verdict("never use first use of retinol.", plan) == "unknown"
    assert verdict("never use first use of retinol.", plan.replace("{product: r, as-needed: true}", "r")) == "breaks"


def test_the_first_days_are_only_possible_where_an_earlier_use_is() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, m: {kind: moisturiser}}
history: []
cycle: 30 days
routines:
  - {slot: evening, days: [1], steps: [{product: r, as-needed: true}]}
  - {slot: evening, days: [5], steps: [r]}
  - {slot: evening, days: [6], steps: [m]}
"""
    rule = "never use moisturiser during the first 3 days of retinol."
    assert verdict(rule, plan) == "unknown"
    assert verdict(rule, plan.replace("{product: r, as-needed: true}", "m")) == "breaks"
    assert verdict(rule, plan.replace("{product: r, as-needed: true}", "r")) == "holds"


def test_a_routine_without_what_may_happen_is_asked_too() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, w: {kind: cleanser}}
routines:
  - {slot: evening, steps: [{product: r, as-needed: true}, w]}
"""
    assert verdict("expect retinol in every routine.", plan) == "unknown"
    assert verdict("expect retinol in every routine.", plan.replace(", w]}", "]}")) == "holds"
    assert verdict("expect retinol in every routine.", plan.replace("{product: r, as-needed: true}", "r")) == "holds"
    assert verdict("expect toner in every routine.", plan) == "breaks"


def test_at_a_slot_the_routines_of_that_slot_are_looked_at() -> None:
    rule = "expect sunscreen in every morning if routine has cleanser."
    assert verdict(rule, "morning: toner; evening: cleanser (rinsed)") == "holds"
    assert verdict(rule, "morning: cleanser (rinsed); evening: toner") == "breaks"
    assert verdict(rule, "morning: cleanser (rinsed), sunscreen (spf 30)") == "holds"


@pytest.mark.parametrize(("last", "expected"), [("2026-03-10", "holds"), ("2026-03-11", "breaks")])
def test_within_a_month_is_the_month_that_begins_with_the_earlier_of_two(last: str, expected: str) -> None:
    plan = f"""regimen: x
starts: 2026-02-10
products: {{r: {{contains: {{retinol: 0.3 %}}}}, m: {{kind: moisturiser}}}}
routines:
  - {{slot: evening, dates: [2026-02-10], steps: [r]}}
  - {{slot: evening, dates: [{last}], steps: [m]}}
"""
    assert verdict("after retinol expect moisturiser within 1 month.", plan) == expected  # 28 days from 10 February


@pytest.mark.parametrize(
    ("steps", "spf", "expected"),
    [
        ("[s]", "spf: 30", "holds"),
        ("[{product: s, as-needed: true}]", "spf: 30", "unknown"),
        ("[s]", "base: water", "unknown"),  # what it is, is not said
        ("[s]", "spf: 20", "breaks"),
    ],
)
def test_what_is_renewed_only_perhaps_is_perhaps_missing(steps: str, spf: str, expected: str) -> None:
    plan = f"""regimen: x
products: {{s: {{kind: sunscreen, {spf}}}}}
outdoors: [{{days: every, from: "08:00", to: "12:00"}}]
routines:
  - {{slot: morning, at: "10:00", steps: {steps}}}
"""
    assert verdict("in daylight expect (sunscreen with spf at least 30) every 2 hours.", plan) == expected


def test_daylight_on_a_date_is_on_that_day_alone() -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {s: {kind: sunscreen, spf: 30}}
phases:
  - {for: 4 days, routines: [{slot: morning, steps: [s]}]}
outdoors: [{dates: [2026-03-03, 2026-03-05], from: "08:00", to: "12:00"}]
"""
    found = findings_of("in daylight expect sunscreen every 2 hours.", plan)
    assert [occurrence.date for finding in found for occurrence in finding.occurs] == ["2026-03-03", "2026-03-05"]


@pytest.mark.parametrize(
    ("trigger", "companion", "expected"),
    [
        ("", "", "holds"),
        ("", "only-if: going out, ", "unknown"),
        ("only-if: going out, ", "only-if: going out, ", "holds"),  # what goes with it
        ("only-if: going out, ", "only-if: at home, ", "breaks"),
        ("days: [monday], ", "days: [monday], only-if: going out, ", "unknown"),
    ],
)
def test_a_companion_goes_with_what_calls_for_it_under_the_same_condition(trigger: str, companion: str, expected: str) -> None:
    plan = f"""regimen: x
products: {{r: {{contains: {{retinol: 0.3 %}}}}, m: {{kind: moisturiser}}}}
routines:
  - {{slot: morning, {trigger}steps: [r]}}
  - {{slot: evening, {companion}steps: [m]}}
"""
    assert verdict("after retinol expect moisturiser in the same day.", plan) == expected


@pytest.mark.parametrize("side", ["before", "after"])
def test_what_is_mixed_in_is_its_companion_on_either_side(side: str) -> None:
    assert verdict(f"{side} serum expect moisturiser in the same routine.", MIX % "{mix: [s, m]}") == "holds"
    assert verdict(f"{side} serum expect moisturiser in the same routine.", MIX % "s") == "breaks"


@pytest.mark.parametrize(
    ("areas", "expected"),
    [
        ("[cheeks]", "holds"),
        ("[beard]", "breaks"),
        ("[spots]", "breaks"),  # spots are on one part of the cheeks at most
        ("[beard, spots]", "unknown"),  # perhaps on the part above the beard
    ],
)
def test_what_is_on_spots_may_cover_the_part_that_is_left(areas: str, expected: str) -> None:
    plan = f"""regimen: x
products: {{m: {{kind: moisturiser}}}}
routines:
  - {{slot: evening, steps: [{{product: m, areas: {areas}}}]}}
"""
    assert verdict("before event bed expect moisturiser on cheeks in the same day.", plan) == expected


def test_bed_is_not_before_itself() -> None:
    rule = "before event bed expect retinoid in the same day if before event bed within 30 minutes."
    assert verdict(rule, "evening: cleanser") == "holds"
    rule = "before event bed expect retinoid in the same day if before event waxing within 30 minutes."
    assert verdict(rule, "evening: cleanser") == "holds"


@pytest.mark.parametrize(
    ("bed", "expected"), [("20:59", "holds"), ("21:00", "breaks"), ("21:09", "breaks"), ("21:10", "holds")]
)
def test_only_what_is_before_bed_waits_for_it(bed: str, expected: str) -> None:
    plan = f"""regimen: x
day: {{bed: "{bed}"}}
products: {{r: {{contains: {{retinol: 0.3 %}}}}}}
routines:
  - {{slot: evening, at: "21:00", steps: [r]}}
"""
    assert verdict("wait 10 minutes after retinol before event bed.", plan) == expected


@pytest.mark.parametrize(
    ("steps", "before", "after"),
    [
        ("m, s", "holds", "breaks"),
        ("s, m", "breaks", "holds"),
        ("s, {wait: 5 min}, m", "breaks", "holds"),
        ("{mix: [s, m]}", "holds", "holds"),
        ("s", "breaks", "breaks"),
    ],
)
def test_in_one_routine_the_order_of_steps_counts(steps: str, before: str, after: str) -> None:
    assert verdict("before serum expect moisturiser within 12 hours.", MIX % steps) == before
    assert verdict("after serum expect moisturiser within 12 hours.", MIX % steps) == after


@pytest.mark.parametrize(
    ("days", "expected"), [("[1, 7]", "breaks"), ("[1, 6]", "holds"), ("[2, 7]", "holds"), ("[1, 4, 7]", "holds")]
)
def test_too_few_is_asked_of_full_weeks_from_the_first_use_to_the_last(days: str, expected: str) -> None:
    plan = f"""regimen: x
starts: 2026-03-02
products: {{r: {{contains: {{retinol: 0.3 %}}}}}}
phases:
  - {{for: 7 days, cycle: 7 days, routines: [{{slot: evening, days: {days}, steps: [r]}}]}}
"""
    assert verdict("use retinol at least 3 days per week.", plan) == expected


@pytest.mark.parametrize("when", ["slot: midday", 'at: "12:00"'])
def test_an_event_of_another_rhythm_meets_each_day_of_the_cycle(when: str) -> None:
    plan = f"""regimen: x
products: {{r: {{contains: {{retinol: 0.3 %}}}}}}
events: [{{event: waxing, days: every 3 days, {when}}}]
phases:
  - {{cycle: 2 days, routines: [{{slot: evening, days: [2], steps: [r]}}]}}
"""
    found = findings_of("separate retinol from event waxing by day.", plan)
    assert [(occurrence.day, occurrence.slot) for finding in found for occurrence in finding.occurs] == [(4, "evening")]


@pytest.mark.parametrize(("slot", "expected"), [("evening", "holds"), ("midday", "breaks"), ("morning", "breaks")])
def test_daylight_that_nobody_stated_lasts_until_the_evening(slot: str, expected: str) -> None:
    plan = f"""regimen: x
products: {{m: {{kind: moisturiser}}}}
routines:
  - {{slot: {slot}, steps: [m]}}
"""
    assert verdict("after event daylight expect moisturiser within 3 hours.", plan) == expected


@pytest.mark.parametrize(
    ("sunday", "monday", "expected"),
    [("[m]", "[r, m]", "holds"), ("[m]", "[r]", "breaks"), ("[w]", "[r, m]", "breaks"), ("[m]", "[m, r]", "holds")],
)
def test_every_evening_before_has_the_evening_itself(sunday: str, monday: str, expected: str) -> None:
    plan = f"""regimen: x
products: {{r: {{contains: {{retinol: 0.3 %}}}}, m: {{kind: moisturiser}}, w: {{kind: cleanser}}}}
routines:
  - {{slot: evening, days: [sunday], steps: {sunday}}}
  - {{slot: evening, days: [monday], steps: {monday}}}
"""
    assert verdict("before retinol expect moisturiser every evening for 1 day.", plan) == expected
