"""Requirements about what must be there too: ``expect …``.

A rule is judged at what calls for a companion as if that happens, so each fault comes with what must be supposed.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from dermalint.regimen.model import PastTest
from dermalint_grammar import nodes
from oracles import words
from oracles.layout import DAY, Thing
from oracles.reading import Match, Reader, Skin
from oracles.worlds import Unknown, area_of, group_term, parts_of, supposing

Fault = tuple[Thing, Thing, frozenset[Unknown]]  # told at, clauses judged at, supposing


def own_area(reader: Reader, term: nodes.Term) -> Skin | None:
    """The area that a term itself names; None where it names none."""
    if isinstance(term, nodes.OnArea):
        inner = own_area(reader, term.term)
        area = area_of(reader.world, term.area)
        return area if inner is None else area & inner
    if isinstance(term, nodes.OneOf | nodes.AllOf):
        parts = [own_area(reader, part) for part in term.terms]
        named = [part for part in parts if part is not None]
        if isinstance(term, nodes.AllOf):
            return frozenset.intersection(*named) if named else None
        return frozenset().union(*named) if len(named) == len(parts) else None
    if isinstance(term, nodes.Named) and term.name in words.GROUPS:
        return own_area(reader, group_term(term.name))
    inner_term = getattr(term, "term", None)
    return None if inner_term is None or isinstance(term, nodes.NotTerm) else own_area(reader, inner_term)


class Companions:
    """The applications of a companion, and whether some of them cover what calls for it."""

    def __init__(self, reader: Reader, rule: nodes.Rule, term: nodes.Term) -> None:
        self.reader = reader
        self.found = reader.matches(term)
        self.by_day: dict[int, list[Match]] = {}
        for match in self.found:
            self.by_day.setdefault(match[0].day, []).append(match)
        self.own = own_area(reader, term)
        sun = any(isinstance(node, nodes.Named) and node.name == "sunscreen" for node in parts_of(term))
        sun |= any(isinstance(node, nodes.Measured) and node.measure == "spf" for node in parts_of(term))
        self.dark: Skin = frozenset()
        if rule.topic == "sun" or (rule.topic is None and sun):
            for entry in reader.layout.regimen.outdoors:
                for mention in entry.covered:
                    self.dark |= area_of(reader.world, mention.name)

    def needed(self, skin: Skin) -> Skin:
        """What must be covered: the companion's own area where it names one, less what no daylight reaches."""
        return (skin if self.own is None else self.own) - self.dark

    def cover(self, found: list[Match], needed: Skin) -> bool:
        """Whether some are there and together lie on all that is needed."""
        return bool(found) and needed <= frozenset().union(*(skin for _, skin in found))


def around(reader: Reader, rule: nodes.Rule, requirement: nodes.ExpectAround) -> Iterator[Fault]:
    """After (before) each A, near enough, a B on all the skin of A."""
    triggers = reader.matches(requirement.trigger)
    if isinstance(requirement.companion, nodes.PatchTest):
        yield from _tested(reader, requirement, triggers)
        return
    companions = Companions(reader, rule, requirement.companion)
    for trigger, skin in triggers:
        if requirement.reach.where != "every" and not reader.layout.judged(trigger.day):
            continue
        needed = companions.needed(skin)
        if skin and not needed:
            continue
        if requirement.reach.where == "every":
            yield from _every_after(reader, requirement, companions, trigger, needed)
            continue
        if requirement.reach.where == "routine" and trigger.routine is None:
            continue
        near = companions.found
        if requirement.reach.where != "ahead":
            days = requirement.reach.duration.days + 2 if requirement.reach.duration is not None else 0
            near = reader.matches_near(requirement.companion, trigger.day - days, trigger.day + days)
        found = [match for match in near if _reaches(reader, requirement, trigger, match[0])]
        if not companions.cover(found, needed):
            yield trigger, trigger, supposing(trigger)


def _reaches(reader: Reader, requirement: nodes.ExpectAround, trigger: Thing, companion: Thing) -> bool:
    if companion is trigger:
        return True
    reach = requirement.reach
    early, late = (trigger, companion) if requirement.side == "after" else (companion, trigger)
    if reach.where == "routine":
        return trigger.routine == companion.routine and early.position <= late.position
    if early.moment > late.moment:
        return False
    if reach.where == "day":
        return trigger.day == companion.day
    duration = reach.duration
    assert duration is not None
    gap, furthest = late.minute - early.minute, reader.days_after(early.day, duration)
    if reach.where == "ahead":
        return gap >= duration.minutes if duration.by_clock else late.day >= furthest
    return gap <= duration.minutes if duration.by_clock else late.day <= furthest


