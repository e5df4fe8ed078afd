"""Which products a rule needs before it can say anything, and which terms are about substances at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from dermalint.vocabulary.world import Group
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison

Names = frozenset[str] | None  # None: cannot be bounded by names


def rule_triggers(requirement: nodes.Requirement, groups: Mapping[str, Group]) -> Names:
    """Names of which a regimen's products must answer to at least one for the requirement to be able to fail.

    None where no such names can be given: the rule must always be run.
    """

    def names(term: nodes.Term) -> Names:
        return term_names(term, groups)

    match requirement:
        case nodes.Separate(first, second) | nodes.ApplyDirectly(first, second) | nodes.Wait(_, first, second):
            return _smaller((names(first), names(second)))
        case nodes.ApplyChain(links):
            return _any_but_one([names(link) for link in links])
        case (
            nodes.SeparateUses(term=term)
            | nodes.ApplyEdge(term=term)
            | nodes.UseOnly(term=term)
            | nodes.NeverUse(term=term)
            | nodes.UseCount(term=term)  # "at least" looks only between a product's first and last use
            | nodes.UseFor(term=term)
            | nodes.ExpectAround(trigger=term)
        ):
            return names(term)
        case nodes.UseProducts(term=term, bound=bound):
            return names(term) if bound is Comparison.AT_MOST else None
        case nodes.Limit(term=term, total=total, bound=bound):
            return None if total and bound is Comparison.AT_LEAST else names(term)
        case nodes.ExpectEvery(having=having):
            return None if having is None else names(having)
        case nodes.Renew():
            return None


def term_names(term: nodes.Term, groups: Mapping[str, Group]) -> Names:
    """Names of which a product must answer to at least one to match a term; None where any product might."""
    match term:
        case nodes.Named(name):
            group = groups.get(name)
            return frozenset({name}) if group is None else term_names(group.term, groups)
        case nodes.OneOf(terms):
            return _union(term_names(part, groups) for part in terms)
        case nodes.AllOf(terms):
            return _smaller(term_names(part, groups) for part in terms)
        case (
            nodes.Except(term=inner)
            | nodes.Measured(term=inner)
            | nodes.WithContact(term=inner)
            | nodes.Contacted(term=inner)
            | nodes.Marked(term=inner)
            | nodes.OnArea(term=inner)
            | nodes.FirstUse(term=inner)
        ):
            return term_names(inner, groups)
        case _:  # a label's exact name, any product, a base, a negation, an event, a patch test
            return None


def has_substance(term: nodes.Term, substances: Iterable[str], groups: Mapping[str, Group]) -> bool:
    """Whether every product that matches a term does so through a substance, whose strength can then be asked for.

    ``substances`` are the names of substances and families.
    """
    known = substances if isinstance(substances, frozenset) else frozenset(substances)
    match term:
        case nodes.Literal():
            return True
        case nodes.Named(name):
            return name in known or (name in groups and has_substance(groups[name].term, known, groups))
        case nodes.OneOf(terms):
            return all(has_substance(part, known, groups) for part in terms)
        case nodes.AllOf(terms):
            return any(has_substance(part, known, groups) for part in terms)
        case (
            nodes.Except(term=inner)
            | nodes.Measured(term=inner)
            | nodes.WithContact(term=inner)
            | nodes.Contacted(term=inner)
            | nodes.Marked(term=inner)
            | nodes.OnArea(term=inner)
            | nodes.FirstUse(term=inner)
        ):
            return has_substance(inner, known, groups)
        case _:
            return False


def _union(sets: Iterable[Names]) -> Names:
    union: frozenset[str] = frozenset()
    for names in sets:
        if names is None:
            return None
        union |= names
    return union


def _smaller(sets: Iterable[Names]) -> Names:
    """The smallest of several sets that are all needed."""
    return min((names for names in sets if names is not None), key=len, default=None)


def _any_but_one(sets: list[Names]) -> Names:
    """What must occur when at least two of several must: all of them but the largest."""
    ordered = sorted(sets, key=lambda names: (names is not None, -len(names or ())))
    return _union(ordered[1:])
