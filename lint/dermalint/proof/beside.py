"""Rules that cannot be broken alone: whatever breaks them breaks another rule too."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from dermalint.checks.judge import severity_in
from dermalint.packs.model import LinkedRule
from dermalint.proof.cubes import Cube, TooMany, join
from dermalint.proof.ground import Ground
from dermalint.proof.implied import fires_with, is_timeless, needed_terms
from dermalint_grammar import nodes

SHARING = 3  # rules that between them forbid one alternative of a term


def never_without(ground: Ground, linked: LinkedRule, stance: str) -> tuple[str, ...]:
    """Rules of which at least one fires wherever this one does, where everything is stated; empty where that is not proven.

    Either one rule fires with it by its own sentence, or what this one needs in order to fire is forbidden, part by part, by
    rules that let nothing of it be used.
    """
    speaking = [
        other
        for other in ground.rules
        if other is not linked and severity_in(other.rule, stance) and other.id not in {*linked.suspends, *ground.suspenders}
    ]
    for other in speaking:
        if isinstance(other.rule.requirement, nodes.NeverUse | type(linked.rule.requirement)) and fires_with(
            ground, other, linked
        ):
            return (other.id,)
    forbidding = [other for other in speaking if _forbids_there(ground, other, linked)]
    for term in needed_terms(linked.rule.requirement):
        found = _share_out(ground, term, forbidding)
        if found:
            return found
    return ()


def _forbids_there(ground: Ground, other: LinkedRule, linked: LinkedRule) -> bool:
    never = other.rule.requirement
    if not isinstance(never, nodes.NeverUse) or never.slot is not None or isinstance(never.term, nodes.EventIs):
        return False
    if not is_timeless(other.rule):
        return False
    return not other.rule.conditions or bool(ground.clauses.implies(linked.rule.conditions, other.rule.conditions))


def _share_out(ground: Ground, term: nodes.Term, forbidding: Sequence[LinkedRule]) -> tuple[str, ...]:
    """Rules that between them forbid all that a term means; empty where some of it is left."""
    cubes = ground.cubes
    try:
        alternatives = cubes.possible(cubes.of(term))
        sharing: list[LinkedRule] = []
        for cube in alternatives:
            share = _share(ground, cube, forbidding)
            if not share:
                return ()
            sharing += [other for other in share if other not in sharing]
    except TooMany:
        return ()
    return tuple(other.id for other in sharing)


def _share(ground: Ground, cube: Cube, forbidding: Sequence[LinkedRule]) -> tuple[LinkedRule, ...]:
    """The fewest rules, up to :data:`SHARING`, that forbid all of an alternative."""
    near = [other for other in forbidding if ground.cubes.possible(join([cube], ground.cubes.of(_term(other))))]
    for number in range(1, SHARING + 1):
        for chosen in combinations(near, number):
            try:
                if not _left(ground, [cube], chosen):
                    return chosen
            except TooMany:
                continue
    return ()


def _left(ground: Ground, left: list[Cube], forbidding: Sequence[LinkedRule]) -> list[Cube]:
    for other in forbidding:
        left = ground.cubes.possible(join(left, ground.cubes.of(_term(other), False)))
    return left


def _term(linked: LinkedRule) -> nodes.Term:
    never = linked.rule.requirement
    assert isinstance(never, nodes.NeverUse)
    return never.term
