"""The topic of a rule that names none: its requirement's default."""

from __future__ import annotations

from dermalint_grammar import nodes

_OF_PERSON = (nodes.PersonIs, nodes.AllergicTo, nodes.Takes, nodes.Age)
_SHELF = ("months-open", "days-past-expiry")
_TOPICS: dict[type, str] = {
    nodes.Separate: "separation",
    nodes.SeparateUses: "separation",
    nodes.ApplyChain: "order",
    nodes.ApplyEdge: "order",
    nodes.ApplyDirectly: "order",
    nodes.Wait: "timing",
    nodes.UseOnly: "timing",
    nodes.UseCount: "frequency",
    nodes.UseProducts: "frequency",
    nodes.UseFor: "frequency",
    nodes.Renew: "sun",
}


def topic_of(rule: nodes.Rule) -> str:
    """The rule's topic, or the default of its requirement."""
    if rule.topic is not None:
        return rule.topic
    requirement = rule.requirement
    if isinstance(requirement, nodes.NeverUse):
        about_person = any(_mentions_person(condition) for condition in rule.conditions)
        return "person" if about_person and requirement.slot is None else "timing"
    if isinstance(requirement, nodes.ExpectAround | nodes.ExpectEvery):
        return "sun" if _is_sun(requirement.companion) else "companion"
    if isinstance(requirement, nodes.Limit):
        measure = requirement.measure.text
        return "sun" if measure == "spf" else "shelf" if measure in _SHELF else "strength"
    return _TOPICS[type(requirement)]


def _mentions_person(condition: nodes.Condition) -> bool:
    if isinstance(condition, nodes.AnyCondition | nodes.EveryCondition):
        return any(_mentions_person(part) for part in condition.conditions)
    if isinstance(condition, nodes.NotCondition):
        return _mentions_person(condition.condition)
    return isinstance(condition, _OF_PERSON)


def _is_sun(term: nodes.Term) -> bool:
    if isinstance(term, nodes.Named):
        return term.name.startswith("sun")
    if isinstance(term, nodes.Measured) and term.measure == "spf":
        return True
    if isinstance(term, nodes.OneOf | nodes.AllOf):
        return any(_is_sun(part) for part in term.terms)
    inner = getattr(term, "term", None)
    return inner is not None and _is_sun(inner)
