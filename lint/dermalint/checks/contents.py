"""What a product is and holds, as three-valued facts: names, strengths, pH, SPF and shelf dates.

A label's list joins what a file states under `contains` as :class:`Listed` contents (:mod:`dermalint.checks.labels`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from dermalint.regimen.model import Content, Product
from dermalint.vocabulary.world import World, resolve_content
from dermalint_grammar.nodes import BILLION

WITHOUT_WATER = frozenset({"anhydrous", "oil", "ointment", "silicone", "powder"})


class Range(NamedTuple):
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


FROM_LABEL = "from the label list"
EXFOLIATING = "exfoliating-acid"  # the family that a pH adjuster on a label is not counted in
ADJUSTER = "adjuster"
UNCLEAR = "unclear"


class Listed(Content):
    """A content that a label's list names; its strength is stated only where the label states it.

    ``note`` says in words what more the list shows of it.  ``at_most`` is the bound (billionths of a per cent) that its
    place in the list proves.  An ``optional`` one ("may contain") may be there; rules about strengths leave it out.
    ``part_of`` names the family under `contains` whose stated total it is in.  ``role`` is ADJUSTER for an acid that only
    sets the pH, and UNCLEAR for one that may be there to exfoliate.
    """

    note: str = ""
    at_most: int | None = None
    optional: bool = False
    part_of: str | None = None
    role: str | None = None


def read_contents(product: Product, world: World) -> Contents:
    """The names a product answers to: its kinds, its substances, and every family these are in."""
    found = Contents(product)
    for content in product.contains:
        key = resolve_content(content.name, world)
        if key is None:
            continue
        closure = world.ancestors.get(key, frozenset((key,)))
        if isinstance(content, Listed):
            closure = _closure_on_label(found, content, closure, world)
        found.closures.append((content, closure))
        for name in closure:
            found.certain.setdefault(name, content)
        if key in world.families and key not in world.substances:
            for name in world.members.get(key, ()):
                found.possible.setdefault(name, content)
    for kind in product.kinds:
        found.certain.setdefault(kind.name, None)
    return found


def _closure_on_label(found: Contents, content: Listed, closure: frozenset[str], world: World) -> frozenset[str]:
    """The names a label's content certainly answers to; those it only may answer to are noted as possible."""
    unsure: frozenset[str] = frozenset()
    if content.role is not None:
        acids = frozenset(name for name in closure if EXFOLIATING in world.ancestors.get(name, ()) and name in world.families)
        closure -= acids
        unsure = acids if content.role == UNCLEAR else unsure
    if content.optional:
        closure, unsure = frozenset(), closure | unsure
    for name in unsure:
        found.possible.setdefault(name, content)
    return closure


def strength(contents: Contents, names: frozenset[str], but: frozenset[str]) -> Range | None:
    """The strength of all that is in ``names`` and not in ``but``, summed; None when the product has none of it.

    Parts whose strength is not stated leave the sum a lower bound, unless a label's order bounds each of them.
    """
    low, high, any_part = 0, 0, False
    open_end = False
    for content, _, certain in meant_parts(contents, names, but):
        any_part = True
        least, most = bounds(content)
        low += least if certain else 0
        high += most or 0  # a member that a family stands for is no more than is stated of the family
        open_end = open_end or most is None
    if not any_part:
        return None
    return Range(low, None if open_end else max(low, high))


def meant_parts(
    contents: Contents, names: frozenset[str], but: frozenset[str]
) -> Iterator[tuple[Content, frozenset[str], bool]]:
    """What a product has that is in ``names`` and not in ``but``, each part of a whole once: the content, the names it answers
    to, and whether it certainly is in ``names``."""
    for content, closure in contents.closures:
        listed = content if isinstance(content, Listed) else None
        if closure & but or (listed is not None and listed.optional):
            continue
        certain = bool(closure & names)
        if not certain and not any(contents.possible.get(name) is content for name in names):
            continue
        if not certain and listed is None and _has_listed(contents, content.name, names, but):
            continue  # the label says which member it is
        if listed is not None and listed.part_of is not None and _counts(contents, listed.part_of, names, but):
            continue  # its family's total has it already
        yield content, closure, certain


def bounds(content: Content) -> tuple[int, int | None]:
    """The least and the most of a content's strength; None for the most where nothing bounds it."""
    if content.strength is not None:
        return content.strength, content.strength
    return 0, content.at_most if isinstance(content, Listed) else None


def _has_listed(contents: Contents, family: str, names: frozenset[str], but: frozenset[str]) -> bool:
    return any(
        isinstance(content, Listed) and content.part_of == family and closure & names and not closure & but
        for content, closure in contents.closures
    )


def _counts(contents: Contents, family: str, names: frozenset[str], but: frozenset[str]) -> bool:
    return any(
        content.name == family and closure & names and not closure & but
        for content, closure in contents.closures
        if not isinstance(content, Listed)
    )


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
