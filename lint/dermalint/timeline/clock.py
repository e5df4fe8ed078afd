"""The clocks of a regimen day's slots, in minutes after the midnight its first slot belongs to."""

from __future__ import annotations

from dermalint.regimen.model import DayClock
from dermalint_grammar.record import Record

DAY = 1440
SLOTS = ("morning", "midday", "afternoon", "evening")
DEFAULTS = {"morning": 7 * 60, "midday": 12 * 60 + 30, "afternoon": 15 * 60 + 30, "evening": 21 * 60 + 30}
BED_AFTER_LAST_SLOT = 60


class SlotClock(Record):
    """When a slot begins and which of the four slots it counts as; ``order`` is its place in the day."""

    name: str
    minute: int
    counts_as: str
    order: int


class Clock(Record):
    """All slots of a regimen day and its bed time; minutes past 1440 lie after midnight, still the same regimen day."""

    slots: dict[str, SlotClock]
    bed: int

    @property
    def start(self) -> int:
        """When the regimen day begins: its first slot."""
        return self.slots["morning"].minute


def next_turn(clock: int, after: int) -> int:
    """The first minute after ``after`` at which a clock shows ``clock`` (minutes past midnight)."""
    return after + 1 + (clock - after - 1) % DAY


def nearest_turn(clock: int, to: int) -> int:
    """The minute nearest to ``to`` at which a clock shows ``clock``; of two equally near, the later."""
    ahead = (clock - to) % DAY
    return to + (ahead if ahead <= DAY // 2 else ahead - DAY)


def set_clock(day: DayClock) -> Clock:
    """Place the slots: each stated clock is its first turn after the stated slot before it (or the morning).

    A slot whose clock is not stated keeps its default where that lies between its neighbours, and stands half way between
    them otherwise, so that a night worker who states two clocks does not have to state four.
    """
    at = day.stated.get("morning", DEFAULTS["morning"])
    stated = {"morning": at}
    for name in SLOTS[1:]:
        if name in day.stated:
            stated[name] = at = next_turn(day.stated[name], at)
    minutes: dict[str, int] = {}
    before = 0
    for index, name in enumerate(SLOTS):
        following = next((stated[later] for later in SLOTS[index:] if later in stated), None)
        if name in stated:
            minute = stated[name]
        else:
            minute = next_turn(DEFAULTS[name], before)
            if following is not None and minute >= following:
                minute = (before + following) // 2
            elif following is None and minute - minutes["morning"] >= DAY:
                minute = (before + minutes["morning"] + DAY) // 2
        minutes[name] = before = minute
    slots = {name: SlotClock(name, minutes[name], name, order) for order, name in enumerate(SLOTS)}
    for own in day.own:
        counts_as = slots.get(own.counts_as, slots["evening"])
        minute = nearest_turn(own.at, counts_as.minute)
        slots[own.name] = SlotClock(own.name, minute, counts_as.counts_as, len(slots))
    last = minutes["evening"]
    bed = next_turn(day.stated["bed"], last) if "bed" in day.stated else last + BED_AFTER_LAST_SLOT
    return Clock(slots, bed)
