"""Whether one unknown counts more than once in a judgement.

The engine works with three values: an unknown that is asked about twice is taken as two, and may leave `possible` what is
certain, or nothing, whatever the unknown is.
"""

from __future__ import annotations

from collections import Counter

from dermalint.regimen.model import Regimen
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison
from oracles.brute import reach_of
from oracles.layout import lay_out
from oracles.worlds import Unknown, concerns, find_unknowns

# A requirement that asks for some of what it forbids, or for what is not A, asks about one term in two ways.
# So do counts that want at least so many of what is used at all.
_ASKS_BOTH_WAYS = (nodes.ApplyEdge, nodes.ExpectAround, nodes.ExpectEvery, nodes.ApplyChain, nodes.ApplyDirectly)


def asked_twice(rule: nodes.Rule, regimen: Regimen) -> bool:
    """Whether some unknown of the regimen is asked about in two places of the rule."""
    unknown = find_unknowns(lay_out(regimen, reach_of(rule)), rule).values
    asked = Counter(type(node) for node in concerns(rule))
    terms = sum(asked[sort] for sort in (nodes.Named, nodes.AnyProduct, nodes.BaseIs, nodes.Literal))
    # A condition and its opposite are one unknown, and what depends on either asks about it.
    opposites = any(f"not {condition}" in unknown.get(("only if",), ()) for condition in unknown.get(("only if",), ()))
    return opposites or any(_times(name, rule, asked, terms) > 1 for name in unknown)


def _times(name: Unknown, rule: nodes.Rule, asked: Counter[type], terms: int) -> int:
    requirement = rule.requirement
    counts = isinstance(requirement, nodes.UseCount | nodes.UseProducts | nodes.UseFor | nodes.Limit)
    both_ways = isinstance(requirement, _ASKS_BOTH_WAYS) or (counts and requirement.bound is Comparison.AT_LEAST)
    match name[0]:
        case "strength" | "ph" | "spf":
            return asked[nodes.Measured] + asked[nodes.Limit] + both_ways
        case "base":
            return asked[nodes.BaseIs] + asked[nodes.Measured] + asked[nodes.Limit] + both_ways
        case "age":
            return asked[nodes.Age]
        case "phototype":
            return asked[nodes.Phototype]
        case "contact":
            return asked[nodes.WithContact] + both_ways
        case "spots":
            return asked[nodes.OnArea] + asked[nodes.Around] + 1
        case "dry":
            return 1
    return terms + both_ways  # a member of a family, or whether a step happens: each term may ask about it