def _every_after(
    reader: Reader, requirement: nodes.ExpectAround, companions: Companions, trigger: Thing, needed: Skin
) -> Iterator[Fault]:
    reach = requirement.reach
    assert reach.duration is not None
    assert reach.slot is not None
    after = requirement.side == "after"
    if after:
        days = range(trigger.day, reader.days_after(trigger.day, reach.duration) + 1)
    else:
        days = range(trigger.day - reach.duration.days, trigger.day + 1)
    for day in days:
        for moment, found in moments(reader, companions, reach.slot, day):
            same_slot = moment.day == trigger.day and moment.slot == trigger.slot
            if after and moment.minute < trigger.minute and not same_slot:
                continue
            if not after and moment.minute > trigger.minute:
                continue
            if not companions.cover(found, needed):
                yield moment, trigger, supposing(trigger)


def moments(reader: Reader, companions: Companions, slot: str, day: int) -> list[tuple[Thing, list[Match]]]:
    """Each such slot (day, routine, interval of daylight) of a day, with the companions that count there."""
    layout = reader.layout
    if not layout.first <= day < layout.end:
        return []
    todays = companions.by_day.get(day, [])
    if slot == "daylight":
        lights = [light for light in layout.daylight if light.day == day]
        return [(light, [match for match in todays if match[0].minute <= light.minute]) for light in lights]
    if slot == "routine":
        routines = {thing.routine: thing for thing in reversed(reader.days.get(day, [])) if thing.routine}
        return [(thing, [match for match in todays if match[0].routine == number]) for number, thing in routines.items()]
    clock = layout.slots["morning" if slot == "day" else slot]
    minute = day * DAY + clock.minute
    moment = Thing(minute, minute, day, clock.name, clock.counts_as, None, 0)
    return [(moment, [match for match in todays if slot in ("day", match[0].slot, match[0].counts_as)])]


def every(reader: Reader, rule: nodes.Rule, requirement: nodes.ExpectEvery) -> Iterator[Fault]:
    """A companion in every slot of the line, listed or not; or in every routine (slot, day) that has an A."""
    layout = reader.layout
    companions = Companions(reader, rule, requirement.companion)
    if requirement.having is None:
        daylight = requirement.slot == "daylight"
        needed = companions.needed(area_of(reader.world, "face") if daylight else frozenset())
        if daylight and not needed:
            return
        for day in range(layout.judged_from, layout.judged_until):
            for moment, found in moments(reader, companions, requirement.slot, day):
                if not companions.cover(found, needed):
                    supposed = [supposing(thing) for thing in reader.routine_of(moment)]
                    yield moment, moment, min(supposed, key=len, default=frozenset())
        return
    for trigger, skin in reader.matches(requirement.having):
        slot = requirement.slot
        if slot == "routine" and trigger.routine is None:
            continue
        if slot not in ("routine", "day", trigger.slot, trigger.counts_as):
            continue
        found = [match for match in companions.by_day.get(trigger.day, []) if _beside(slot, trigger, match[0])]
        needed = companions.needed(skin)
        if needed and not companions.cover(found, needed):
            yield trigger, trigger, supposing(trigger)


def _beside(slot: str, trigger: Thing, companion: Thing) -> bool:
    """Whether a companion of the same day is in the routine, or in the slot, that has what calls for it."""
    if slot == "day" or companion is trigger:
        return True
    if slot == "routine":
        return companion.routine == trigger.routine
    return slot in (companion.slot, companion.counts_as)


def _tested(reader: Reader, requirement: nodes.ExpectAround, triggers: list[Match]) -> Iterator[Fault]:
    """A patch test of the same product without reaction, over long enough before."""
    for trigger, _ in triggers:
        passed = False
        for test in reader.layout.regimen.history or ():
            if not isinstance(test, PastTest) or trigger.product is None or test.product.name != trigger.product.key:
                continue
            assert test.first is not None
            over = (test.first - reader.date_of(0)).days * DAY + (test.hours or 0) * 60
            ahead = requirement.reach.duration
            assert ahead is not None
            passed |= test.reaction == "none" and trigger.minute - over >= ahead.minutes
        if not passed:
            yield trigger, trigger, supposing(trigger)


def renew(reader: Reader, rule: nodes.Rule, requirement: nodes.Renew) -> Iterator[Fault]:
    """In each stated interval outdoors no stretch longer than asked without a fresh B on the shown face."""
    companions = Companions(reader, rule, requirement.companion)
    for light in reader.layout.daylight:
        if not light.stated or id(light) in reader.layout.behind_glass:
            continue
        fresh = [t.minute for t, _ in companions.found if light.minute <= t.minute <= light.end]
        marks = sorted([light.minute, *fresh, light.end])
        if any(later - earlier > requirement.duration.minutes for earlier, later in pairwise(marks)):
            yield light, light, frozenset()
