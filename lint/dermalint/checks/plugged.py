"""Measures that plugins compute: the facts of a product put together, and each answer kept."""

from __future__ import annotations

from dermalint.checks.contents import Contents, Range, bounds, has_water, meant_parts
from dermalint.plugins.faults import Unavailable
from dermalint.plugins.installed import Installed
from dermalint.plugins.product_facts import Part, ProductFacts
from dermalint.regimen.model import Content
from dermalint.vocabulary.world import World, resolve_content

_Key = tuple[str, str, frozenset[str], frozenset[str]]


class Plugged:
    """Computes measures for the products of one regimen; what failed once fails again, without a second call."""

    def __init__(self, world: World, plugins: Installed) -> None:
        self._world = world
        self._plugins = plugins
        self._found: dict[_Key, Range | Unavailable | None] = {}

    def measure(self, name: str, contents: Contents, names: frozenset[str], but: frozenset[str]) -> Range | None:
        """A measure of what is in ``names`` and not in ``but``; None where it does not apply, as where nothing is.

        Raises :class:`Unavailable` where no plugin computes it, or its plugin fails.
        """
        key = (name, contents.product.key, names, but)
        if key not in self._found:
            self._found[key] = self._compute(name, contents, names, but)
        found = self._found[key]
        if isinstance(found, Unavailable):
            raise found
        return found

    def _compute(self, name: str, contents: Contents, names: frozenset[str], but: frozenset[str]) -> Range | Unavailable | None:
        facts = product_facts(contents, names, but, self._world)
        if not facts.meant:
            return None
        try:
            span = self._plugins.compute(name, facts, contents.product.key)
        except Unavailable as unavailable:
            return unavailable
        return None if span is None else Range(*span)


def product_facts(contents: Contents, names: frozenset[str], but: frozenset[str], world: World) -> ProductFacts:
    """What a plugin is told of a product, asked for what is in ``names`` and not in ``but``."""
    product = contents.product
    meant = [(content, closure, certain) for content, closure, certain in meant_parts(contents, names, but)]
    return ProductFacts(
        meant=tuple(_part(content, closure, certain, world) for content, closure, certain in meant),
        parts=tuple(_part(content, closure, True, world) for content, closure in contents.closures),
        ph=product.ph,
        base=product.base.name if product.base is not None else None,
        has_water=has_water(product),
        substances=world.substances,
    )


def _part(content: Content, closure: frozenset[str], certain: bool, world: World) -> Part:
    low, high = bounds(content)
    name = resolve_content(content.name, world) or content.name
    families = frozenset(each for each in closure if each in world.families)
    return Part(name, low if certain else 0, high, world.substances.get(name), families)
