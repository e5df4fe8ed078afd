"""A regimen laid out to be drawn: days, slots, steps in words, single dates, the shelf."""

from __future__ import annotations

import pytest

from dermalint.timeline.plan import MOST_DAYS, Plan, ShownDay, clock, draw_plan, duration
from judging import as_regimen

SHELF = """\
regimen: Larkspur
{head}products:
  wash: {{name: Foam wash, kind: cleanser, base: water, contact: rinsed}}
  serum: {{kind: serum, base: water, ph: 3.5, contains: {{ascorbic-acid: 15 %, ferulic-acid: }}}}
  cream: {{kind: moisturiser, prescribed: true}}
  shield: {{kind: sunscreen, spf: 50}}
"""


def plan(routines: str, head: str = "") -> Plan:
    return draw_plan(as_regimen(SHELF.format(head=head) + routines))


def said(day: ShownDay) -> list[str]:
    return [f"{routine.slot}: {', '.join(step.said for step in routine.steps)}" for routine in day.routines]


def test_a_week_has_seven_days_in_the_order_of_the_day() -> None:
    shown = plan(
        "routines:\n  - {slot: evening, days: [monday, thursday], steps: [wash, wait: 90 min, cream]}\n"
        "  - {slot: morning, steps: [wash, wait: {until: skin is dry}, shield]}\n"
    )
    (phase,) = shown.phases
    assert (phase.lasts, phase.repeats, len(phase.days)) == (None, 7, 7)
    assert [day.weekday for day in phase.days][:2] == ["monday", "tuesday"]
    assert said(phase.days[0]) == ["morning: wash, wait until the skin is dry, shield", "evening: wash, wait 1 h 30 min, cream"]
    assert said(phase.days[1]) == ["morning: wash, wait until the skin is dry, shield"]
    assert [name for name, _ in shown.slots] == ["morning", "midday", "afternoon", "evening"]


def test_steps_say_their_details_and_where_their_products_are_named() -> None:
    text = (
        "routines:\n  - slot: evening\n    at: '22:15'\n    only-if: the skin is calm\n    steps:\n"
        "      - {product: cream, areas: [face, neck], except: [eye-area], amount: 1 g, contact: {timed: 10 min}, skin: damp}\n"
        "      - {mix: [serum, cream]}\n"
        "      - {product: shield, as-needed: true, at-most: 3 per day}\n"
        "      - {product: shield, repeat: every 2 hours, until: '18:00'}\n"
    )
    regimen = as_regimen(SHELF.format(head="") + text)
    (routine,) = draw_plan(regimen).phases[0].days[0].routines
    assert (routine.at, routine.only_if) == ("22:15", "the skin is calm")
    assert [(step.said, step.details) for step in routine.steps] == [
        ("cream", ("1 g", "on face, neck", "not on eye-area", "on damp skin", "taken off after 10 min")),
        ("serum + cream", ()),
        ("shield", ("as needed, at most 3 a day",)),
        ("shield", ("again every 2 h until 18:00",)),
    ]
    whole = SHELF.format(head="") + text
    named = [[whole[place.start : place.end] for place in step.places] for step in routine.steps]
    assert named == [["cream"], ["serum", "cream"], ["shield"], ["shield"]]


def test_a_cycle_that_is_no_week_has_numbers_and_no_names() -> None:
    shown = plan("cycle: 4 days\nroutines:\n  - {slot: evening, days: [1, 3], steps: [cream]}\n", "starts: 2026-03-04\n")
    (phase,) = shown.phases
    assert [(day.number, day.weekday, bool(day.routines)) for day in phase.days] == [
        (1, None, True), (2, None, False), (3, None, True), (4, None, False),
    ]  # fmt: skip


def test_a_dated_week_begins_on_its_own_weekday() -> None:
    shown = plan("routines:\n  - {slot: evening, days: [wednesday], steps: [cream]}\n", "starts: 2026-03-04\n")
    (phase,) = shown.phases
    assert [day.weekday for day in phase.days if day.routines] == ["wednesday"]
    assert phase.days[0].weekday == "wednesday"
    assert shown.starts == "2026-03-04"


def test_every_so_many_days_lengthens_what_is_shown_up_to_four_weeks() -> None:
    second = plan("routines:\n  - {slot: evening, days: every 2 days, steps: [cream]}\n")
    assert [day.number for day in second.phases[0].days if day.routines] == [1, 3, 5, 7, 9, 11, 13]
    ninth = plan("routines:\n  - {slot: evening, days: every 9 days, steps: [cream]}\n")
    assert (ninth.phases[0].repeats, len(ninth.phases[0].days)) == (63, MOST_DAYS)


def test_a_phase_shorter_than_its_cycle_shows_its_own_days() -> None:
    shown = plan(
        "phases:\n  - {for: 5 days, routines: [{slot: evening, steps: [cream]}]}\n"
        "  - {routines: [{slot: morning, steps: [shield]}]}\n"
    )
    assert [(phase.number, phase.lasts, len(phase.days)) for phase in shown.phases] == [(1, 5, 5), (2, None, 7)]
    assert said(shown.phases[1].days[0]) == ["morning: shield"]


def test_what_is_dated_stands_outside_the_cycle() -> None:
    shown = plan(
        "routines:\n  - {slot: morning, steps: [shield]}\n  - {slot: evening, dates: [2026-03-14], steps: [serum]}\n"
        "events:\n  - {event: waxing, on: 2026-03-13, areas: [upper-lip]}\n"
        "  - {event: shaving, slot: morning, days: [monday]}\n",
        "starts: 2026-03-02\n",
    )
    told = [(one.date, one.routine.slot, [(step.said, step.details) for step in one.routine.steps]) for one in shown.dates]
    assert told == [
        ("2026-03-13", "", [("waxing", ("on upper-lip",))]),
        ("2026-03-14", "evening", [("serum", ())]),
    ]
    assert said(shown.phases[0].days[0]) == ["morning: shaving", "morning: shield"]
    assert said(shown.phases[0].days[1]) == ["morning: shield"]


def test_the_shelf_says_what_is_declared() -> None:
    shown = plan("routines:\n  - {slot: morning, steps: [shield]}\n")
    assert [(product.key, product.name, product.about) for product in shown.shelf] == [
        ("wash", "Foam wash", ("cleanser", "base water", "rinsed")),
        ("serum", None, ("serum", "base water", "pH 3.5", "ascorbic-acid 15 %", "ferulic-acid")),
        ("cream", None, ("moisturiser", "prescribed")),
        ("shield", None, ("sunscreen", "SPF 50")),
    ]


def test_stated_clocks_stand_beside_their_slots() -> None:
    head = "day: {morning: '06:30', after-work: {at: '18:00', counts-as: evening}}\n"
    shown = plan("routines:\n  - {slot: after-work, steps: [cream]}\n", head)
    assert shown.slots == (
        ("morning", "06:30"), ("midday", None), ("afternoon", None), ("after-work", "18:00"), ("evening", None),
    )  # fmt: skip


@pytest.mark.parametrize(("minute", "words"), [(None, None), (0, "00:00"), (1445, "00:05"), (1290, "21:30")])
def test_clocks(minute: int | None, words: str | None) -> None:
    assert clock(minute) == words


@pytest.mark.parametrize(("minutes", "words"), [(0, "0 min"), (20, "20 min"), (60, "1 h"), (90, "1 h 30 min")])
def test_durations(minutes: int, words: str) -> None:
    assert duration(minutes) == words
