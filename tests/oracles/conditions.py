"""Clauses in one world: whether they hold at an application, or at a slot without one."""

from __future__ import annotations

from datetime import date, timedelta

from dermalint_grammar import nodes
from oracles import words
from oracles.layout import Thing
from oracles.reading import Reader, compares, later_date
from oracles.worlds import months_of, skin_of


def all_hold(reader: Reader, rule: nodes.Rule, at: Thing) -> bool:
    """Whether every clause of a rule holds."""
    if id(at) not in reader.held:
        reader.held[id(at)] = at, all(holds(reader, condition, at) for condition in rule.conditions)
    return reader.held[id(at)][1]


def holds(reader: Reader, condition: nodes.Condition, at: Thing) -> bool:
    """Whether one condition holds."""
    person = reader.layout.regimen.person
    match condition:
        case nodes.AnyCondition(parts, _):
            return any(holds(reader, part, at) for part in parts)
        case nodes.EveryCondition(parts, _):
            return all(holds(reader, part, at) for part in parts)
        case nodes.NotCondition(part, _):
            return not holds(reader, part, at)
        case nodes.PersonIs(trait, _, _):
            facts = (*person.traits, *person.symptoms)
            return any(fact.name == trait and (fact.since or date.min) <= _today(reader, at) for fact in facts)
        case nodes.AllergicTo(allergen, _):
            return any(allergy.name == allergen for allergy in person.allergies)
        case nodes.Takes():
            return _takes(reader, condition, _today(reader, at))
        case nodes.ReasonIs(reason, _):
            return any(mention.name == reason for mention in person.reasons)
        case nodes.Age(comparison, duration, _):
            months = person.age_months if person.age_months is not None else reader.world["age",]
            return compares(months, comparison, months_of(duration))
        case nodes.Phototype(comparison, number, _):
            return compares(person.phototype or reader.world["phototype",], comparison, number)
        case nodes.RegionIs(region, _):
            return reader.region == region
        case nodes.FromDate(day, _):
            return reader.as_of >= date.fromisoformat(day)
        case nodes.UntilDate(day, _):
            return reader.as_of < date.fromisoformat(day)
        case nodes.SkinIs(state, _):
            return at.skin == state
        case nodes.Has():
            return _has(reader, condition, at)
        case nodes.Around():
            return _around(reader, condition, at)
        case nodes.DuringFirst(duration, term, _):
            begins = [thing.day for thing, _ in reader.matches(term)]
            for past in reader.used_before(term):
                assert past.since is not None
                begins.append((past.since - reader.date_of(0)).days)
            return bool(begins) and min(begins) <= at.day < reader.days_after(min(begins), duration)
    raise AssertionError(condition)


def _today(reader: Reader, at: Thing) -> date:
    """The date of a moment; the as-of date without a calendar."""
    return reader.as_of if reader.layout.regimen.starts is None else reader.date_of(at.day)


def _takes(reader: Reader, condition: nodes.Takes, today: date) -> bool:
    for medicine in reader.layout.regimen.person.takes:
        if condition.medicine not in words.families_of(medicine.substance) or (medicine.since or date.min) > today:
            continue
        if medicine.until is None or medicine.until >= today:
            return True
        if condition.within is not None:
            months = months_of(condition.within) if condition.within.unit in (nodes.Unit.MONTH, nodes.Unit.YEAR) else 0
            since = later_date(today, -months) if months else today - timedelta(days=condition.within.days)
            if medicine.until >= since:
                return True
    return False


def _has(reader: Reader, condition: nodes.Has, at: Thing) -> bool:
    """What else the routine, the day or the regimen has; of a slot without application: the routines of that slot and day."""
    if condition.where == "regimen":
        inside = reader.things
    elif condition.where == "day":
        inside = reader.days.get(at.day, [])
    elif at.routine:
        inside = reader.routine_of(at)
    elif at.product is not None:
        inside = [thing for thing in reader.days.get(at.day, []) if thing.step is at.step and thing.minute == at.minute]
    else:
        inside = [thing for thing in reader.days.get(at.day, []) if thing.slot == at.slot]
    found = [thing for thing in inside if reader.match(condition.term, thing) is not None]
    if condition.anchor is None:
        return bool(found)
    anchors = [thing for thing in inside if reader.match(condition.anchor, thing) is not None]
    for thing in found:
        for anchor in anchors:
            ordered = thing.moment > anchor.moment if condition.order == "after" else thing.moment < anchor.moment
            together = condition.where == "day" or thing.routine == anchor.routine
            if ordered and together and thing.product is not anchor.product:
                return True
    return False


def _around(reader: Reader, condition: nodes.Around, at: Thing) -> bool:
    """So long after (before) something, on shared skin where both have skin."""
    duration = condition.duration
    for other, skin in reader.matches_near(condition.term, at.day - duration.days - 2, at.day + duration.days + 2):
        if other is at:
            continue
        if at.product is not None and other.name not in ("bed", "daylight") and not skin & skin_of(reader.world, at):
            continue
        if condition.side == "after":
            if at.moment <= other.moment:
                continue
            near = at.minute - other.end <= duration.minutes
            day_near = at.day <= reader.days_after(other.day, duration)
        else:
            if at.moment >= other.moment:
                continue
            near = other.minute - at.minute <= duration.minutes
            day_near = other.day <= reader.days_after(at.day, duration)
        if near if duration.by_clock else day_near:
            return True
    return False
