"""Reading what surrounds the routines: the day's clocks, events, and time outdoors."""

from __future__ import annotations

from dermalint.regimen.days import Turns, read_days
from dermalint.regimen.declared import FIXED_SLOTS, Declared
from dermalint.regimen.model import DayClock, Event, Outdoors, OwnSlot
from dermalint.regimen.notes import Notes, excerpt, meant
from dermalint.regimen.shapes import Group, group_of, items_of
from dermalint.regimen.tree import Mapping, Node, Scalar
from dermalint.regimen.values import read_clock, read_days_long, read_whole, read_word

CLOCKS = (*FIXED_SLOTS, "bed")
EVENT_FIELDS = ("event", "on", "at", "areas", "every", "from", "times", "slot", "days")
OUTDOOR_FIELDS = ("days", "dates", "from", "to", "indoors", "behind", "covered")
BEHIND = ("window",)
_OWN = '{after-sport: {at: "18:00", counts-as: afternoon}}'
_EVENT = "{event: waxing, on: 2026-03-14}"
_OUTDOORS = '{days: every, from: "08:30", to: "09:10"}'
_STARTS = "Say when the regimen begins: `starts: 2026-03-02`."


def read_clocks(notes: Notes, node: Node) -> DayClock:
    """The clocks under ``day``: those of the fixed slots and of bed, and slots of the file's own."""
    if not isinstance(node, Mapping):
        notes.error(node, "`day` gives slots their clocks.", 'Write it like `day: {morning: "07:00", evening: "21:30"}`.')
        return DayClock()
    stated: dict[str, int] = {}
    own: list[OwnSlot] = []
    for name, (key, value) in node.entries.items():
        if name in CLOCKS:
            clock = read_clock(notes, value, name)
            if clock is not None:
                stated[name] = clock
        elif isinstance(value, Scalar):
            notes.error(
                key,
                f"`{excerpt(name)}` is a slot of this file's own and does not say what it counts as.",
                meant(name, CLOCKS, f"Write it like `{_OWN}`."),
            )
        else:
            slot = _own_slot(notes, name, key, value)
            if slot is not None:
                own.append(slot)
    return DayClock(stated, tuple(own))


def own_slots(node: Node | None) -> tuple[str, ...]:
    """The names of a file's own slots, those with mistakes too: a routine in one of them needs no second complaint."""
    if not isinstance(node, Mapping):
        return ()
    return tuple(name for name in node.entries if name not in CLOCKS)


def _own_slot(notes: Notes, name: str, key: Scalar, node: Node) -> OwnSlot | None:
    group = group_of(notes, node, f"The slot `{excerpt(name)}`", ("at", "counts-as"), _OWN)
    if group is None:
        return None
    at, counts_as = group.clock("at"), group.word("counts-as", FIXED_SLOTS)
    for field in ("at", "counts-as"):
        if field not in group:
            notes.error(key, f"The slot `{excerpt(name)}` has no `{field}`.", f"Write it like `{_OWN}`.")
    if at is None or counts_as is None:
        return None
    return OwnSlot(name, at, counts_as, notes.place(key))


def read_events(notes: Notes, node: Node, declared: Declared, turns: Turns) -> tuple[Event, ...]:
    """The events; those that do not say when are noted and left out."""
    found = (_event(notes, item, declared, turns) for item in items_of(notes, node, "`events`", f"- {_EVENT}"))
    return tuple(event for event in found if event is not None)


