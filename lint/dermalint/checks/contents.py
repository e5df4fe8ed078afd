"""What a product is and holds, as three-valued facts: names, strengths, pH, SPF and shelf dates."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from dermalint.regimen.model import Content, Product
from dermalint.vocabulary.world import World, resolve_content
from dermalint_grammar.nodes import BILLION

WITHOUT_WATER = frozenset({"anhydrous", "oil", "ointment", "silicone", "powder"})
WHOLE = 100 * BILLION  # a strength cannot exceed 100 %


@dataclass(frozen=True, slots=True)
class Range:
    """A measure known to lie between two bounds (both included; ``high`` None: no bound is known)."""

    low: int
    high: int | None

    @property
    def exact(self) -> int | None:
        """The value where it is known."""
        return self.low if self.low == self.high else None


@dataclass(slots=True)
class Contents:
    """A product's names: ``certain`` ones, and those it may have because a family stands for an unnamed member."""

    product: Product
    certain: dict[str, Content | None] = field(default_factory=dict)  # name -> the content it comes through
    possible: dict[str, Content] = field(default_factory=dict)
    closures: list[tuple[Content, frozenset[str]]] = field(default_factory=list)


def read_contents(product: Product, world: World) -> Contents:
    """The names a product answers to: its kinds, its substances, and every family these are in."""
    found = Contents(product)
    for content in product.contains:
        key = resolve_content(content.name, world)
        if key is None:
            continue
        closure = world.ancestors.get(key, frozenset((key,)))
        found.closures.append((content, closure))
        for name in closure:
            found.certain.setdefault(name, content)
        if key in world.families and key not in world.substances:
            for name in world.members.get(key, ()):
                found.possible.setdefault(name, content)
    for kind in product.kinds:
        found.certain.setdefault(kind.name, None)
    return found


def strength(contents: Contents, names: frozenset[str], but: frozenset[str]) -> Range | None:
    """The strength of all that is in ``names`` and not in ``but``, summed; None when the product has none of it.

    Parts whose strength is not stated leave the sum a lower bound.
    """
    low, open_end, any_part = 0, False, False
    for content, closure in contents.closures:
        if closure & but:
            continue
        if closure & names:
            any_part = True
            if content.strength is None:
                open_end = True
            else:
                low += content.strength
        elif any(contents.possible.get(name) is content for name in names):
            any_part = open_end = True
    if not any_part:
        return None
    return Range(low, None if open_end else low)


def has_water(product: Product) -> bool | None:
    """Whether a pH means anything: None when the base is not stated."""
    if product.base is None:
        return None
    return product.base.name not in WITHOUT_WATER


def whole_months(start: date, end: date) -> int:
    """Calendar months completed between two dates."""
    return (end.year - start.year) * 12 + end.month - start.month - (end.day < start.day)


def add_months(start: date, months: int) -> date:
    """The same day so many months later, or the last day of that month."""
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    day = start.day
    while True:
        try:
            return date(year, month + 1, day)
        except ValueError:
            day -= 1


def measure(product: Product, name: str, as_of: date) -> Range | None:
    """A measure of the product itself; None where it does not apply, an open range where it is not stated."""
    if name == "ph":
        if product.ph is not None:
            return Range(product.ph, product.ph)
        return None if has_water(product) is False else Range(0, None)
    if name == "spf":
        if product.spf is not None:
            return Range(product.spf, product.spf)
        sunscreen = any(kind.name == "sunscreen" for kind in product.kinds)
        return Range(0, None) if sunscreen else None
    if name == "months-open":
        opened = product.dispensed if product.made_up and product.dispensed else product.opened or product.dispensed
        if opened is None:
            return None
        months = max(0, whole_months(opened, as_of)) * BILLION
        return Range(months, months)
    if name == "days-past-expiry":
        ends = [product.expires] if product.expires else []
        if product.opened and product.lasts_after_opening_months:
            ends.append(add_months(product.opened, product.lasts_after_opening_months))
        if not ends:
            return None
        past = (as_of - min(ends)).days * BILLION
        return Range(past, past)
    return None
