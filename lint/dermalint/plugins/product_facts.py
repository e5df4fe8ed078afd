"""What a function that computes a measure is told of a product: plain data, numbers in billionths."""

from __future__ import annotations

from collections.abc import Mapping

from dermalint.vocabulary.world import Substance
from dermalint_grammar.record import Record

Span = tuple[int, int | None]  # the lowest and the highest value (None: no bound is known); equal where the value is known


class Part(Record):
    """A substance in a product, or a family that stands for the total of its members.

    The strength lies between ``low`` and ``high`` billionths of a per cent: equal where it is stated, ``high`` None where
    nothing bounds it.  ``substance`` is None for a family; ``families`` are all families the part is in, near and far.
    """

    name: str
    low: int
    high: int | None
    substance: Substance | None
    families: frozenset[str]


class ProductFacts(Record):
    """One product, asked for a measure by one rule.

    ``meant`` are the parts that the rule's term names (never empty); ``parts`` all of them, in the order of the file.  ``ph``
    is None where it is not stated; ``base`` the vehicle's name, None where not stated; ``has_water`` None where the base does
    not tell.  ``substances`` are all that packs declare, with their pKa values and molar masses.
    """

    meant: tuple[Part, ...]
    parts: tuple[Part, ...]
    ph: int | None
    base: str | None
    has_water: bool | None
    substances: Mapping[str, Substance]
