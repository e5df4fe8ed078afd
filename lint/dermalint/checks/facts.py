"""Clauses about the person, the region and the law: the same at every moment of a line, unless something in them is dated."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Any

from dermalint.checks.asked import Asked
from dermalint.checks.contents import Range, add_months
from dermalint.checks.terms import compare
from dermalint.regimen.model import PastUse, Regimen
from dermalint.verdict.truth import NO, YES, negate
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Unit

_FIXED = (nodes.AllergicTo, nodes.ReasonIs, nodes.Age, nodes.Phototype, nodes.RegionIs, nodes.FromDate, nodes.UntilDate)
_DATED = (nodes.PersonIs, nodes.Takes)
_SEVERAL = (nodes.AnyCondition, nodes.EveryCondition)
BUILT_IN = ("bed", "daylight")


class Facts:
    """Judges conditions by what a file says of the person, the region and its events, before any day is laid out."""

    def __init__(self, regimen: Regimen, world: World, asked: Asked) -> None:
        self.regimen = regimen
        self.world = world
        self.asked = asked
        self._happening = {event.event.name for event in regimen.events}
        person = regimen.person
        self._dateless = regimen.starts is None or not (
            person.takes or any(mention.since for mention in (*person.traits, *person.symptoms))
        )

    def ever(self, conditions: Iterable[nodes.Condition]) -> int:
        """The most that all of these conditions together can come to anywhere on the line."""
        return min(map(self.most, conditions), default=YES)

    def most(self, condition: nodes.Condition) -> int:
        """The most that one condition can come to: its value where it is the same at every moment."""
        judge = _MOST.get(type(condition))
        return YES if judge is None else judge(self, condition)

    def _most_any(self, condition: nodes.AnyCondition) -> int:
        return max(map(self.most, condition.conditions))

    def _most_every(self, condition: nodes.EveryCondition) -> int:
        return min(map(self.most, condition.conditions))

    def _most_not(self, condition: nodes.NotCondition) -> int:
        return negate(self.at(condition.condition, None)) if self.is_fixed(condition.condition) else YES

    def _most_near(self, condition: nodes.Around) -> int:
        term = condition.term
        elsewhere = isinstance(term, nodes.EventIs) and term.event not in BUILT_IN and term.event not in self._happening
        return NO if elsewhere else YES

    def _most_first(self, condition: nodes.DuringFirst) -> int:
        return YES if condition.pause is None or self._may_pause(condition.pause.days) else NO

    def _most_fixed(self, condition: nodes.Condition) -> int:
        return self.at(condition, None) if self.is_fixed(condition) else YES

    def _may_pause(self, days: int) -> bool:
        """Whether anything can go unused for so long: one endless cycle shorter than that leaves no room for it."""
        regimen = self.regimen
        if len(regimen.phases) > 1 or any(past.until for past in regimen.history or () if isinstance(past, PastUse)):
            return True
        (phase,) = regimen.phases
        dated = any(routine.dates or routine.days.every for routine in phase.routines)
        return dated or phase.cycle > days

    def is_fixed(self, condition: nodes.Condition) -> bool:
        """Whether a condition is the same at every moment of this line."""
        kind = type(condition)
        if kind in _FIXED:
            return True
        if kind in _DATED:
            return self._dateless
        if isinstance(condition, _SEVERAL):
            return all(map(self.is_fixed, condition.conditions))
        return isinstance(condition, nodes.NotCondition) and self.is_fixed(condition.condition)

    def at(self, condition: nodes.Condition, day: date | None) -> int:
        """A condition on a date (the as-of date where None); only for the conditions of this module."""
        return FACT_JUDGES[type(condition)](self, condition, day)

    def _any(self, condition: nodes.AnyCondition, day: date | None) -> int:
        return max(self.at(part, day) for part in condition.conditions)

    def _every(self, condition: nodes.EveryCondition, day: date | None) -> int:
        return min(self.at(part, day) for part in condition.conditions)

    def _not(self, condition: nodes.NotCondition, day: date | None) -> int:
        return negate(self.at(condition.condition, day))

    def _person(self, condition: nodes.PersonIs, day: date | None) -> int:
        person = self.regimen.person
        on = day or self.asked.as_of
        for mention in (*person.traits, *person.symptoms):
            if mention.name == condition.trait and (mention.since is None or mention.since <= on):
                return YES
        return NO

    def _allergic(self, condition: nodes.AllergicTo, _: date | None) -> int:
        ancestors = self.world.ancestors
        for mention in self.regimen.person.allergies:
            if mention.name == condition.allergen or condition.allergen in ancestors.get(mention.name, ()):
                return YES
        return NO

    def _takes(self, condition: nodes.Takes, day: date | None) -> int:
        day = day or self.asked.as_of
        for medicine in self.regimen.person.takes:
            names = self.world.ancestors.get(medicine.substance, frozenset((medicine.substance,)))
            if condition.medicine not in names or (medicine.since and medicine.since > day):
                continue
            if medicine.until is None or medicine.until >= day:
                return YES
            if condition.within is not None and medicine.until >= _back(day, condition.within):
                return YES
        return NO

    def _reason(self, condition: nodes.ReasonIs, _: date | None) -> int:
        return YES if any(reason.name == condition.reason for reason in self.regimen.person.reasons) else NO

    def _age(self, condition: nodes.Age, _: date | None) -> int:
        months = self.regimen.person.age_months
        against = _months(condition.duration)
        found = Range(0, None) if months is None else Range(months * BILLION, months * BILLION)
        return compare(found, condition.comparison, against)

    def _phototype(self, condition: nodes.Phototype, _: date | None) -> int:
        phototype = self.regimen.person.phototype
        found = Range(1, 6) if phototype is None else Range(phototype, phototype)
        return compare(found, condition.comparison, condition.number)

    def _region(self, condition: nodes.RegionIs, _: date | None) -> int:
        return YES if self.asked.region == condition.region else NO

    def _from(self, condition: nodes.FromDate, _: date | None) -> int:
        return YES if self.asked.as_of >= date.fromisoformat(condition.date) else NO

    def _until(self, condition: nodes.UntilDate, _: date | None) -> int:
        return YES if self.asked.as_of < date.fromisoformat(condition.date) else NO


def may_exclude(condition: nodes.Condition) -> bool:
    """Whether there are regimens of which :meth:`Facts.most` says less than YES."""
    if isinstance(condition, nodes.AnyCondition):
        return all(map(may_exclude, condition.conditions))
    if isinstance(condition, nodes.EveryCondition):
        return any(map(may_exclude, condition.conditions))
    if isinstance(condition, nodes.NotCondition):
        return may_exclude(condition.condition)
    if isinstance(condition, nodes.Around):
        return isinstance(condition.term, nodes.EventIs) and condition.term.event not in BUILT_IN
    if isinstance(condition, nodes.DuringFirst):
        return condition.pause is not None
    return isinstance(condition, (*_FIXED, *_DATED))


def _back(day: date, duration: nodes.Duration) -> date:
    if duration.unit in (Unit.MONTH, Unit.YEAR):
        return add_months(day, -duration.count * (12 if duration.unit is Unit.YEAR else 1) // BILLION)
    return day - timedelta(days=duration.days)


def _months(duration: nodes.Duration) -> int:
    if duration.unit in (Unit.MONTH, Unit.YEAR):
        return duration.count * (12 if duration.unit is Unit.YEAR else 1)
    return duration.days * BILLION // 30


FACT_JUDGES: dict[type, Callable[[Any, Any, Any], int]] = {
    nodes.AnyCondition: Facts._any,
    nodes.EveryCondition: Facts._every,
    nodes.NotCondition: Facts._not,
    nodes.PersonIs: Facts._person,
    nodes.AllergicTo: Facts._allergic,
    nodes.Takes: Facts._takes,
    nodes.ReasonIs: Facts._reason,
    nodes.Age: Facts._age,
    nodes.Phototype: Facts._phototype,
    nodes.RegionIs: Facts._region,
    nodes.FromDate: Facts._from,
    nodes.UntilDate: Facts._until,
}

_MOST: dict[type, Callable[[Any, Any], int]] = {
    nodes.AnyCondition: Facts._most_any,
    nodes.EveryCondition: Facts._most_every,
    nodes.NotCondition: Facts._most_not,
    nodes.Around: Facts._most_near,
    nodes.DuringFirst: Facts._most_first,
    **dict.fromkeys((*_FIXED, *_DATED), Facts._most_fixed),
}
