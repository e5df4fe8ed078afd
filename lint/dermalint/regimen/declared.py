"""What a file declares and what it uses of it: product keys and slots."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from dermalint.regimen.model import Mention, Product
from dermalint.regimen.notes import Notes, excerpt, listed, meant, nearest

FIXED_SLOTS = ("morning", "midday", "afternoon", "evening")


@dataclass(slots=True)
class Declared:
    """Products and slots by name, and which products were named where it counts."""

    products: Mapping[str, Product]
    slots: tuple[str, ...] = FIXED_SLOTS
    used: set[str] = field(default_factory=set)
    trusted: bool = True  # False when not all products could be read: then no name is called unknown

    def product(self, notes: Notes, mention: Mention | None, *, counts: bool = True) -> Mention | None:
        """The mention when its product is declared; else noted and dropped.  ``counts`` says that this is a use of it."""
        if mention is None:
            return None
        if mention.name in self.products:
            if counts:
                self.used.add(mention.name)
            return mention
        if self.trusted:
            known = f"Declare it under `products:`{_such_as(self.products)}."
            near = nearest(mention.name, self.products)
            if near is not None:
                self.used.add(near)  # one mistake, one message: the name that was meant is not unused as well
            suggestion = known if near is None else f"Did you mean `{near}`?"
            if mention.name.startswith("wait "):
                suggestion = f"A wait is written with a colon: `wait: {excerpt(mention.name.removeprefix('wait ').strip())}`."
            notes.error_at(mention.place, f"`{excerpt(mention.name)}` is not declared as a product.", suggestion)
        return None

    def those(self, notes: Notes, mentions: Iterable[Mention], *, counts: bool = True) -> tuple[Mention, ...]:
        """The mentions whose products are declared."""
        return tuple(kept for mention in mentions if (kept := self.product(notes, mention, counts=counts)) is not None)

    def slot(self, notes: Notes, mention: Mention | None) -> Mention | None:
        """The mention when its slot exists; else noted and dropped."""
        if mention is None or mention.name in self.slots:
            return mention
        notes.error_at(
            mention.place,
            f"`{excerpt(mention.name)}` is no slot of this file.",
            meant(mention.name, self.slots, f"Write {listed(self.slots)}, or give it a clock under `day`."),
        )
        return None


def _such_as(products: Mapping[str, Product]) -> str:
    if not products:
        return ""
    return f" (there is {listed(list(products)[:5], 'and')}{' and more' if len(products) > 5 else ''})"
