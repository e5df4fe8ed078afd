"""How far a rule looks: the days a line must be laid out beyond the days that are judged."""

from __future__ import annotations

from dermalint.checks.case import longest_days
from dermalint.checks.course import PAUSE_THAT_ENDS
from dermalint.checks.facts import BUILT_IN, may_exclude
from dermalint.checks.use import MONTH, WEEK
from dermalint_grammar import nodes
from dermalint_grammar.record import Record, fields_of


class Asks(Record):
    """What a rule asks of a regimen and its line.

    ``reach`` is :func:`reach_days`; ``first_weeks`` the longest ``during the first …`` of its clauses in days, 0 without one;
    ``events`` are :func:`events_needed`; ``history`` whether it speaks of first uses; ``facts`` those of its clauses that
    may be known to fail before any day is laid out.
    """

    reach: int
    first_weeks: int
    events: frozenset[str]
    history: bool
    facts: tuple[nodes.Condition, ...]


def what_is_asked(rule: nodes.Rule) -> Asks:
    """What a rule asks, for all regimens."""
    return Asks(
        reach=reach_days(rule),
        first_weeks=max(map(_first_weeks, rule.conditions), default=0),
        events=events_needed(rule),
        history=needs_history(rule),
        facts=tuple(filter(may_exclude, rule.conditions)),
    )


def reach_days(rule: nodes.Rule) -> int:
    """Days that the requirement and the clauses of a rule look back or ahead; at least 1."""
    reach = max(1, _of_requirement(rule), *(_of_condition(condition) for condition in rule.conditions), 1)
    return reach + 1


def needs_history(rule: nodes.Rule) -> bool:
    """Whether a rule speaks of first uses, which nobody can judge without a history."""
    return _speaks_of_first(rule.requirement) or any(_speaks_of_first(condition) for condition in rule.conditions)


def _speaks_of_first(node: object) -> bool:
    if isinstance(node, nodes.FirstUse) or (isinstance(node, nodes.DuringFirst) and node.pause is None):
        return True
    if isinstance(node, tuple):
        return any(_speaks_of_first(part) for part in node)
    if isinstance(node, nodes.Node):
        return any(_speaks_of_first(getattr(node, name)) for name in fields_of(node))
    return False


def _days(duration: nodes.Duration | None) -> int:
    if duration is None:
        return 0
    return -(-duration.minutes // 1440) if duration.by_clock else longest_days(duration)


def _of_requirement(rule: nodes.Rule) -> int:
    requirement = rule.requirement
    if isinstance(requirement, nodes.Separate):
        apart = requirement.apart
        return max(_days(apart.distance), _days(apart.before), _days(apart.after))
    if isinstance(requirement, nodes.SeparateUses):
        return _days(requirement.distance)
    if isinstance(requirement, nodes.UseCount | nodes.UseProducts):
        if requirement.per == "row":
            return requirement.number + 1
        return {"week": WEEK, "month": MONTH + 1, "day": 1, "routine": 1, "cycle": 0}.get(requirement.per, requirement.window)
    if isinstance(requirement, nodes.UseFor):
        return rule.pauses.days if rule.pauses is not None else PAUSE_THAT_ENDS
    if isinstance(requirement, nodes.ExpectAround):
        return _days(requirement.reach.duration)
    if isinstance(requirement, nodes.Wait):
        return _days(requirement.duration)
    return 1


def _of_condition(condition: nodes.Condition) -> int:
    if isinstance(condition, nodes.AnyCondition | nodes.EveryCondition):
        return max(_of_condition(part) for part in condition.conditions)
    if isinstance(condition, nodes.NotCondition):
        return _of_condition(condition.condition)
    if isinstance(condition, nodes.DuringFirst) and condition.pause is not None:
        return condition.duration.days + condition.pause.days  # fresh starts may come again and again
    return _days(condition.duration) if isinstance(condition, nodes.Around) else 0


def _first_weeks(condition: nodes.Condition) -> int:
    if isinstance(condition, nodes.AnyCondition | nodes.EveryCondition):
        return max(_first_weeks(part) for part in condition.conditions)
    if isinstance(condition, nodes.NotCondition):
        return _first_weeks(condition.condition)
    return condition.duration.days if isinstance(condition, nodes.DuringFirst) and condition.pause is None else 0


def events_needed(rule: nodes.Rule) -> frozenset[str]:
    """Events without which a rule's requirement cannot fail: one it separates from, waits for or is called by."""
    requirement = rule.requirement
    sides: tuple[nodes.Term, ...] = ()
    if isinstance(requirement, nodes.Separate | nodes.Wait):
        sides = requirement.first, requirement.second
    elif isinstance(requirement, nodes.ExpectAround):
        sides = (requirement.trigger,)
    return frozenset(name for side in sides if (name := _event_of(side)) is not None)


def _event_of(term: nodes.Term) -> str | None:
    if isinstance(term, nodes.OnArea):
        return _event_of(term.term)
    return term.event if isinstance(term, nodes.EventIs) and term.event not in BUILT_IN else None
