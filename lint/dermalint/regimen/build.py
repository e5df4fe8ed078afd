"""From a file's tree to its regimens: one, or one for each of several people."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from math import lcm

from dermalint.regimen.days import Turns, read_cycle
from dermalint.regimen.declared import FIXED_SLOTS, Declared
from dermalint.regimen.history import read_history, read_waivers
from dermalint.regimen.model import DayClock, Person, Phase, Product, Regimen
from dermalint.regimen.notes import Notes
from dermalint.regimen.person import read_person
from dermalint.regimen.products import read_products
from dermalint.regimen.routines import read_phases, read_routines
from dermalint.regimen.shapes import Group, group_of
from dermalint.regimen.surroundings import own_slots, read_clocks, read_events, read_outdoors
from dermalint.regimen.tree import Entry, Mapping, Node, Sequence
from dermalint.regimen.wishes import read_wished_cycle, read_wishes
from dermalint.spans import Place

OWN_FIELDS = (
    "about",
    "starts",
    "region",
    "stance",
    "person",
    "use",
    "products",
    "day",
    "cycle",
    "routines",
    "phases",
    "events",
    "outdoors",
    "history",
    "waivers",
    "wishes",
)
FIELDS = ("regimen", *OWN_FIELDS, "people")
STANCES = ("usual", "strict")
_JOINED = ("events", "outdoors", "waivers", "use")  # lists to which a person's own add; other fields replace the shared ones
_EXAMPLE = "regimen: Calm evenings"

Shelf = Callable[[Node], tuple[dict[str, Product], bool]]
"""Reads the products of the files named under ``use``, and says whether all of them could be read."""


def build_regimens(notes: Notes, root: Node, shelf: Shelf) -> tuple[Regimen, ...]:
    """The regimens of a file; none when it is not even a group of fields."""
    group = group_of(notes, root, "A regimen file", FIELDS, _EXAMPLE)
    if group is None:
        return ()
    if "regimen" not in group:
        first = next(iter(group.entries.values()), None)
        place = notes.place(group.node if first is None else first.key)._replace(pointer="")
        notes.error_at(place, "The regimen has no title.", f"Begin with `{_EXAMPLE}`.")
    title = group.text("regimen", "Calm evenings") or ""
    people = group.value("people")
    used: set[str] = set()
    declared: dict[str, Product] = {}
    if people is None:
        regimens: list[Regimen] = [_regimen(notes, group, title, None, notes.place(group.node), shelf, used)]
    else:
        regimens = _people(notes, group, people, title, shelf, used)
    for regimen in regimens:
        for key, product in regimen.products.items():
            if product.place.path is None:
                declared.setdefault(key, product)
    written = "wishes" in group or any(phase.routines for regimen in regimens for phase in regimen.phases)
    for key, product in declared.items() if written or people is not None else ():
        if key not in used:
            notes.hint_at(product.place, f"`{key}` is declared and never used.", "Use it in a step, or take it out.")
    return tuple(regimens)


def _people(notes: Notes, shared: Group, people: Node, title: str, shelf: Shelf, used: set[str]) -> list[Regimen]:
    example = "people: {anna: {person: {age: 34}, routines: [ … ]}}"
    if not isinstance(people, Mapping) or not people.entries:
        notes.error(people, "`people` is a group of people, each under a name.", f"Write it like `{example}`.")
        return []
    regimens: list[Regimen] = []
    for name, (key, value) in people.entries.items():
        own = group_of(notes, value, f"`{name}` under `people`", OWN_FIELDS, example)
        if own is None:
            continue
        entries = {field: entry for field, entry in shared.entries.items() if field != "people"}
        for field, entry in own.entries.items():
            entries[field] = _joined(field, entries.get(field), entry)
        # Alternatives exclude each other: somebody's own phases take the place of the shared routines, and the other way round.
        if "phases" in own:
            for field in ("routines", "cycle"):
                if field not in own:
                    entries.pop(field, None)
        elif "routines" in own:
            entries.pop("phases", None)
        merged = Group(notes, Mapping(entries, key.start, key.end, key.pointer))
        regimens.append(_regimen(notes, merged, title, name, notes.place(key), shelf, used))
    return regimens


def _joined(field: str, shared: Entry | None, own: Entry) -> Entry:
    if shared is None:
        return own
    before, after = shared.value, own.value
    if field in _JOINED and isinstance(before, Sequence) and isinstance(after, Sequence):
        return own._replace(value=after._replace(items=before.items + after.items))
    if field == "products" and isinstance(before, Mapping) and isinstance(after, Mapping):
        return own._replace(value=after._replace(entries={**before.entries, **after.entries}))
    return own


def _regimen(
    notes: Notes, group: Group, title: str, person_name: str | None, place: Place, shelf: Shelf, used: set[str]
) -> Regimen:
    starts = group.date("starts")
    dated = "starts" in group
    wished = "wishes" in group
    declared = _declared(notes, group, shelf, place)
    phases = _phases(notes, group, declared, starts, place, wished=wished)
    cycles = tuple(dict.fromkeys(phase.cycle for phase in phases)) or (7,)
    periods = [lcm(phase.cycle, *(routine.days.every or 1 for routine in phase.routines)) for phase in phases]
    turns = Turns(cycles, starts, dated, weekdays_count=dated, periods=periods)
    events, outdoors = group.value("events"), group.value("outdoors")
    history, waivers, wishes = group.value("history"), group.value("waivers"), group.value("wishes")
    person, day = group.value("person"), group.value("day")
    wished_cycle, longest_cycle = (None, None) if wishes is None else read_wished_cycle(notes, group.value("cycle"))
    regimen = Regimen(
        title=title,
        products=declared.products,
        phases=phases,
        place=place,
        about=group.text("about", "For the introductory class."),
        starts=starts,
        region=group.name("region", "eu"),
        stance=group.word("stance", STANCES),
        person_name=person_name,
        person=Person() if person is None else read_person(notes, person),
        clock=DayClock() if day is None else read_clocks(notes, day),
        events=() if events is None else read_events(notes, events, declared, turns),
        outdoors=() if outdoors is None else read_outdoors(notes, outdoors, turns),
        history=None if history is None else read_history(notes, history, declared),
        waivers=() if waivers is None else read_waivers(notes, waivers, declared),
        wishes=() if wishes is None else read_wishes(notes, wishes, declared),
        wished_cycle=wished_cycle,
        longest_cycle=longest_cycle,
    )
    used |= declared.used
    return regimen


def _declared(notes: Notes, group: Group, shelf: Shelf, place: Place) -> Declared:
    """The products in reach (a file's own before those of the files it uses) and the slots."""
    uses, own = group.value("use"), group.value("products")
    products, complete = ({}, True) if uses is None else shelf(uses)
    if own is not None:
        for key, product in read_products(notes, own).items():
            elsewhere = products.get(key)
            if elsewhere is not None:
                notes.hint_at(
                    product.place,
                    f"`{key}` is declared here and in {elsewhere.place.path}; this one counts.",
                    "Delete one of the two.",
                )
            products[key] = product
    elif uses is None:
        complete = False
        notes.error_at(place, "No products are declared.", "Add `products:`, or `use: [products.yaml]`.")
    return Declared(
        products, (*FIXED_SLOTS, *own_slots(group.value("day"))), trusted=complete and (own is None or isinstance(own, Mapping))
    )


def _phases(
    notes: Notes, group: Group, declared: Declared, starts: date | None, place: Place, *, wished: bool
) -> tuple[Phase, ...]:
    phases, routines, cycle = group.value("phases"), group.value("routines"), group.value("cycle")
    dated = "starts" in group
    if phases is not None:
        for field in ("routines", "cycle"):
            if field in group and not (field == "cycle" and wished):
                group.complain_of_name(field, f"`{field}` does not go with `phases`.", f"Move `{field}` into a phase.")
        return read_phases(notes, phases, declared, starts, dated=dated)
    days = read_cycle(notes, cycle, wished=wished)
    if routines is None:
        if not wished:
            notes.error_at(place, "No routines are written.", "Add `routines:` with a slot and steps, or `phases:`.")
        return ()
    found = read_routines(notes, routines, declared, Turns((days,), starts, dated))
    return (Phase(None, days, found, notes.place(routines)),)
