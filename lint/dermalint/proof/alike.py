"""Changes of a rule that change nothing: what no example can tell from the rule, and why."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.packs.model import LinkedRule
from dermalint.proof.cubes import Cube, TooMany, join
from dermalint.proof.ground import TERMS, Ground
from dermalint.proof.mutants import Mutant
from dermalint_grammar import nodes
from dermalint_grammar.record import fields_of

_AT_ONCE = ("routine", "day", "within")  # where what calls for a companion may be that companion itself


def why_alike(ground: Ground, linked: LinkedRule, mutant: Mutant) -> str:
    """Why a changed rule says what the rule says, in words; empty where that is not proven."""
    rule, changed = linked.rule.requirement, mutant.rule.requirement
    if rule == changed or type(rule) is not type(changed):
        return ""
    companion = _own_companion(rule)
    for name in fields_of(rule):
        old, new = getattr(rule, name), getattr(changed, name)
        if old == new:
            continue
        if not isinstance(old, TERMS) or not isinstance(new, TERMS):
            return ""
        try:
            differing = list(_differing(ground, old, new))
            if not differing:
                continue
            calls = name in ("having", "trigger") and companion is not None
            if not calls or ground.cubes.possible(join(differing, ground.cubes.of(companion, False))):  # type: ignore[arg-type]
                return ""
        except TooMany:
            return ""
        return "what calls for a companion in the one and not in the other is such a companion itself"
    return "nothing is meant by the one and not by the other"


def _own_companion(requirement: nodes.Requirement) -> nodes.Term | None:
    """The companion that a rule asks for, where what calls for it may be it."""
    match requirement:
        case nodes.ExpectEvery(companion=companion):
            return None if isinstance(companion, nodes.OnArea) else companion
        case nodes.ExpectAround(companion=companion, reach=reach) if reach.where in _AT_ONCE:
            return None if isinstance(companion, nodes.OnArea | nodes.PatchTest) else companion
    return None


def told_apart_by(ground: Ground, linked: LinkedRule, mutant: Mutant) -> list[Cube]:
    """Products, as cubes, that a term of the rule means and its change does not, or the other way round."""
    rule, changed = linked.rule.requirement, mutant.rule.requirement
    found: list[Cube] = []
    for name in fields_of(rule):
        old, new = getattr(rule, name), getattr(changed, name, None)
        if isinstance(old, TERMS) and isinstance(new, TERMS) and old != new:
            try:
                found += _differing(ground, old, new)
            except TooMany:
                continue
    return found


def _differing(ground: Ground, one: nodes.Term, two: nodes.Term) -> Iterator[Cube]:
    """What one of two terms means and the other does not.  Raises TooMany."""
    cubes = ground.cubes
    yield from cubes.possible(join(cubes.of(one), cubes.of(two, False)))
    yield from cubes.possible(join(cubes.of(two), cubes.of(one, False)))
