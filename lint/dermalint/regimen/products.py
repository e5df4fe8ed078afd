"""Reading declared products."""

from __future__ import annotations

import re
from collections.abc import Iterator

from dermalint.regimen.model import Contact, Content, Product
from dermalint.regimen.notes import Notes, excerpt, meant
from dermalint.regimen.shapes import Group, group_of, one_or_several, read_mention
from dermalint.regimen.tree import Entry, Mapping, Node, Scalar
from dermalint.regimen.values import (
    read_decimal,
    read_minutes,
    read_months,
    read_strength,
    read_text,
    read_whole,
)

FIELDS = (
    "name",
    "kind",
    "base",
    "contact",
    "ph",
    "spf",
    "filters",
    "broad-spectrum",
    "contains",
    "ingredients",
    "prescribed",
    "form",
    "made-up",
    "bought",
    "opened",
    "dispensed",
    "expires",
    "lasts-after-opening",
)
CONTACTS = ("left-on", "rinsed", "timed")
FILTERS = ("mineral", "organic", "both")
FORMS = ("plain", "encapsulated")
_DECIMALS = re.compile(r"[0-9]+ *%")
_BILLION = 1_000_000_000
_EXAMPLE = "night-cream: {kind: moisturiser, base: emulsion}"


def read_products(notes: Notes, node: Node) -> dict[str, Product]:
    """The products under ``products:``, by key; one with mistakes in it is there without them."""
    if not isinstance(node, Mapping):
        empty = isinstance(node, Scalar) and node.empty
        message = "`products` has nothing under it." if empty else "`products` is a group of products, each under its own name."
        notes.error(node, message, f"Write it like `{_EXAMPLE}`.")
        return {}
    return {key: _product(notes, key, entry) for key, entry in node.entries.items()}


def _product(notes: Notes, key: str, entry: Entry) -> Product:
    place = notes.place(entry.key)
    group = group_of(notes, entry.value, f"The product `{excerpt(key)}`", FIELDS, _EXAMPLE)
    if group is None:
        return Product(key, place)
    base = group.name("base", "water")
    contact = group.value("contact")
    contains = group.value("contains")
    ingredients = group.value("ingredients")
    label = group.text("ingredients", '"Aqua, Glycerin"')
    lasts = group.value("lasts-after-opening")
    return Product(
        key=key,
        place=place,
        name=group.text("name", "Night cream"),
        kinds=group.names("kind", "moisturiser"),
        base=base,
        contact=(read_contact(notes, contact) if contact is not None else None) or Contact(),
        ph=_measure(group, "ph", 0, 14, "3.8"),
        spf=_spf(group),
        filters=group.word("filters", FILTERS),
        broad_spectrum=group.truth("broad-spectrum"),
        contains=read_contents(notes, contains) if contains is not None else (),
        ingredients=label,
        ingredients_place=notes.place(ingredients) if ingredients is not None and label is not None else None,
        prescribed=group.truth("prescribed") or False,
        form=group.word("form", FORMS) or "plain",
        made_up=group.truth("made-up") or False,
        bought=group.date("bought"),
        opened=group.date("opened"),
        dispensed=group.date("dispensed"),
        expires=group.date("expires"),
        lasts_after_opening_months=(
            read_months(notes, lasts, "lasts-after-opening", "12 months", 120) if lasts is not None else None
        ),
    )


def _measure(group: Group, field: str, lowest: int, highest: int, example: str) -> int | None:
    node = group.value(field)
    return None if node is None else read_decimal(group.notes, node, field, lowest, highest, example)


def _spf(group: Group) -> int | None:
    node = group.value("spf")
    number = None if node is None else read_whole(group.notes, node, "spf", 1, 100, "50")
    return None if number is None else number * _BILLION


def read_contact(notes: Notes, node: Node) -> Contact | None:
    """``left-on``, ``rinsed``, ``{rinsed: 2 min}`` or ``{timed: 10 min}``."""
    if isinstance(node, Mapping):
        group = group_of(notes, node, "`contact`", CONTACTS[1:], "contact: {timed: 10 min}")
        stated = [name for name in CONTACTS[1:] if name in node.entries]
        if group is None or len(stated) != 1 or len(node.entries) != 1:
            if len(stated) == len(node.entries):
                notes.error(node, "`contact` says exactly one thing.", "Write it like `contact: {timed: 10 min}`.")
            return None
        minutes = read_minutes(notes, node.entries[stated[0]].value, stated[0])
        return None if minutes is None else Contact(stated[0], minutes)
    text = read_text(notes, node, "`contact`", "contact: rinsed")
    if text is None:
        return None
    if text == "timed":
        notes.error(node, "`contact: timed` does not say how long.", "Write it like `contact: {timed: 10 min}`.")
        return None
    if text not in CONTACTS:
        notes.error(
            node,
            f"`contact` can be `left-on`, `rinsed` or `{{timed: 10 min}}`, not `{excerpt(text)}`.",
            meant(text, CONTACTS, "Write `left-on` for what stays on the skin and `rinsed` for what is washed off."),
        )
        return None
    return Contact(text)


def _without_commas(notes: Notes, contents: Mapping) -> Iterator[tuple[str, Entry]]:
    """The entries of ``contains``, but those that a decimal comma between brackets has made of one strength."""
    entries = list(contents.entries.items())
    number = 0
    while number < len(entries):
        name, entry = entries[number]
        behind = entries[number + 1][0] if number + 1 < len(entries) else ""
        value = entry.value
        if isinstance(value, Scalar) and value.text.isdecimal() and _DECIMALS.fullmatch(behind):
            figure = f"{value.text}.{behind.rstrip('%').rstrip()} %"
            notes.error(value, "Decimals are written with a point; a comma ends the substance.", f"Write `{name}: {figure}`.")
            number += 1
        else:
            yield name, entry
        number += 1


def read_contents(notes: Notes, node: Node) -> tuple[Content, ...]:
    """Substances with their strengths, or a list of names without."""
    found: dict[str, Content] = {}
    for item in one_or_several(node):
        if isinstance(item, Mapping):
            contents = [
                Content(name, read_strength(notes, value, name), notes.place(key))
                for name, (key, value) in _without_commas(notes, item)
            ]
        else:
            mention = read_mention(notes, item, "`contains`", "contains: {lactic-acid: 8 %}")
            contents = [] if mention is None else [Content(mention.name, None, mention.place)]
        for content in contents:
            if content.name in found:
                notes.error_at(content.place, f"`{content.name}` is named twice in this product.", "Keep one of the two.")
            else:
                found[content.name] = content
    return tuple(found.values())
