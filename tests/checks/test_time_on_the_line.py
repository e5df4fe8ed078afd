"""The circular line: neighbours across the seam, every second day, phases, and rotation."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dermalint.regimen.model import Days, Phase, Regimen, Routine
from dermalint.verdict.findings import Finding
from dermalint_grammar.record import replace
from judging import as_regimen, findings_of, places, verdict

APART = "separate uses of retinol by 2 days."


def test_sunday_evening_and_monday_morning_are_neighbours() -> None:
    rule = "separate retinol from glycolic-acid by 12 hours."
    found = findings_of(rule, "sunday evening: retinol 0.3 %; monday morning: glycolic-acid 7 %")
    assert [(finding.measured.value, finding.measured.required) for finding in found if finding.measured] == [(570, "12 hours")]
    assert "9 h 30 min" in found[0].message
    assert verdict(rule, "monday morning: glycolic-acid 7 %; monday evening: retinol 0.3 %") == "holds"


def test_every_second_night_is_not_monday_wednesday_friday_sunday() -> None:
    weekdays = "; ".join(f"{day} evening: retinol 0.3 %" for day in ("monday", "wednesday", "friday", "sunday"))
    found = findings_of(APART, weekdays)
    assert [places(finding) for finding in found] == [[(1, "evening")]]
    assert found[0].occurs[0].repeats == 7
    assert verdict(APART, "cycle 2 days: day 1 evening: retinol 0.3 %") == "holds"


def test_every_second_day_runs_through_the_seam_of_a_week() -> None:
    week = "regimen: x\nproducts:\n  r: {contains: {retinol: 0.3 %}}\ncycle: 7 days\nroutines:\n"
    found = findings_of("never use retinol.", week + "  - {slot: evening, days: every 2 days, steps: [r]}\n")
    assert [occurrence.day for occurrence in found[0].occurs] == [1, 3, 5, 7, 9, 11, 13]
    assert {occurrence.repeats for occurrence in found[0].occurs} == {14}
    assert verdict(APART, week + "  - {slot: evening, days: every 2 days, steps: [r]}\n") == "holds"


def test_a_window_crosses_from_one_phase_into_the_next() -> None:
    plan = """regimen: x
starts: 2026-03-02
products: {r: {contains: {retinol: 0.3 %}}}
phases:
  - {for: 1 week, cycle: 7 days, routines: [{slot: evening, days: [friday, saturday, sunday], steps: [r]}]}
  - {cycle: 7 days, routines: [{slot: evening, days: [monday], steps: [r]}]}
