"""What a calendar says, expanded by a library that knows nothing of regimens, and what the timeline says."""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, time, timedelta

import recurring_ical_events
from icalendar import Calendar

from dermalint.handout.calendar import write_calendar
from dermalint.handout.language import Language
from dermalint.handout.plan import HandOut, plan_hand_out
from dermalint.handout.telling import tell
from dermalint.regimen.model import ApplyStep, Regimen
from dermalint.timeline.clock import nearest_turn, set_clock
from dermalint.timeline.unroll import unroll
from dermalint.vocabulary.world import World

DAYS = 400
AS_OF = date(2026, 3, 2)
Moments = Counter[tuple[str, datetime]]


def planned(regimen: Regimen) -> HandOut:
    """The plan of a hand-out on which no rule has a say."""
    return plan_hand_out(regimen, (), (), World(), AS_OF)


def calendar_of(regimen: Regimen, language: str = "en") -> bytes:
    plan, speaks = planned(regimen), Language(language)
    return write_calendar(plan, tell(plan, speaks), speaks)


def expanded(calendar: bytes, starts: date, days: int = DAYS) -> Moments:
    """Every happening of routines, repeats and events in so many days, by what it is of."""
    found: Moments = Counter()
    end = datetime.combine(starts, time()) + timedelta(days=days + 1)
    for event in recurring_ical_events.of(Calendar.from_ical(calendar)).between(datetime.combine(starts, time()), end):
        item, start = str(event["X-DERMALINT-ITEM"]), event["DTSTART"].dt
        words = item.split(" ")
        if words[0] == "event":
            moment = start if isinstance(start, datetime) else datetime.combine(start, time(12))
            found[f"event {words[1]}", moment] += 1
        elif "routine" in words:
            kind = " again" if "again" in words else ""
            found[f"{' '.join(words[:4])}{kind}", start] += 1
    return found


def timeline(regimen: Regimen, days: int = DAYS) -> Moments:
    """The same by the timeline on which the rules judge."""
    assert regimen.starts is not None
    line = unroll(regimen, days)
    names = {
        id(routine): f"phase {number + 1} routine {index + 1}"
        for number, phase in enumerate(regimen.phases)
        for index, routine in enumerate(phase.routines)
    }
    midnight = datetime.combine(regimen.starts, time())
    seen: set[tuple[str, datetime]] = set()
    for use in line.uses:
        assert use.application is not None
        routine = use.application.routine
        name = names[id(routine)]
        if use.routine in line.renewals:
            place = next(n for n, step in enumerate(routine.steps) if step is use.application.step)
            seen.add((f"{name} again {place}", midnight + timedelta(minutes=use.minute)))
            continue
        slot = line.clock.slots[routine.slot.name]
        minute = slot.minute if routine.at is None else nearest_turn(routine.at, slot.minute)
        seen.add((name, midnight + timedelta(days=use.day, minutes=minute)))
    found: Moments = Counter((name if " again" not in name else name.rpartition(" ")[0], at) for name, at in seen)
    for use in line.events:
        number = next(n for n, event in enumerate(regimen.events) if event is use.event)
        found[f"event {number + 1}", midnight + timedelta(minutes=use.minute)] += 1
    return found


def within(moments: Moments, starts: date, days: int = DAYS) -> Moments:
    """Those inside the days that are compared."""
    first = datetime.combine(starts, time())
    return Counter({key: n for key, n in moments.items() if first <= key[1] < first + timedelta(days=days)})


def difference(regimen: Regimen, days: int = DAYS) -> list[str]:
    """Where calendar and timeline do not agree, in words; both ways."""
    assert regimen.starts is not None
    days = min(days, unroll(regimen, days).end)  # what is dated behind the end is on nobody's timeline
    said = within(expanded(calendar_of(regimen), regimen.starts, days), regimen.starts, days)
    true = within(timeline(regimen, days), regimen.starts, days)
    # An event on the first day before its first slot is still the day before, which is not laid out.
    begins = datetime.combine(regimen.starts, time()) + timedelta(minutes=set_clock(regimen.clock).start)
    said = Counter({key: n for key, n in said.items() if not (key[0].startswith("event") and key[1] < begins)})
    return [f"only in the calendar: {key}" for key in sorted(said - true)] + [
        f"missing in the calendar: {key}" for key in sorted(true - said)
    ]


def has_routines(regimen: Regimen) -> bool:
    return any(isinstance(s, ApplyStep) for p in regimen.phases for r in p.routines for s in r.steps)