def _event(notes: Notes, node: Node, declared: Declared, turns: Turns) -> Event | None:
    group = group_of(notes, node, "An event", EVENT_FIELDS, f"- {_EVENT}")
    if group is None:
        return None
    if "event" not in group:
        notes.error(group.node, "This event has no name.", f"Write it like `{_EVENT}`.")
    name = group.name("event", "waxing")
    at = group.clock("at")
    place = notes.place(group.node)
    areas = group.names("areas", "[upper-lip]")
    sound = name is not None and not ("at" in group and at is None)
    ways = [field for field in ("on", "every", "slot") if field in group] or [
        field for field in ("days",) if field in group and "at" in group
    ]
    if len(ways) != 1:
        message = "This event does not say when it is." if not ways else f"This event says in {len(ways)} ways when it is."
        suggestion = "Write `on` with a date; or `every` with `from`; or `slot` with `days`."
        notes.error(group.node, message, suggestion)
        return None
    way = ways[0]
    allowed = {"on": (), "every": ("from", "times"), "slot": ("days",), "days": ("days",)}[way]
    for field in ("from", "times", "days"):
        if field in group and field not in allowed:
            group.complain_of_name(field, f"`{field}` does not go with `{way}`.", "Delete it, or make a second event of it.")
    if way in ("on", "every") and not turns.dated:
        group.complain_of_name(way, "This event has a date, and the regimen has no `starts`.", _STARTS)
        sound = False
    if way == "on":
        on = group.date("on")
        return Event(name, place, on=on, at=at, areas=areas) if sound and name is not None and on is not None else None
    if way == "every":
        every = read_days_long(notes, group.entries["every"].value, "every", "18 days")
        first = group.date("from")
        if "from" not in group:
            group.complain_of_name("every", "This event does not say from when on it recurs.", "Add `from: 2026-04-01`.")
        times_node = group.value("times")
        times = None if times_node is None else read_whole(notes, times_node, "times", 1, 366, "6")
        if not sound or name is None or every is None or first is None:
            return None
        return Event(name, place, every_days=every, first=first, times=times, at=at, areas=areas)
    slot = declared.slot(notes, group.name("slot", "morning"))
    days_node = group.value("days")
    days = None if days_node is None else read_days(notes, days_node, turns)
    if not sound or name is None or (way == "slot" and slot is None) or (days_node is not None and days is None):
        return None
    return Event(name, place, slot=slot, days=days, at=at, areas=areas)


def read_outdoors(notes: Notes, node: Node, turns: Turns) -> tuple[Outdoors, ...]:
    """Time in daylight, indoors, and covered areas."""
    found = (_outdoors(notes, item, turns) for item in items_of(notes, node, "`outdoors`", f"- {_OUTDOORS}"))
    return tuple(outdoors for outdoors in found if outdoors is not None)


def _outdoors(notes: Notes, node: Node, turns: Turns) -> Outdoors | None:
    group = group_of(notes, node, "An item of `outdoors`", OUTDOOR_FIELDS, f"- {_OUTDOORS}")
    if group is None:
        return None
    if not group.entries:
        notes.error(node, "This item of `outdoors` says nothing.", f"Write it like `{_OUTDOORS}`.")
        return None
    start, end = _hours(group)
    days_node = group.value("days")
    days = None if days_node is None else read_days(notes, days_node, turns)
    dates = group.dates("dates")
    sound = not (days_node is not None and days is None) and not ("dates" in group and not dates)
    if "dates" in group and not turns.dated:
        group.complain_of_name("dates", "`dates` stand in a regimen that has no `starts`.", _STARTS)
        sound = False
    elif "dates" in group and days_node is not None:
        group.complain_of_name("dates", "Write either `days` or `dates`.", "Make two items of it.")
        dates = ()
    indoors = group.truth("indoors")
    behind_node = group.value("behind")
    behind = None if behind_node is None else read_word(notes, behind_node, "behind", BEHIND)
    covered = group.names("covered", "[upper-arms]")
    for field, value in (("from", start), ("to", end), ("indoors", indoors), ("behind", behind), ("covered", covered or None)):
        # Half a statement about daylight would be a different one.
        sound = sound and not (field in group and value is None)
    if not sound:
        return None
    return Outdoors(notes.place(group.node), days, dates, start, end, indoors or False, behind, covered)


def _hours(group: Group) -> tuple[int | None, int | None]:
    start, end = group.clock("from"), group.clock("to")
    if start is not None and start == end:
        group.complain("to", "`from` and `to` are the same time.", f"Write it like `{_OUTDOORS}`.")
        return None, None
    return start, end
