"""Slots and clocks: the first paragraph of the meaning of time."""

from __future__ import annotations

import pytest

from dermalint.regimen.model import DayClock, OwnSlot
from dermalint.spans import Place
from dermalint.timeline.clock import nearest_turn, next_turn, set_clock

NOWHERE = Place(0, 0)


def clock_text(minute: int) -> str:
    return f"{minute // 1440}d {minute % 1440 // 60:02d}:{minute % 60:02d}"


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        ({}, {"morning": "0d 07:00", "midday": "0d 12:30", "afternoon": "0d 15:30", "evening": "0d 21:30"}),
        ({"morning": 975, "evening": 500}, {"morning": "0d 16:15", "evening": "1d 08:20"}),
        ({"morning": 975, "midday": 30, "evening": 500}, {"midday": "1d 00:30", "evening": "1d 08:20"}),
        ({"evening": 20 * 60}, {"morning": "0d 07:00", "afternoon": "0d 15:30", "evening": "0d 20:00"}),
        ({"evening": 0}, {"evening": "1d 00:00"}),
    ],
)
def test_each_clock_is_the_first_turn_after_the_slot_before(stated: dict[str, int], expected: dict[str, str]) -> None:
    clock = set_clock(DayClock(stated))
    assert {name: clock_text(clock.slots[name].minute) for name in expected} == expected


@pytest.mark.parametrize("stated", [{}, {"morning": 975}, {"morning": 975, "evening": 500}, {"midday": 60}, {"evening": 30}])
def test_slots_stand_in_their_order_within_one_day(stated: dict[str, int]) -> None:
    minutes = [slot.minute for slot in set_clock(DayClock(stated)).slots.values()]
    assert minutes == sorted(minutes)
    assert len(set(minutes)) == 4
    assert minutes[-1] - minutes[0] < 1440


def test_bed_is_an_hour_after_the_evening_unless_stated() -> None:
    assert clock_text(set_clock(DayClock()).bed) == "0d 22:30"
    assert clock_text(set_clock(DayClock({"bed": 15})).bed) == "1d 00:15"


def test_an_own_slot_stands_near_the_slot_it_counts_as() -> None:
    own = (OwnSlot("after-sport", 18 * 60, "afternoon", NOWHERE), OwnSlot("night", 120, "evening", NOWHERE))
    slots = set_clock(DayClock({}, own)).slots
    assert (clock_text(slots["after-sport"].minute), slots["after-sport"].counts_as) == ("0d 18:00", "afternoon")
    assert (clock_text(slots["night"].minute), slots["night"].counts_as) == ("1d 02:00", "evening")


@pytest.mark.parametrize(("clock", "to", "expected"), [(60, 1290, 1500), (1200, 1290, 1200), (420, 1290, 1860), (0, 720, 1440)])
def test_the_turn_of_a_clock_nearest_a_minute(clock: int, to: int, expected: int) -> None:
    assert nearest_turn(clock, to) == expected


def test_the_next_turn_of_the_same_clock_is_a_day_later() -> None:
    assert next_turn(420, 420) == 420 + 1440
    assert next_turn(420, 419) == 420
