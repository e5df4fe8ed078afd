"""Rules with one thing changed: a number a step lower or higher, a part left out.  What no example tells from the rule it
does not show."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import get_args

from dermalint.packs.model import LinkedRule
from dermalint.packs.triggers import rule_triggers
from dermalint.proof.ground import TERMS
from dermalint.proof.samples import last_place
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION
from dermalint_grammar.record import Record, fields_of, replace
from dermalint_grammar.write import write_condition, write_requirement, write_term

BOUNDARY, CLAUSE = "boundary", "clause"
_REQUIREMENTS = get_args(nodes.Requirement)
_CONDITIONS = get_args(nodes.Condition)


class Mutant(Record):
    """A changed rule: whether a boundary or a clause was changed, which part in words, how, and the rule."""

    sort: str
    part: str
    change: str
    span: nodes.Span
    rule: nodes.Rule


def mutants(linked: LinkedRule) -> list[Mutant]:
    """All mutants of a rule, in the order of its text."""
    rule = linked.rule
    found: list[Mutant] = []
    for changed, sort, part, change, span in _changes(rule.requirement):
        found.append(Mutant(sort, part, change, span, replace(rule, requirement=changed)))
    for number, condition in enumerate(rule.conditions):
        rest = (*rule.conditions[:number], *rule.conditions[number + 1 :])
        found.append(
            Mutant(CLAUSE, f"if {write_condition(condition)}", "left out", condition.span, replace(rule, conditions=rest))
        )
        for changed, sort, part, change, span in _changes(condition):
            conditions = (*rule.conditions[:number], changed, *rule.conditions[number + 1 :])
            found.append(Mutant(sort, part, change, span, replace(rule, conditions=conditions)))
    if rule.pauses is not None:
        for moved, change in _durations(rule.pauses):
            part = f"allowing pauses of {rule.pauses.days} days"
            found.append(Mutant(BOUNDARY, part, change, rule.pauses.span, replace(rule, pauses=moved)))
    for name in rule.one_area:
        rest_of = tuple(one for one in rule.one_area if one is not name)
        found.append(
            Mutant(CLAUSE, f"counting {name.text} as one area", "left out", name.span, replace(rule, one_area=rest_of))
        )
    return found


def as_linked(linked: LinkedRule, mutant: Mutant, world: World) -> LinkedRule:
    """The mutant in place of the rule."""
    triggers = rule_triggers(mutant.rule.requirement, world.groups)
    return LinkedRule(linked.id, linked.pack, linked.path, triggers, linked.suspends, mutant.rule, b"", linked.measures)


def _changes(node: nodes.Node) -> Iterator[tuple[object, str, str, str, nodes.Span]]:
    """The node with one number moved or one part left out, at any depth."""
    yield from _own_numbers(node)
    yield from _own_cuts(node)
    for name in fields_of(node):
        value = getattr(node, name)
        if isinstance(value, nodes.Node) and not isinstance(value, nodes.Name | nodes.Quantity | nodes.Duration):
            for changed, *rest in _changes(value):
                yield replace(node, **{name: changed}), *rest  # type: ignore[misc]
        elif isinstance(value, tuple) and not isinstance(value, nodes.Span):
            for place, one in enumerate(value):
                if isinstance(one, nodes.Node) and not isinstance(one, nodes.Name):
                    for changed, *rest in _changes(one):
                        yield replace(node, **{name: (*value[:place], changed, *value[place + 1 :])}), *rest  # type: ignore[misc]


def _own_numbers(node: nodes.Node) -> Iterator[tuple[object, str, str, str, nodes.Span]]:
    part = _part(node)
    for name in fields_of(node):
        value = getattr(node, name)
        if isinstance(value, nodes.Quantity):
            for quantity, change in _quantities(value):
                yield replace(node, **{name: quantity}), BOUNDARY, part, change, value.span
        elif isinstance(value, nodes.Duration):
            for duration, change in _durations(value, months=isinstance(node, nodes.Age)):
                yield replace(node, **{name: duration}), BOUNDARY, part, change, value.span
        elif name == "number" and isinstance(value, int):
            for number in (value - 1, value + 1):
                if number >= (1 if isinstance(node, nodes.Phototype) else 0) and not (
                    isinstance(node, nodes.Phototype) and number > 6
                ):
                    yield replace(node, number=number), BOUNDARY, part, f"{number} in place of {value}", node.span  # type: ignore[attr-defined]
        elif name == "date" and isinstance(value, str):
            for days in (-1, 1):
                day = (date.fromisoformat(value) + timedelta(days=days)).isoformat()
                yield replace(node, date=day), BOUNDARY, part, f"{day} in place of {value}", node.span  # type: ignore[attr-defined]


def _part(node: nodes.Node) -> str:
    """The part of a rule that has the number, as it is written."""
    if isinstance(node, TERMS):
        return write_term(node)
    if isinstance(node, _REQUIREMENTS):
        return write_requirement(node)
    if isinstance(node, _CONDITIONS):
        return write_condition(node)
    return {nodes.Apart: "the distance", nodes.Reach: "the reach"}.get(type(node), "a number")


def _quantities(quantity: nodes.Quantity) -> Iterator[tuple[nodes.Quantity, str]]:
    step = last_place(quantity.value)
    for value in (quantity.value - step, quantity.value + step):
        yield replace(quantity, value=value), f"{value / BILLION:g} in place of {quantity.value / BILLION:g}"


def _durations(duration: nodes.Duration, months: bool = False) -> Iterator[tuple[nodes.Duration, str]]:
    """A minute less and more by the clock, a day else; an age by a month."""
    unit = nodes.Unit.MONTH if months else nodes.Unit.MINUTE if duration.by_clock else nodes.Unit.DAY
    if months:
        count = duration.count // BILLION * (12 if duration.unit is nodes.Unit.YEAR else 1)
    else:
        count = duration.minutes if duration.by_clock else duration.days
    calendar = duration.unit in (nodes.Unit.MONTH, nodes.Unit.YEAR) and not months
    for away in (-1, 1):
        if calendar:  # months stay months: their length is the calendar's
            moved = replace(duration, count=duration.count + away * BILLION)
            if moved.count > 0:
                yield moved, f"a {duration.unit} {'less' if away < 0 else 'more'}"
        elif count + away >= 0:
            moved = nodes.Duration((count + away) * BILLION, unit, duration.span)
            yield moved, f"a {unit} {'less' if away < 0 else 'more'}"


def _own_cuts(node: nodes.Node) -> Iterator[tuple[object, str, str, str, nodes.Span]]:
    match node:
        case nodes.OneOf(terms) | nodes.AllOf(terms):
            for place, term in enumerate(terms):
                rest = (*terms[:place], *terms[place + 1 :])
                changed = rest[0] if len(rest) == 1 else replace(node, terms=rest)
                yield changed, CLAUSE, f"`{write_term(term)}`", "left out", term.span
        case nodes.Except(term, but):
            yield term, CLAUSE, f"except `{write_term(but)}`", "left out", but.span
        case nodes.Measured(term) | nodes.WithContact(term) | nodes.OnArea(term) | nodes.FirstUse(term):
            yield term, CLAUSE, f"what `{write_term(node)}` adds to `{write_term(term)}`", "left out", node.span
        case nodes.Contacted(word, term) | nodes.Marked(word, term):
            yield term, CLAUSE, f"{word} before `{write_term(term)}`", "left out", node.span
        case nodes.AnyCondition(parts) | nodes.EveryCondition(parts):
            for place, part in enumerate(parts):
                rest_of = (*parts[:place], *parts[place + 1 :])
                changed_condition = rest_of[0] if len(rest_of) == 1 else replace(node, conditions=rest_of)
                yield changed_condition, CLAUSE, f"`{write_condition(part)}`", "left out", part.span
