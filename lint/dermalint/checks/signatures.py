"""What applications have in common: each distinct (product, contact, areas, amount, first use) is one signature.

Terms are judged once for all signatures together, as bit masks (bit *i* is signature *i*), because a regimen has a handful
of signatures and hundreds of applications.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from dermalint.regimen.model import Contact, Mention, PastUse, Product, Regimen
from dermalint.timeline.line import FIRST, Application, Line, Use
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint.vocabulary.world import World
from dermalint_grammar.record import Record


class Signature(Record):
    """One kind of application, or one event; ``area`` is a mask of the world's areas.

    ``first`` is YES for a product's first use, and UNKNOWN when nothing is known of what came before.
    """

    product: Product | None
    event: str | None
    contact: Contact
    area: int
    amount: str | None
    first: int


class Areas:
    """Overlap and cover of areas as masks.  ``spots`` are somewhere on the face."""

    def __init__(self, world: World) -> None:
        self.named = world.areas
        self.face = world.areas.get("face", 1)
        self.spots = world.areas.get("spots", 0)

    def mask(self, areas: tuple[Mention, ...], without: tuple[Mention, ...] = ()) -> int:
        """The mask of a step's areas; the face when it names none.  Unknown names are left out (reported elsewhere)."""
        mask = 0
        for area in areas:
            mask |= self.named.get(area.name, 0)
        if not areas:
            mask = self.face
        for area in without:
            left_out = self.named.get(area.name, 0)
            mask &= ~left_out
            if left_out & self.face and not any(area.name == "spots" for area in areas):
                mask &= ~self.spots  # the spots may be where it was left out
        return mask

    def overlap(self, one: int, other: int) -> int:
        """Whether two masks share skin: spots may or may not lie on a part of the face."""
        if one & other:
            return YES
        on_face, other_on_face = one & self.face, other & self.face
        if on_face and other_on_face and self.spots in (on_face, other_on_face):
            return UNKNOWN
        return NO


@dataclass(slots=True)
class Signatures:
    """All signatures of a line, and each use's number."""

    items: list[Signature] = field(default_factory=list)
    products: int = 0  # mask of all that are applications
    events: int = 0
    contacts: dict[str, int] = field(default_factory=dict)  # kind of contact -> mask of the applications with it
    first_yes: int = 0
    first_possible: int = 0
    uses: list[list[Use]] = field(default_factory=list)
    of: dict[tuple[int, int], int] = field(default_factory=dict)
    of_event: dict[int, int] = field(default_factory=dict)


def sign_uses(regimen: Regimen, line: Line, areas: Areas) -> Signatures:
    """Give every use and event of the line its signature."""
    known = None if regimen.history is None else {past.product.name for past in regimen.history if isinstance(past, PastUse)}
    found = Signatures()
    index: dict[tuple[object, ...], int] = {}
    for use in line.uses:
        key = (use.kind, use.first)
        number = found.of.get(key)
        if number is None:
            application = use.application
            assert application is not None
            number = found.of[key] = _sign(found, index, application, _first(use, known), areas)
        use.signature = number
        found.uses[number].append(use)
    for use in line.events:
        number = found.of_event.get(use.kind)
        if number is None:
            assert use.event is not None
            signature = Signature(None, use.event.event.name, Contact(), areas.mask(use.event.areas), None, NO)
            number = found.of_event[use.kind] = _add(found, signature)
            found.events |= 1 << number
        use.signature = number
        found.uses[number].append(use)
    _sign_past(found, regimen, known or set(), areas)
    return found


def _sign_past(found: Signatures, regimen: Regimen, known: set[str], areas: Areas) -> None:
    """Give each product that is only in the history a signature without uses, so that terms are judged for it too."""
    signed = {signature.product.key for signature in found.items if signature.product is not None}
    for name in sorted(known - signed):
        product = regimen.products.get(name)
        if product is not None:
            _add_application(found, Signature(product, None, product.contact, areas.face, None, NO))


def _first(use: Use, known: set[str] | None) -> int:
    if not use.first or (known is not None and use.product in known):
        return NO
    return YES if known is not None and use.first == FIRST else UNKNOWN


def _sign(
    found: Signatures, index: dict[tuple[object, ...], int], application: Application, first: int, areas: Areas
) -> int:
    step = application.step
    area = areas.mask(step.areas, step.without)
    contact = application.contact
    key = (application.product.key, contact.kind, contact.minutes, area, step.amount, first)
    number = index.get(key)
    if number is None:
        signature = Signature(application.product, None, contact, area, step.amount, first)
        number = index[key] = _add_application(found, signature)
        bit = 1 << number
        if first == YES:
            found.first_yes |= bit
        if first != NO:
            found.first_possible |= bit
    return number


def _add_application(found: Signatures, signature: Signature) -> int:
    number = _add(found, signature)
    kind = signature.contact.kind
    found.products |= 1 << number
    found.contacts[kind] = found.contacts.get(kind, 0) | 1 << number
    return number


def _add(found: Signatures, signature: Signature) -> int:
    found.items.append(signature)
    found.uses.append([])
    return len(found.items) - 1
