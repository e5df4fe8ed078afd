"""Clauses: whether a rule's conditions hold at a moment, in three values."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from dermalint.checks.case import Case, happens
from dermalint.checks.contents import Range, add_months
from dermalint.checks.moments import Happening, happenings
from dermalint.checks.terms import compare
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, UNKNOWN, YES, negate
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Unit


class Conditions:
    """Judges conditions for one regimen; those that never change on the line are judged once."""

    def __init__(self, case: Case) -> None:
        self.case = case
        person = case.regimen.person
        self._dateless = case.regimen.starts is None or not (
            person.takes or any(mention.since for mention in (*person.traits, *person.symptoms))
        )

    def of_rule(self, rule: nodes.Rule, moment: Use) -> int:
        """Whether all conditions of a rule hold at a moment (an application, or a slot)."""
        truth = YES
        for condition in rule.conditions:
            truth = min(truth, self.at(condition, moment))
            if truth == NO:
                break
        return truth

    def ever(self, rule: nodes.Rule) -> int:
        """The most that a rule's conditions can come to anywhere on the line, by those that do not change."""
        truth = YES
        for condition in rule.conditions:
            if self.is_fixed(condition):
                truth = min(truth, self.at(condition, None))
        return truth

    def is_fixed(self, condition: nodes.Condition) -> bool:
        """Whether a condition is the same at every moment of this line."""
        if isinstance(condition, nodes.AnyCondition | nodes.EveryCondition):
            return all(self.is_fixed(part) for part in condition.conditions)
        if isinstance(condition, nodes.NotCondition):
            return self.is_fixed(condition.condition)
        if isinstance(condition, nodes.Has):
            return condition.where == "regimen"
        if isinstance(condition, nodes.PersonIs | nodes.Takes):
            return self._dateless
        return isinstance(condition, _FIXED)

    def at(self, condition: nodes.Condition, moment: Use | None) -> int:
        """One condition at a moment; the moment may be None only for conditions that are :meth:`is_fixed`."""
        return _JUDGES[type(condition)](self, condition, moment)

    # --- structure ---

    def _any(self, condition: nodes.AnyCondition, moment: Use) -> int:
        return max(self.at(part, moment) for part in condition.conditions)

    def _every(self, condition: nodes.EveryCondition, moment: Use) -> int:
        return min(self.at(part, moment) for part in condition.conditions)

    def _not(self, condition: nodes.NotCondition, moment: Use) -> int:
        return negate(self.at(condition.condition, moment))

    # --- the person ---

    def _person(self, condition: nodes.PersonIs, moment: Use | None) -> int:
        person = self.case.regimen.person
        for mention in (*person.traits, *person.symptoms):
            if mention.name == condition.trait and self._begun(mention.since, moment):
                return YES
        return NO

    def _begun(self, since: date | None, moment: Use | None) -> bool:
        if since is None:
            return True
        return since <= (self.case.asked.as_of if self.case.regimen.starts is None else self._date(moment))

    def _date(self, moment: Use | None) -> date:
        if self.case.regimen.starts is None or moment is None:
            return self.case.asked.as_of
        return self.case.date_of(moment.day)

    def _allergic(self, condition: nodes.AllergicTo, _: Use | None) -> int:
        ancestors = self.case.world.ancestors
        for mention in self.case.regimen.person.allergies:
            if mention.name == condition.allergen or condition.allergen in ancestors.get(mention.name, ()):
                return YES
        return NO

    def _takes(self, condition: nodes.Takes, moment: Use | None) -> int:
        day = self._date(moment)
        for medicine in self.case.regimen.person.takes:
            names = self.case.world.ancestors.get(medicine.substance, frozenset((medicine.substance,)))
            if condition.medicine not in names or (medicine.since and medicine.since > day):
                continue
            if medicine.until is None or medicine.until >= day:
                return YES
            if condition.within is not None and medicine.until >= _back(day, condition.within):
                return YES
        return NO

    def _reason(self, condition: nodes.ReasonIs, _: Use | None) -> int:
        return YES if any(reason.name == condition.reason for reason in self.case.regimen.person.reasons) else NO

    def _age(self, condition: nodes.Age, _: Use | None) -> int:
        months = self.case.regimen.person.age_months
        against = _months(condition.duration)
        found = Range(0, None) if months is None else Range(months * BILLION, months * BILLION)
        return compare(found, condition.comparison, against)

    def _phototype(self, condition: nodes.Phototype, _: Use | None) -> int:
        phototype = self.case.regimen.person.phototype
        found = Range(1, 6) if phototype is None else Range(phototype, phototype)
        return compare(found, condition.comparison, condition.number)

    def _region(self, condition: nodes.RegionIs, _: Use | None) -> int:
        return YES if self.case.asked.region == condition.region else NO

    def _from(self, condition: nodes.FromDate, _: Use | None) -> int:
        return YES if self.case.asked.as_of >= date.fromisoformat(condition.date) else NO

    def _until(self, condition: nodes.UntilDate, _: Use | None) -> int:
        return YES if self.case.asked.as_of < date.fromisoformat(condition.date) else NO

    # --- the moment ---

    def _skin(self, condition: nodes.SkinIs, moment: Use) -> int:
        return YES if moment.application and moment.application.skin == condition.state else NO

    def _has(self, condition: nodes.Has, moment: Use | None) -> int:
        case = self.case
        yes, possible = case.terms.masks(condition.term)
        if condition.where == "regimen":
            if condition.order is None:
                certain = any(happens(use) == YES for number in _numbers(yes) for use in case.signatures.uses[number])
                return YES if certain else UNKNOWN if possible else NO
            return max((self._ordered(condition, uses) for uses in case.line.by_routine.values()), default=NO)
        assert moment is not None
        uses = self._around(condition.where, moment)
        if condition.order is not None:
            return self._ordered(condition, uses)
        return max((_truth(case, use, yes, possible) for use in uses), default=NO)

    def _around(self, where: str, moment: Use) -> list[Use]:
        line = self.case.line
        if where == "day":
            return [use for use in line.uses if use.day == moment.day]
        if moment.routine:
            return line.by_routine.get(moment.routine, [])
        return [use for use in line.uses if use.day == moment.day and use.slot == moment.slot]

    def _ordered(self, condition: nodes.Has, uses: list[Use]) -> int:
        case = self.case
        yes, possible = case.terms.masks(condition.term)
        assert condition.anchor is not None
        anchor_yes, anchor_possible = case.terms.masks(condition.anchor)
        best = NO
        for use in uses:
            truth = _truth(case, use, yes, possible)
            if truth <= best:
                continue
            for other in uses:
                late = use.position > other.position if condition.order == "after" else use.position < other.position
                if late and use.routine == other.routine and use.product != other.product:
                    best = max(best, min(truth, _truth(case, other, anchor_yes, anchor_possible)))
        return best

    def _near(self, condition: nodes.Around, moment: Use) -> int:
        best = NO
        area = self._area(moment)
        for happening in happenings(self.case, condition.term):
            if happening.use is moment:
                continue
            if not _within(condition, moment, happening):
                continue
            shared = YES
            if area is not None and happening.area is not None:
                shared = self.case.areas.overlap(area, happening.area)
            best = max(best, min(happening.truth, shared))
        return best

    def _area(self, moment: Use) -> int | None:
        if moment.application is None:
            return None
        return self.case.signatures.items[self.case.signatures.number(moment)].area

    def _during(self, condition: nodes.DuringFirst, moment: Use) -> int:
        case = self.case
        if case.regimen.history is None:
            return NO  # nothing is known of what came before: not judged, and a hint in the file says so
        days = condition.duration.days
        begin: int | None = None
        for past in case.past_uses():
            if case.past_mask(condition.term, past) == YES:
                if past.since is None:
                    return NO
                day = (past.since - case.origin).days
                begin = day if begin is None else min(begin, day)
        for use, truth, _ in case.terms.matched(condition.term):
            if truth == YES:
                begin = use.day if begin is None else min(begin, use.day)
                break
        return YES if begin is not None and begin <= moment.day < begin + days else NO


