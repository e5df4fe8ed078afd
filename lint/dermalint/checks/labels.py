"""Labels' lists as contents: what `ingredients` adds to what a file states under `contains` and `base`.

Decisions, where the format leaves them open:

- A list is read once a product, before anything is judged.  What it names is certainly in the product; how strong, it does
  not say, except as its order proves or a panel of active ingredients states.
- A name that the vocabulary does not have is not known to be anything: it belongs to no family, not even possibly.  A list
  with a few plant extracts would otherwise possibly break every rule.
- What stands under "may contain" possibly is in the product, and no rule about strengths counts it.
- An acid that mostly sets the pH (family `ph-adjuster`) is no exfoliating acid where it stands behind the first five names,
  in a list without an order of weight, or where the order proves it to be at most 1 %; it is then taken as at most 1 %.
  Among the first five names it may be either (common practice, no published source).  A strength on the label, or naming
  it under `contains`, makes it an acid like any other.
- `contains` and `base` win over the list.  A listed member of a family whose total is stated is part of that total.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from dermalint.checks.contents import ADJUSTER, EXFOLIATING, FROM_LABEL, UNCLEAR, Listed
from dermalint.regimen.model import HINT, Content, Mention, Problem, Product, Regimen
from dermalint.spans import Place
from dermalint.vocabulary.world import World, resolve_content
from dermalint_grammar.nodes import BILLION
from dermalint_grammar.record import replace

if TYPE_CHECKING:
    from dermalint.vocabulary.label import Entry, Label

PH_ADJUSTER = "ph-adjuster"
FIRST_NAMES = 5


def with_labels(regimen: Regimen, world: World) -> tuple[Regimen, tuple[Problem, ...]]:
    """The regimen with what its labels say among its products' contents, and a hint for each label that is mostly unknown."""
    if all(product.ingredients is None for product in regimen.products.values()):
        return regimen, ()
    from dermalint.vocabulary.label import read_label  # its patterns take time to build; most files have no list

    products: dict[str, Product] = {}
    problems: list[Problem] = []
    for key, product in regimen.products.items():
        products[key] = product
        if product.ingredients is not None:
            label = read_label(product.ingredients, world)
            products[key] = label_product(product, label, world)
            if 2 * len(label.unknown) > len(label.entries):
                problems.append(_mostly_unknown(product, label))
    return replace(regimen, products=products), tuple(problems)


def label_product(product: Product, label: Label, world: World) -> Product:
    """A product with its label's contents behind its own, and the label's base where none is stated."""
    place = product.ingredients_place or product.place
    stated = {resolve_content(content.name, world): content for content in product.contains}
    listed = list(_listed(product, label, world, stated))
    weaker = {content.name: content for content in listed if content.name in stated}
    contains = [_better(content, weaker.get(resolve_content(content.name, world) or "")) for content in product.contains]
    base = product.base
    if base is None and label.base is not None and label.base in world.bases:
        base = Mention(label.base, place, detail=FROM_LABEL)
    more = (content for content in listed if content.name not in stated)
    return replace(product, contains=(*contains, *more), base=base)


def _better(content: Content, listed: Listed | None) -> Content:
    """A stated content; where it has no strength, with the one or the bound that the label gives."""
    if content.strength is not None or listed is None or listed.optional:
        return content
    if listed.strength is None and listed.at_most is None:
        return content
    at_most = None if listed.role is not None else listed.at_most
    return replace(listed, name=content.name, place=content.place, at_most=at_most, role=None)


def _listed(product: Product, label: Label, world: World, stated: dict[str | None, Content]) -> Iterator[Listed]:
    seen: set[str] = set()
    totals = {key for key, content in stated.items() if key in world.families and content.strength is not None}
    named = [entry for entry in label.entries if not entry.optional]
    early = {entry.start for entry in named[:FIRST_NAMES]} if label.ordered else set()
    # A name twice, and once for certain, is certain: optional ones come last.
    for entry in (*named, *(entry for entry in label.entries if entry.optional)):
        if entry.key is None or entry.key in seen:
            continue
        seen.add(entry.key)
        families = world.ancestors.get(entry.key, frozenset())
        role, at_most, note = None, entry.at_most, _note(entry)
        if entry.strength is None and PH_ADJUSTER in families and EXFOLIATING in families:
            role = UNCLEAR if entry.start in early and at_most is None else ADJUSTER
            if role == ADJUSTER and at_most is None:
                at_most = BILLION
                note = "taken as setting the pH, so at most 1 %"
        total = next((stated[key] for key in sorted(totals & families, key=str)), None)
        yield Listed(
            name=entry.key,
            strength=entry.strength if not entry.optional else None,
            place=entry_place(product, entry),
            note=note,
            at_most=at_most if total is None or at_most is not None else total.strength,
            optional=entry.optional,
            part_of=None if total is None else total.name,
            role=role,
        )


def _note(entry: Entry) -> str:
    if entry.optional:
        return "under “may contain”"
    return f"listed after {entry.after}, so at most 1 %" if entry.after is not None else ""


def entry_place(product: Product, entry: Entry) -> Place:
    """Where a name of a label stands: exactly for a text on one line, else where the whole list does."""
    place = product.ingredients_place
    text = product.ingredients
    if place is None or text is None:
        return product.place
    quotes = place.end - place.start - len(text)  # none, or two; more where the file writes the text otherwise
    if quotes not in (0, 2):
        return place
    start = place.start + quotes // 2
    return place._replace(start=start + entry.start, end=start + entry.end)


def _mostly_unknown(product: Product, label: Label) -> Problem:
    count, names = len(label.unknown), len(label.entries)
    message = f"On the label of {product.key}, {count} of {names} names were not recognised; nothing is concluded from them."
    if names == 1:
        message = f"The one name on the label of {product.key} was not recognised; nothing is concluded from it."
    return Problem(
        HINT,
        message,
        "Name what matters under `contains`, for example `contains: {lactic-acid: 8 %}`.",
        product.ingredients_place or product.place,
    )
