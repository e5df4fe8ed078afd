"""Trees without places, so that a test can say what a sentence means and nothing else."""

from __future__ import annotations

from typing import Any

from dermalint_grammar.nodes import Duration, Named, Node, Quantity, Requirement, Rule, Span, Unit
from dermalint_grammar.parse import parse_pack
from dermalint_grammar.record import fields_of

HERE = Span(0, 0)
ONE = 1_000_000_000

A = Named("a", HERE)
B = Named("b", HERE)
C = Named("c", HERE)


def strip_places(node: Any) -> Any:
    """Copy a tree with every place set to nowhere."""
    if isinstance(node, Span):
        return HERE
    if isinstance(node, tuple):
        return tuple(strip_places(one) for one in node)
    if isinstance(node, Node):
        return type(node)(*(strip_places(getattr(node, name)) for name in fields_of(node)))
    return node


def last(count: float, unit: str) -> Duration:
    """A length of time."""
    return Duration(int(count * ONE), Unit(unit), HERE)


def percent(value: float) -> Quantity:
    return Quantity(round(value * ONE), "%", HERE)


def plain(value: float) -> Quantity:
    return Quantity(round(value * ONE), "", HERE)


def read_rule(sentence: str, notes: str = "") -> Rule:
    """Parse a rule that says ``sentence`` (without its full stop); a mistake fails the test."""
    parsed = parse_pack(f"pack p 1.0.0\nrule r avoid {sentence}. {notes}")
    assert parsed.mistakes == ()
    assert parsed.pack is not None
    rule: Rule = strip_places(parsed.pack.rules[0])
    return rule


def read_requirement(sentence: str) -> Requirement:
    return read_rule(sentence).requirement