def _numbers(mask: int) -> list[int]:
    return [number for number in range(mask.bit_length()) if mask >> number & 1]


def _truth(case: Case, use: Use, yes: int, possible: int) -> int:
    number = case.signatures.number(use)
    if yes >> number & 1:
        return happens(use)
    return UNKNOWN if possible >> number & 1 else NO


def _within(condition: nodes.Around, moment: Use, happening: Happening) -> bool:
    duration = condition.duration
    if condition.side == "after":
        if moment.minute < happening.minute:
            return False
        if duration.by_clock:
            return moment.minute - happening.end <= duration.minutes
        return moment.day - happening.day <= duration.days
    # An event at the clock of a routine comes before its steps.
    tied = moment.minute == happening.minute and happening.use is not None and happening.use.event is not None
    if moment.minute > happening.minute or tied:
        return False
    if duration.by_clock:
        return happening.minute - moment.minute <= duration.minutes
    return happening.day - moment.day <= duration.days


def _back(day: date, duration: nodes.Duration) -> date:
    if duration.unit in (Unit.MONTH, Unit.YEAR):
        return add_months(day, -duration.count * (12 if duration.unit is Unit.YEAR else 1) // BILLION)
    return day - timedelta(days=duration.days)


def _months(duration: nodes.Duration) -> int:
    if duration.unit in (Unit.MONTH, Unit.YEAR):
        return duration.count * (12 if duration.unit is Unit.YEAR else 1)
    return duration.days * BILLION // 30


_FIXED = (nodes.AllergicTo, nodes.ReasonIs, nodes.Age, nodes.Phototype, nodes.RegionIs, nodes.FromDate, nodes.UntilDate)


_JUDGES: dict[type, Callable[[Any, Any, Any], int]] = {
    nodes.AnyCondition: Conditions._any,
    nodes.EveryCondition: Conditions._every,
    nodes.NotCondition: Conditions._not,
    nodes.PersonIs: Conditions._person,
    nodes.AllergicTo: Conditions._allergic,
    nodes.Takes: Conditions._takes,
    nodes.ReasonIs: Conditions._reason,
    nodes.Age: Conditions._age,
    nodes.Phototype: Conditions._phototype,
    nodes.RegionIs: Conditions._region,
    nodes.FromDate: Conditions._from,
    nodes.UntilDate: Conditions._until,
    nodes.SkinIs: Conditions._skin,
    nodes.Has: Conditions._has,
    nodes.Around: Conditions._near,
    nodes.DuringFirst: Conditions._during,
}
