"""Clauses at a moment: what else is there, what happened before and what comes after, in three values."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from dermalint.checks.case import Case, happens, order_of
from dermalint.checks.facts import FACT_JUDGES, Facts
from dermalint.checks.moments import Happening, happenings, moment_at
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, UNKNOWN, YES, negate
from dermalint_grammar import nodes


class Conditions:
    """Judges conditions at the moments of one line."""

    def __init__(self, case: Case, facts: Facts) -> None:
        self.case = case
        self.facts = facts
        self._begins: dict[int, tuple[bool, list[float]]] = {}
        self._restarts: dict[int, list[int]] = {}

    def of_rule(self, rule: nodes.Rule, moment: Use) -> int:
        """Whether all conditions of a rule hold at a moment (an application, or a slot)."""
        truth = YES
        for condition in rule.conditions:
            truth = min(truth, self.at(condition, moment))
            if truth == NO:
                break
        return truth

    def at(self, condition: nodes.Condition, moment: Use) -> int:
        """One condition at a moment."""
        judge = _JUDGES.get(type(condition))
        if judge is not None:
            return judge(self, condition, moment)
        return FACT_JUDGES[type(condition)](self.facts, condition, self._date(moment))

    def _date(self, moment: Use) -> date | None:
        return None if self.case.regimen.starts is None else self.case.date_of(moment.day)

    def _any(self, condition: nodes.AnyCondition, moment: Use) -> int:
        return max(self.at(part, moment) for part in condition.conditions)

    def _every(self, condition: nodes.EveryCondition, moment: Use) -> int:
        return min(self.at(part, moment) for part in condition.conditions)

    def _not(self, condition: nodes.NotCondition, moment: Use) -> int:
        return negate(self.at(condition.condition, moment))

    def _skin(self, condition: nodes.SkinIs, moment: Use) -> int:
        return YES if moment.application and moment.application.skin == condition.state else NO

    def _has(self, condition: nodes.Has, moment: Use) -> int:
        case = self.case
        yes, possible = case.terms.masks(condition.term)
        if condition.where == "regimen":
            if condition.order is None:
                certain = any(happens(use) == YES for number in _numbers(yes) for use in case.signatures.uses[number])
                if certain:
                    return YES
                return UNKNOWN if any(case.signatures.uses[number] for number in _numbers(possible)) else NO
            return max((self._ordered(condition, uses) for uses in case.line.by_routine.values()), default=NO)
        uses = self._around(condition.where, moment)
        if condition.order is not None:
            return self._ordered(condition, uses)
        return max((_truth(use, yes, possible) for use in uses), default=NO)

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
            truth = _truth(use, yes, possible)
            if truth <= best:
                continue
            for other in uses:
                ordered = order_of(use) > order_of(other) if condition.order == "after" else order_of(use) < order_of(other)
                together = condition.where == "day" or use.routine == other.routine
                if ordered and together and use.product != other.product:
                    best = max(best, min(truth, _truth(other, anchor_yes, anchor_possible)))
        return best

    def _near(self, condition: nodes.Around, moment: Use) -> int:
        best = NO
        area = self._area(moment)
        for happening in happenings(self.case, condition.term):
            if happening.use is moment:
                continue
            if not _within(self.case, condition, moment, happening):
                continue
            shared = YES
            if area is not None and happening.area is not None:
                shared = self.case.areas.overlap(area, happening.area)
            best = max(best, min(happening.truth, shared))
        return best

    def _area(self, moment: Use) -> int | None:
        if moment.application is None:
            return None
        return self.case.signatures.items[moment.signature].area

    def _during(self, condition: nodes.DuringFirst, moment: Use) -> int:
        if condition.pause is not None:
            return self._after_pause(condition, condition.pause.days, moment)
        if self.case.regimen.history is None:
            return NO  # nothing is known of what came before: not judged, and a hint in the file says so
        begins = self._begins.get(id(condition))
        if begins is None:
            begins = self._begins[id(condition)] = self._first_days(condition.term)
        certain, days = begins
        inside = [begin <= moment.day < begin + self._days(condition, begin) for begin in days]
        if certain and all(inside):
            return YES
        return UNKNOWN if any(inside) else NO

    def _days(self, condition: nodes.DuringFirst, begin: float) -> int:
        return condition.duration.days if begin == float("-inf") else self.case.days_in(condition.duration, int(begin))

    def _after_pause(self, condition: nodes.DuringFirst, pause: int, moment: Use) -> int:
        starts = self._restarts.get(id(condition))
        if starts is None:
            starts = self._restarts[id(condition)] = self._fresh_starts(condition.term, pause)
        return YES if any(start <= moment.day < start + condition.duration.days for start in starts) else NO

    def _fresh_starts(self, term: nodes.Term, pause: int) -> list[int]:
        """The days on which a term is used again after at least so many days without it."""
        case = self.case
        last: int | None = None
        for past in case.past_uses():
            if case.past_mask(term, past) == YES:
                until = -1 if past.until is None else (past.until - case.origin).days
                last = until if last is None else max(last, until)
        starts: list[int] = []
        for use, truth, _ in case.terms.matched(term):
            if truth == YES:
                if last is not None and use.day - last - 1 >= pause:
                    starts.append(use.day)
                last = use.day
        return starts

    def _first_days(self, term: nodes.Term) -> tuple[bool, list[float]]:
        """Whether anything that a term means is certainly used, and the days on which the earliest use may be.

        These are the earliest certain day, history included, and the first day of each product before it that is used, or
        meant, only perhaps.
        """
        case = self.case
        certain: list[float] = []
        possible: list[float] = []
        for past in case.past_uses():
            truth = case.past_mask(term, past)
            if truth != NO:
                day = (past.since - case.origin).days if past.since is not None else float("-inf")
                (certain if truth == YES else possible).append(day)
        seen: set[str] = set()
        for use, truth, _ in case.terms.matched(term):
            if min(truth, happens(use)) == YES:
                certain.append(use.day)
                break
            if use.product not in seen:
                seen.add(use.product)
                possible.append(use.day)
        first = min(certain, default=float("inf"))
        days = [day for day in possible if day < first]
        return bool(certain), [*days, first] if certain else days


def _numbers(mask: int) -> list[int]:
    return [number for number in range(mask.bit_length()) if mask >> number & 1]


def _truth(use: Use, yes: int, possible: int) -> int:
    number = use.signature
    if yes >> number & 1:
        return happens(use)
    return UNKNOWN if possible >> number & 1 else NO


def _within(case: Case, condition: nodes.Around, moment: Use, happening: Happening) -> bool:
    duration = condition.duration
    mine = order_of(moment)
    other = order_of(happening.use or moment_at(case, happening))
    if condition.side == "after":
        if mine <= other:
            return False
        if duration.by_clock:
            return moment.minute - happening.end <= duration.minutes
        return moment.day - happening.day <= case.days_in(duration, happening.day)
    if mine >= other:
        return False
    if duration.by_clock:
        return happening.minute - moment.minute <= duration.minutes
    return happening.day - moment.day <= case.days_in(duration, moment.day)


_JUDGES: dict[type, Callable[[Any, Any, Any], int]] = {
    nodes.AnyCondition: Conditions._any,
    nodes.EveryCondition: Conditions._every,
    nodes.NotCondition: Conditions._not,
    nodes.SkinIs: Conditions._skin,
    nodes.Has: Conditions._has,
    nodes.Around: Conditions._near,
    nodes.DuringFirst: Conditions._during,
}
