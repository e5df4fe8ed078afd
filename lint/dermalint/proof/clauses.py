"""Conditions as alternatives of plain statements, and which of these contradict themselves."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from dermalint.proof.cubes import MOST, TooMany
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison
from dermalint_grammar.write import write_condition

Saying = tuple[bool, nodes.Condition]
Clause = tuple[Saying, ...]  # all hold


def clauses(conditions: Iterable[nodes.Condition], yes: bool = True) -> list[Clause]:
    """The alternatives in which all conditions hold, or with ``yes`` false not all of them.  Raises TooMany."""
    parts = tuple(conditions)
    if not parts:
        return [()] if yes else []
    every: nodes.Condition = parts[0] if len(parts) == 1 else nodes.EveryCondition(parts, nodes.Span(0, 0))
    return _of(every, yes)


@cache
def _of(condition: nodes.Condition, yes: bool) -> list[Clause]:
    match condition:
        case nodes.NotCondition(inner):
            return _of(inner, not yes)
        case nodes.AnyCondition(parts) | nodes.EveryCondition(parts):
            found = [_of(part, yes) for part in parts]
            if isinstance(condition, nodes.AnyCondition) is yes:
                return _few([clause for part in found for clause in part])
            joined: list[Clause] = [()]
            for part in found:
                joined = _few([(*one, *two) for one in joined for two in part])
            return joined
    return [((yes, condition),)]


def _few(found: list[Clause]) -> list[Clause]:
    if len(found) > MOST:
        raise TooMany
    return found


def together(*several: Iterable[Clause]) -> list[Clause]:
    """The alternatives in which all hold.  Raises TooMany."""
    joined: list[Clause] = [()]
    for part in several:
        joined = _few([(*one, *two) for one in joined for two in part])
    return joined


class Clauses:
    """Questions about conditions in one world."""

    def __init__(self, world: World) -> None:
        self.world = world

    def possible(self, found: Iterable[Clause]) -> list[Clause]:
        """The alternatives that do not contradict themselves."""
        return [clause for clause in found if self.contradiction(clause) is None]

    def can_hold(self, *rules: nodes.Rule) -> bool | None:
        """Whether the conditions of several rules can hold at once; None where that was not decided."""
        try:
            return bool(self.possible(together(*(clauses(rule.conditions) for rule in rules))))
        except TooMany:
            return None

    def implies(self, conditions: Iterable[nodes.Condition], others: Iterable[nodes.Condition]) -> bool | None:
        """Whether the first conditions hold only where the others do; None where that was not decided."""
        try:
            return not self.possible(together(clauses(conditions), clauses(others, False)))
        except TooMany:
            return None

    def contradiction(self, clause: Clause) -> str | None:
        """Why an alternative can never hold, in words."""
        said: dict[str, tuple[bool, nodes.Condition]] = {}
        for yes, condition in clause:
            text = write_condition(condition)
            if text in said and said[text][0] is not yes:
                return f"`{text}` would have to hold and not to hold"
            said[text] = (yes, condition)
        return (
            self._of_names(clause)
            or _of_one(clause, nodes.RegionIs, "region", "region")
            or _of_one(clause, nodes.SkinIs, "state", "state of the skin")
            or _of_ages(clause)
            or _of_phototypes(clause)
            or _of_dates(clause)
            or _of_lengths(clause)
            or _of_reach(clause)
        )

    def _of_names(self, clause: Clause) -> str | None:
        for yes, one in clause:
            for other_yes, other in clause:
                if not yes or other_yes:
                    continue
                if (
                    isinstance(one, nodes.AllergicTo)
                    and isinstance(other, nodes.AllergicTo)
                    and other.allergen in self.world.ancestors.get(one.allergen, ())
                ):
                    return f"who is allergic to {one.allergen} is allergic to {other.allergen}"
                if isinstance(one, nodes.Takes) and isinstance(other, nodes.Takes):
                    inside = other.medicine in self.world.ancestors.get(one.medicine, frozenset((one.medicine,)))
                    longer = one.within is None or (other.within is not None and one.within.minutes <= other.within.minutes)
                    if inside and (longer if other.within is not None else one.within is None):
                        return f"`{write_condition(one)}` says that `{write_condition(other)}`"
        return None


def _of_one(clause: Clause, sort: type, field: str, word: str) -> str | None:
    said = sorted({getattr(condition, field) for yes, condition in clause if yes and isinstance(condition, sort)})
    return f"one {word} is not both {said[0]} and {said[1]}" if len(said) > 1 else None


def months_of(duration: nodes.Duration) -> int:
    """Whole months of an age, rounded up."""
    if duration.unit in (nodes.Unit.MONTH, nodes.Unit.YEAR):
        return -(-duration.count * (12 if duration.unit is nodes.Unit.YEAR else 1) // BILLION)
    return -(-duration.days // 30)


def _compare(comparison: Comparison, value: int, against: int) -> bool:
    return {
        Comparison.AT_LEAST: value >= against,
        Comparison.ABOVE: value > against,
        Comparison.AT_MOST: value <= against,
        Comparison.BELOW: value < against,
    }[comparison]


def age_points(clause: Clause) -> list[int]:
    """Ages in months that compare as a clause says, the nearest to what it asks first; every age where it asks none."""
    asked = [(yes, c.comparison, months_of(c.duration)) for yes, c in clause if isinstance(c, nodes.Age)]
    points = sorted({max(number + away, 0) for _, _, number in asked for away in (0, -1, 1)})
    return [age for age in points if all(_compare(comparison, age, number) is yes for yes, comparison, number in asked)]


def _of_ages(clause: Clause) -> str | None:
    if not any(isinstance(condition, nodes.Age) for _, condition in clause) or age_points(clause):
        return None
    return "no age is as it says"


def phototypes(clause: Clause) -> list[int]:
    """The phototypes that compare as a clause says."""
    asked = [(yes, c.comparison, c.number) for yes, c in clause if isinstance(c, nodes.Phototype)]
    return [number for number in range(1, 7) if all(_compare(c, number, against) is yes for yes, c, against in asked)]


def _of_phototypes(clause: Clause) -> str | None:
    return None if phototypes(clause) else "no phototype is as it says"


def dates(clause: Clause) -> tuple[str, str]:
    """The first date on which a clause holds and the first on which it does so no longer (empty where there is none)."""
    starts = [c.date for yes, c in clause if isinstance(c, nodes.FromDate if yes else nodes.UntilDate)]
    ends = [c.date for yes, c in clause if isinstance(c, nodes.UntilDate if yes else nodes.FromDate)]
    return max(starts, default=""), min(ends, default="")


def _of_dates(clause: Clause) -> str | None:
    start, end = dates(clause)
    return f"what holds from {start} on ends before {end}" if start and end and start >= end else None


def _of_lengths(clause: Clause) -> str | None:
    """Within a day of something is within a week of it."""
    for yes, one in clause:
        for other_yes, other in clause:
            if not yes or other_yes or type(one) is not type(other):
                continue
            if not isinstance(one, nodes.Around | nodes.DuringFirst) or not isinstance(other, nodes.Around | nodes.DuringFirst):
                continue
            if _without_length(one) == _without_length(other) and one.duration.minutes <= other.duration.minutes:
                return f"`{write_condition(one)}` says that `{write_condition(other)}`"
    return None


def _without_length(condition: nodes.Around | nodes.DuringFirst) -> str:
    from dermalint_grammar.record import replace

    none = nodes.Duration(BILLION, nodes.Unit.DAY, nodes.Span(0, 0))
    return write_condition(replace(condition, duration=none))


def _of_reach(clause: Clause) -> str | None:
    """What a routine has, its day has, and the regimen."""
    wide = {"routine": 0, "day": 1, "regimen": 2}
    for yes, one in clause:
        for other_yes, other in clause:
            if not yes or other_yes or not isinstance(one, nodes.Has) or not isinstance(other, nodes.Has):
                continue
            same = write_condition(nodes.Has("day", one.term, other.order, other.anchor, one.span)) == write_condition(
                nodes.Has("day", other.term, other.order, other.anchor, one.span)
            )
            narrower = other.order is None or (one.order == other.order and one.anchor == other.anchor)
            if same and narrower and wide[one.where] <= wide[other.where]:
                return f"`{write_condition(one)}` says that `{write_condition(other)}`"
    return None
