"""The brute-force reading of a rule: every world that a regimen leaves open is laid out and judged in full.

It shares no code with the engine, beyond the tree of the language and the model of a regimen, and is written for being
checked against the meaning of the language by eye: slow, plain, and without a third value.  A place is broken certainly when
it is in every world, possibly when it is in some.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from dermalint.regimen.model import Regimen
from dermalint_grammar import nodes
from oracles import companions, counts, pairs
from oracles.conditions import all_hold
from oracles.layout import Layout, lay_out
from oracles.reading import Reader
from oracles.worlds import Unknown, World, concerns, find_unknowns, supposed, supposing

Place = tuple[int, int, str]  # phase and day in its period, both from 1, and slot

_AT_APPLICATIONS: dict[type, Callable[[Reader, nodes.Rule, Any], Iterator[Any]]] = {
    nodes.Separate: pairs.separate,
    nodes.SeparateUses: pairs.separate_uses,
    nodes.ApplyChain: pairs.chain,
    nodes.ApplyEdge: pairs.edge,
    nodes.ApplyDirectly: pairs.directly,
    nodes.Wait: pairs.wait,
    nodes.UseOnly: counts.only,
    nodes.NeverUse: counts.never,
    nodes.UseCount: counts.count,
    nodes.UseProducts: counts.products,
    nodes.UseFor: counts.course,
    nodes.Limit: counts.limit,
}
_COMPANIONS: dict[type, Callable[[Reader, nodes.Rule, Any], Iterator[companions.Fault]]] = {
    nodes.ExpectAround: companions.around,
    nodes.ExpectEvery: companions.every,
    nodes.Renew: companions.renew,
}


@dataclass(frozen=True)
class Verdict:
    """Where a rule certainly fails and where it possibly does (but not certainly)."""

    certain: frozenset[Place]
    possible: frozenset[Place]

    @property
    def word(self) -> str:
        """The whole in one word."""
        return "breaks" if self.certain else "unknown" if self.possible else "holds"


def judge_by_force(rule: nodes.Rule, regimen: Regimen, as_of: date, region: str | None) -> Verdict:
    """Judge one rule on one regimen.  Raises TooManyWorlds where the unknowns are too many to try."""
    layout = lay_out(regimen, reach_of(rule))
    if regimen.history is None and any(isinstance(node, nodes.FirstUse | nodes.DuringFirst) for node in concerns(rule)):
        return Verdict(frozenset(), frozenset())  # nothing is known of what came before: not judged
    worlds = list(find_unknowns(layout, rule).worlds(len(layout.things)))
    faults = [set(_faults(layout, world, rule, as_of, region)) for world in worlds]
    certain: set[Place] = set()
    possible: set[Place] = set()
    for fault in set().union(*faults):
        day, slot, needs = fault
        broken = [fault in found for found, world in zip(faults, worlds, strict=True) if supposed(world, needs)]
        (certain if all(broken) else possible).add(layout.place(day, slot))
    if rule.unknown == "holds":
        possible.clear()
    if rule.unknown == "breaks":
        certain |= possible
    return Verdict(frozenset(certain), frozenset(possible - certain))


def _faults(
    layout: Layout, world: World, rule: nodes.Rule, as_of: date, region: str | None
) -> Iterator[tuple[int, str, frozenset[Unknown]]]:
    """Day and slot of each fault in one world, and what is supposed of the world there."""
    reader = Reader(layout, world, as_of, region)
    requirement = rule.requirement
    if type(requirement) in _COMPANIONS:
        for told, at, needs in _COMPANIONS[type(requirement)](reader, rule, requirement):
            if layout.judged(told.day) and all_hold(reader, rule, at):
                yield told.day, told.slot, needs
        return
    for thing in _AT_APPLICATIONS[type(requirement)](reader, rule, requirement):
        if layout.judged(thing.day) and all_hold(reader, rule, thing):
            # What is in a product does not depend on whether it is used; what a day has in all is wrong on the whole day.
            in_product = isinstance(requirement, nodes.Limit) and not requirement.total
            in_day = isinstance(requirement, nodes.Limit) and requirement.per == "day"
            yield thing.day, "" if in_day else thing.slot, supposing(thing) if in_product else frozenset()


def reach_of(rule: nodes.Rule) -> int:
    """Days that a rule could look ahead or back, generously."""
    days = [1]
    for node in concerns(rule):
        if isinstance(node, nodes.Duration):
            days.append(node.days + 1)
        if isinstance(node, nodes.UseCount | nodes.UseProducts):
            days.append({"week": 7, "month": 31, "cycle": 9}.get(node.per, node.window))
            days.append(node.number if node.per == "row" else 0)
    if isinstance(rule.requirement, nodes.UseFor):
        days.append(rule.pauses.days if rule.pauses is not None else counts.PAUSE)
    return max(days) + 2
