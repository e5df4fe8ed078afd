"""Possible worlds: what a regimen leaves open, each unknown with every value that could matter to a rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from itertools import product as combinations
from typing import Any

from dermalint.regimen.model import ApplyStep, Content, Product, Regimen, WaitStep
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION
from dermalint_grammar.parse import parse_pack
from dermalint_grammar.record import fields_of
from oracles import words
from oracles.layout import Layout, Thing

Unknown = tuple[Any, ...]  # what is unknown: a word for its sort, then of what
World = dict[Unknown, Any]

ALL_OF_IT = 100 * BILLION
LONG = 100_000  # minutes
MOST = 20_000  # applications in all worlds together


class TooManyWorlds(Exception):
    """More unknowns than a brute force can try."""


@cache
def group_term(name: str) -> nodes.Term:
    """What a group of the vocabulary means."""
    pack = parse_pack(words.RULES).pack
    assert pack is not None
    return next(d.term for d in pack.declarations if isinstance(d, nodes.GroupDecl) and d.name.text == name)


def parts_of(node: object) -> Iterator[Any]:
    """A node of a rule and everything inside it, groups read out."""
    if isinstance(node, tuple) and not isinstance(node, nodes.Span):
        for part in node:
            yield from parts_of(part)
    elif isinstance(node, nodes.Node):
        yield node
        if isinstance(node, nodes.Named) and node.name in words.GROUPS:
            yield from parts_of(group_term(node.name))
        for name in fields_of(node):  # type: ignore[arg-type]
            if name not in ("span", "examples", "sources"):
                yield from parts_of(getattr(node, name))


def concerns(rule: nodes.Rule) -> list[Any]:
    """The nodes that decide: the requirement and the clauses."""
    return list(parts_of((rule.requirement, rule.conditions)))


@dataclass
class Unknowns:
    """The unknowns of a regimen that a rule could ask about, and the values each may take."""

    values: dict[Unknown, list[Any]] = field(default_factory=dict)

    def worlds(self, applications: int) -> Iterator[World]:
        """Every combination of values.  Raises TooManyWorlds where that many applications would have to be judged too often."""
        size = 1
        for values in self.values.values():
            size *= len(values)
        if size * applications > MOST:
            raise TooManyWorlds(str({name: len(values) for name, values in self.values.items()}))
        names = list(self.values)
        for chosen in combinations(*self.values.values()):
            yield dict(zip(names, chosen, strict=True))


def find_unknowns(layout: Layout, rule: nodes.Rule) -> Unknowns:
    """Work out what is open and matters."""
    regimen = layout.regimen
    asked = concerns(rule)
    limits: dict[str, list[int]] = {}
    for node in asked:
        if isinstance(node, nodes.Measured):
            limits.setdefault(node.measure, []).append(node.quantity.value)
        if isinstance(node, nodes.Limit):
            limits.setdefault(node.measure.text, []).append(node.quantity.value)
    used = {thing.product.key for thing in layout.things if thing.product is not None}
    used |= {past.product.name for past in regimen.history or () if past.product.name in regimen.products}
    found: dict[Unknown, list[Any]] = {}
    for key in sorted(used):
        _of_product(found, regimen.products[key], asked, limits)
    _of_steps(found, regimen, asked)
    _of_person(found, regimen, asked)
    mentioned = any(mention.name == "spots" for thing in (*layout.things, *layout.events) for mention in _mentions(thing))
    if mentioned or any(isinstance(node, nodes.OnArea) and node.area == "spots" for node in asked):
        found["spots",] = sorted(words.FACE)
    return Unknowns(found)


def _of_product(found: dict[Unknown, list[Any]], product: Product, asked: list[Any], limits: dict[str, list[int]]) -> None:
    names = {node.name for node in asked if isinstance(node, nodes.Named)}
    for number, content in enumerate(product.contains):
        if content.strength is None and "strength" in limits:
            found["strength", product.key, number] = _around(limits["strength"], 0, ALL_OF_IT)  # however little
        members = words.members_of(content.name) if content.name in words.FAMILIES else []
        if any(names & (words.families_of(member) - words.families_of(content.name)) for member in members):
            found["member", product.key, number] = [*members, None]
    base_matters = any(isinstance(node, nodes.BaseIs) for node in asked)
    if product.base is None and (base_matters or "ph" in limits):
        found["base", product.key] = list(words.BASES)
    if product.ph is None and "ph" in limits and (product.base is None or product.base.name not in words.WATERLESS):
        found["ph", product.key] = _around(limits["ph"], 0, 14 * BILLION)
    if product.spf is None and "spf" in limits and any(kind.name == "sunscreen" for kind in product.kinds):
        found["spf", product.key] = _around(limits["spf"], 0, 200 * BILLION)


def _around(limits: list[int], least: int, most: int) -> list[int]:
    """The ends, the limits, and a value in between each two of them."""
    marks = sorted({least, most, *(limit for limit in limits if least < limit < most)})
    return sorted({*marks, *((low + high) // 2 for low, high in pairwise(marks) if len(marks) > 3)})


def _of_steps(found: dict[Unknown, list[Any]], regimen: Regimen, asked: list[Any]) -> None:
    contact_limits = [node.duration.minutes for node in asked if isinstance(node, nodes.WithContact)]
    times_near = sorted({0, LONG, *(limit + shift for limit in contact_limits for shift in (-1, 0, 1))})
    waits = any(isinstance(node, nodes.Wait) for node in asked)
    choices: dict[str, None] = {}
    for phase in regimen.phases:
        for routine in phase.routines:
            if routine.only_if is not None:
                choices[routine.only_if] = None
            for step in routine.steps:
                if isinstance(step, WaitStep):
                    if step.minutes is None and waits:
                        found["dry", id(step)] = [0, LONG]
                    continue
                if step.as_needed:
                    found["needed", id(step)] = sorted({0, 1, step.at_most or 1})
                for mention in step.products:
                    contact = step.contact or regimen.products[mention.name].contact
                    if contact.kind != "left-on" and contact.minutes is None and contact_limits:
                        found["contact", id(step), mention.name] = times_near
    for past in regimen.history or ():
        product = regimen.products.get(past.product.name)
        if contact_limits and product is not None and product.contact.kind != "left-on" and product.contact.minutes is None:
            found["contact", None, product.key] = times_near
    if choices:
        either = any(f"not {choice}" in choices for choice in choices)
        found["only if",] = [*choices] if either else [*choices, None]


def _of_person(found: dict[Unknown, list[Any]], regimen: Regimen, asked: list[Any]) -> None:
    ages = [node.duration for node in asked if isinstance(node, nodes.Age)]
    if ages and regimen.person.age_months is None:
        found["age",] = sorted({0, 1200} | {max(0, months_of(age) + shift) for age in ages for shift in (-1, 0, 1)})
    if regimen.person.phototype is None and any(isinstance(node, nodes.Phototype) for node in asked):
        found["phototype",] = [1, 2, 3, 4, 5, 6]


def months_of(duration: nodes.Duration) -> int:
    """An age in whole months."""
    return duration.count * (12 if duration.unit is nodes.Unit.YEAR else 1) // BILLION


def _mentions(thing: Thing) -> tuple[Any, ...]:
    owner = thing.step or thing.event
    return getattr(owner, "areas", ())


# --- what is so in a world ---------------------------------------------------------------------------------------------------


def times(world: World, thing: Thing) -> int:
    """How often a written application happens: 0, 1, or as often as an as-needed one may."""
    if thing.only_if is not None and world["only if",] != thing.only_if:
        return 0
    if thing.step is not None and thing.step.as_needed:
        return int(world["needed", id(thing.step)])
    return 1


def supposing(thing: Thing) -> frozenset[Unknown]:
    """What must be so for an application to happen, to judge a rule as if it does."""
    needs: set[Unknown] = set()
    if thing.only_if is not None:
        needs.add(("only if", thing.only_if))
    if thing.step is not None and thing.step.as_needed:
        needs.add(("needed", id(thing.step)))
    return frozenset(needs)


def supposed(world: World, needs: frozenset[Unknown]) -> bool:
    """Whether a world is one in which that is so."""
    return all(
        world["only if",] == need[1] if need[0] == "only if" else world["needed", need[1]] > 0  # one line a sort
        for need in needs
    )


def skin_of(world: World, thing: Thing) -> frozenset[str]:
    """The patches of skin that an application or event is on; the face when nothing is said."""
    owner: ApplyStep | Any = thing.step or thing.event
    areas = [mention.name for mention in owner.areas] or ["face"]
    found: frozenset[str] = frozenset()
    for area in areas:
        found |= area_of(world, area)
    for mention in getattr(owner, "without", ()):
        found -= area_of(world, mention.name)
    return found


def area_of(world: World, name: str) -> frozenset[str]:
    """The patches of an area; spots are where the world has them."""
    return frozenset((world["spots",],)) if name == "spots" and ("spots",) in world else words.SKIN.get(name, frozenset())


def contact_minutes(world: World, thing: Thing) -> int | None:
    """How long an application stays; None for what is left on."""
    assert thing.product is not None
    if thing.contact.kind == "left-on":
        return None
    if thing.contact.minutes is not None:
        return thing.contact.minutes
    own = ("contact", id(thing.step), thing.product.key)
    return int(world[own] if own in world else world["contact", None, thing.product.key])  # the latter before the regimen


def ingredients(world: World, product: Product) -> list[tuple[set[str], int | None]]:
    """Each thing in a product: all the names it answers to, and its strength where that is known or supposed."""
    found: list[tuple[set[str], int | None]] = []
    for number, content in enumerate(product.contains):
        found.append((_names(world, product, number, content), _strength(world, product, number, content)))
    return found


def _names(world: World, product: Product, number: int, content: Content) -> set[str]:
    member = world.get(("member", product.key, number))
    return words.families_of(content.name) | (words.families_of(member) if member else set())


def _strength(world: World, product: Product, number: int, content: Content) -> int | None:
    return content.strength if content.strength is not None else world.get(("strength", product.key, number))


def base_of(world: World, product: Product) -> str | None:
    """A product's base; None only where no rule asks."""
    return product.base.name if product.base is not None else world.get(("base", product.key))