"""
    found = findings_of("use retinol at most 3 evenings per week.", plan)
    assert found[0].measured is not None
    assert found[0].measured.value == 4
    assert [(o.phase, o.day, o.repeats, o.date) for o in found[0].occurs] == [
        (1, 5, None, "2026-03-06"),
        (1, 6, None, "2026-03-07"),
        (1, 7, None, "2026-03-08"),
        (2, 1, None, "2026-03-09"),
    ]


def test_weekday_names_follow_the_calendar_of_a_dated_line() -> None:
    plan = "regimen: x\nstarts: 2026-03-04\nproducts: {r: {contains: {retinol: 0.3 %}}}\nroutines:\n"
    found = findings_of("never use retinol.", plan + "  - {slot: evening, days: [monday], steps: [r]}\n")
    assert [(o.day, o.weekday) for o in found[0].occurs] == [(6, "monday")]  # the line begins on a Wednesday


STEPS = ["retinol 0.3 %", "glycolic-acid 7 %", "moisturiser", "niacinamide 4 % (rinsed)", "sunscreen (spf 30)"]
RULES = [
    "separate retinol from glycolic-acid by routine.",
    "separate retinol from glycolic-acid by day.",
    "separate retinol from glycolic-acid by 30 hours.",
    "separate retinol from glycolic-acid by 2 days before and 1 day after.",
    "separate uses of retinol by 3 days.",
    "apply glycolic-acid before moisturiser.",
    "apply moisturiser last.",
    "use retinol at most 2 evenings per week.",
    "use retinol at least 2 times per week.",
    "use retinol at most 1 evening in a row.",
    "use at most 1 products of retinol or glycolic-acid per day.",
    "use retinol only in the evening.",
    "after retinol expect moisturiser in the same routine.",
    "after retinol expect sunscreen every morning for 2 days.",
    "before glycolic-acid expect moisturiser within 20 hours.",
    "expect sunscreen in every morning.",
    "never use retinol if day has glycolic-acid.",
]


def plans(draw: st.DrawFn) -> tuple[int, list[tuple[int, str, list[str]]]]:
    length = draw(st.integers(1, 9))
    steps = st.lists(st.sampled_from(STEPS), min_size=1, max_size=3)
    routine = st.tuples(st.integers(1, length), st.sampled_from(["morning", "evening"]), steps)
    routines = draw(st.lists(routine, min_size=1, max_size=6, unique_by=lambda entry: entry[:2]))
    return length, routines


def rotate(regimen: Regimen, by: int) -> Regimen:
    """The same cycle told from another day on."""
    (phase,) = regimen.phases

    def turn(routine: Routine) -> Routine:
        numbers = tuple((number - 1 + by) % phase.cycle + 1 for number in routine.days.numbers)
        return replace(routine, days=replace(routine.days, numbers=numbers))

    turned: Phase = replace(phase, routines=tuple(turn(routine) for routine in phase.routines))
    return replace(regimen, phases=(turned,))


def essence(finding: Finding, by: int, period: int) -> tuple[object, ...]:
    days = Counter(((occurrence.day - 1 + by) % period + 1, occurrence.slot) for occurrence in finding.occurs)
    value = finding.measured.value if finding.measured else None
    return finding.rule, finding.certainty, finding.products, value, frozenset(days.items()), finding.id


@settings(max_examples=120, deadline=None)
@given(data=st.data(), by=st.integers(1, 8), rule=st.sampled_from(RULES))
def test_rotating_a_regimen_without_beginning_changes_nothing_but_the_days(data: st.DataObject, by: int, rule: str) -> None:
    length, routines = plans(data.draw)
    text = "; ".join(f"day {day} {slot}: {', '.join(steps)}" for day, slot, steps in routines)
    regimen = as_regimen(f"cycle {length} days: {text}")
    before = sorted(essence(finding, by, length) for finding in findings_of(rule, regimen))
    after = sorted(essence(finding, 0, length) for finding in findings_of(rule, rotate(regimen, by)))
    # A rotation may reorder the products of a finding, never which they are.
    assert [_unordered(entry) for entry in before] == [_unordered(entry) for entry in after]


def _unordered(entry: tuple[object, ...]) -> tuple[object, ...]:
    products = entry[2]
    assert isinstance(products, tuple)
    return (*entry[:2], tuple(sorted(products)), *entry[3:])


@pytest.mark.parametrize("days", [Days(), Days(numbers=(1, 2, 3, 4, 5, 6, 7))])
def test_every_day_and_all_days_of_the_week_are_the_same(days: Days) -> None:
    regimen = as_regimen("evening: retinol 0.3 %")
    (phase,) = regimen.phases
    routines = tuple(replace(routine, days=days) for routine in phase.routines)
    regimen = replace(regimen, phases=(replace(phase, routines=routines),))
    assert len(findings_of("never use retinol.", regimen)[0].occurs) == 7


def test_spots_may_lie_where_a_step_left_the_face_out() -> None:
    plan = """regimen: x
products: {a: {contains: {retinol: 0.3 %}}, b: {contains: {glycolic-acid: 7 %}}}
routines:
  - slot: evening
    steps: [{product: a, areas: [spots]}, {product: b, WHERE}]
"""
    rule = "separate retinol from glycolic-acid by routine."
    assert verdict(rule, plan.replace("WHERE", "areas: [face]")) == "breaks"
    assert verdict(rule, plan.replace("WHERE", "except: [chin]")) == "unknown"
    assert verdict(rule, plan.replace("WHERE", "areas: [chin]")) == "unknown"
    assert verdict(rule, plan.replace("WHERE", "areas: [neck]")) == "holds"


def test_daylight_that_begins_when_the_morning_routine_ends_comes_after_its_steps() -> None:
    rule = "expect retinol in every daylight if within 30 minutes after sunscreen."
    assert verdict(rule, "morning: sunscreen (spf 30)") == "breaks"
    assert verdict(rule, "evening: sunscreen (spf 30)") == "holds"


def test_what_has_ended_is_not_too_little_for_ever() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}, w: {kind: cleanser}}
phases:
  - {for: 2 weeks, cycle: 7 days, routines: [{slot: evening, days: [monday], steps: [r]}]}
  - {cycle: 7 days, routines: [{slot: evening, steps: [w]}]}
"""
    assert verdict("use retinol at least 1 times per week.", plan) == "holds"
    assert verdict("use at least 1 products of retinol per week.", plan) == "holds"
    assert verdict("use retinol at least 2 times per week.", plan) == "breaks"
