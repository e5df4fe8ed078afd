"""What is paired: families and substances, by products as the packs' own examples have them, or the products of a regimen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from dermalint.packs.model import PackSet
from dermalint.packs.references import walk
from dermalint.regimen.model import Content, Mention, Product, Regimen
from dermalint.spans import Place
from dermalint.vocabulary.world import World, nearest, title_of
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION
from dermalint_grammar.record import Record, replace

NOWHERE = Place(0, 0)
MEMBERS = 3  # members of a family that are asked about
USUAL = BILLION  # 1 %, where no example has a strength

_PAIRED = (nodes.Separate, nodes.ApplyChain, nodes.ApplyDirectly, nodes.Wait)


class Subject(Record):
    """One row of the grid: its name, how people read it, and the products that stand for it."""

    key: str
    title: str
    products: tuple[Product, ...]


class Unknown(Exception):
    """A name that cannot be paired; ``hint`` is the nearest that can."""

    def __init__(self, name: str, hint: str) -> None:
        super().__init__(name)
        self.name = name
        self.hint = hint


def of_regimen(regimen: Regimen, world: World) -> tuple[Subject, ...]:
    """A subject for each product of a regimen."""
    del world
    return tuple(Subject(key, product.name or key, (product,)) for key, product in regimen.products.items())


def of_names(packs: PackSet, names: Sequence[str] = ()) -> tuple[Subject, ...]:
    """A subject for each name; without names, for every substance and family that a rule about two products is written for.

    Raises :class:`Unknown`.
    """
    world = packs.world
    known = {*world.substances, *world.families, *world.kinds}
    for name in names:
        if name not in known:
            raise Unknown(name, nearest(name, known) or "")
    seen = _strengths(packs)
    subjects = []
    for name in names or _spoken_of(packs):
        products = _products(world, name, seen)
        if products:
            subjects.append(Subject(name, title_of(world, name), products))
    return tuple(subjects)


def _spoken_of(packs: PackSet) -> list[str]:
    """Families, and substances beside them, in terms of rules about two products; what a family there has in it is left out."""
    world = packs.world
    said: Counter[str] = Counter()
    for linked in packs.rules:
        if isinstance(linked.rule.requirement, _PAIRED):
            said.update(set(_names(linked.rule.requirement, world)))
    matter = [name for name in said if name in world.families or name in world.substances]
    inside = {name for name in matter for other in matter if other != name and other in world.ancestors.get(name, ())}
    return sorted(name for name in matter if name not in inside)


def _names(node: nodes.Node, world: World) -> list[str]:
    """The names that a requirement means; what it excepts is none of them."""
    if isinstance(node, nodes.Except):
        return _names(node.term, world)
    if isinstance(node, nodes.NotTerm):
        return []
    if isinstance(node, nodes.Named):
        group = world.groups.get(node.name)
        return [node.name] if group is None else _names(group.term, world)
    found: list[str] = []
    for name in getattr(node, "__match_args__", ()):
        value = getattr(node, name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, nodes.Node):
                found += _names(part, world)
    return found


def _strengths(packs: PackSet) -> dict[str, Counter[int]]:
    """The strengths at which the packs' examples have each substance, and how often."""
    seen: dict[str, Counter[int]] = {}
    for linked in packs.rules:
        for example in linked.rule.examples:
            for part in walk(example):
                if isinstance(part, nodes.ExampleStep) and part.what is not None and part.strength is not None:
                    seen.setdefault(part.what.text, Counter())[part.strength] += 1
                elif isinstance(part, nodes.Remark) and part.kind == "content" and part.value is not None:
                    seen.setdefault(part.word, Counter())[part.value] += 1
    return seen


def _products(world: World, name: str, seen: dict[str, Counter[int]]) -> tuple[Product, ...]:
    if name in world.kinds:
        return (Product(name, NOWHERE, kinds=(Mention(name, NOWHERE),)),)
    members = [name] if name in world.substances else []
    members += [one for one in world.members.get(name, ()) if one in world.substances and one != name]
    members.sort(key=lambda one: (-sum(seen.get(one, Counter()).values()), len(world.ancestors.get(one, ())), one))
    return tuple(_product(one, seen) for one in members[:MEMBERS])


def _product(name: str, seen: dict[str, Counter[int]]) -> Product:
    found = seen.get(name)
    strength = max(found, key=lambda value: (found[value], value)) if found else USUAL
    return Product(name, NOWHERE, contains=(Content(name, strength, NOWHERE),))


def renamed(product: Product, key: str) -> Product:
    """The product under another key."""
    return replace(product, key=key)


def said(product: Product) -> str:
    """A product in words: ``glycolic-acid 7 %``."""
    if product.name:
        return product.name
    parts = [
        content.name if content.strength is None else f"{content.name} {content.strength / BILLION:g} %"
        for content in product.contains
    ]
    return ", ".join(parts) or product.key
