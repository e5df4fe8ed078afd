"""Reading which days: day numbers, weekdays, ``every K days``, ``not tuesday``; and lengths of cycles."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from math import lcm

from dermalint.regimen.model import Days
from dermalint.regimen.notes import Notes, excerpt, listed, meant
from dermalint.regimen.shapes import group_of
from dermalint.regimen.tree import Mapping, Node, Sequence
from dermalint.regimen.values import days_long_of, read_date, read_text

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
LONGEST_PERIOD = 366  # days; a line that repeats later than that is not laid out
_EACH = frozenset(("every", "every day", "daily"))


@dataclass(slots=True)
class Turns:
    """The cycle (or cycles) that days are counted in, and how long it takes until everything comes round again.

    ``weekdays_count`` says that weekday names may be used whatever the cycle (events on a line with a calendar).
    """

    cycles: tuple[int, ...]
    starts: date | None
    dated: bool  # whether the file says when it starts, even where the date is wrong
    weekdays_count: bool = False
    periods: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        if not self.periods:
            self.periods = list(self.cycles)

    def join(self, every: int) -> int | None:
        """Take up something that comes every so many days; the period when that makes it too long."""
        joined = [lcm(period, every) for period in self.periods]
        if joined and max(joined) > LONGEST_PERIOD:
            return max(joined)
        self.periods = joined
        return None


def read_days(notes: Notes, node: Node, turns: Turns, anchor: Node | None = None) -> Days | None:
    """The days of a routine or an event; None when nothing of them could be read."""
    place = notes.place(node)
    if isinstance(node, Mapping):
        group = group_of(notes, node, "`days`", ("every", "anchor"), "days: {every: 2 days, anchor: 2026-03-02}")
        every = None if group is None else group.value("every")
        if every is None or group is None:
            if group is not None:
                notes.error(
                    node, "These `days` do not say which.", "Write it like `days: {every: 2 days, anchor: 2026-03-02}`."
                )
            return None
        if anchor is None:
            anchor = group.value("anchor")
        text = read_text(notes, every, "`every`", "every: 2 days")
        return None if text is None else _every(notes, every, text.removeprefix("every "), turns, anchor)
    if isinstance(node, Sequence):
        if not node.items:
            notes.error(node, "`days` is an empty list.", "Name the days, or leave `days` out for every day.")
            return None
        chosen = [(item, text) for item in node.items if (text := read_text(notes, item, "A day", "monday")) is not None]
        return _unanchored(notes, _chosen(notes, node, chosen, turns, negated=False), anchor)
    text = read_text(notes, node, "`days`", "days: [monday, thursday]")
    if text is None:
        return None
    if text in _EACH:
        return _unanchored(notes, Days(place=place), anchor)
    if text.startswith("every "):
        return _every(notes, node, text[6:].strip(), turns, anchor)
    negated = text.startswith("not ")
    inner = text[4:].strip() if negated else text
    if inner.startswith("[") and inner.endswith("]"):
        inner = inner[1:-1]
    names = [part.strip() for part in inner.replace(" and ", ",").split(",") if part.strip()]
    return _unanchored(notes, _chosen(notes, node, [(node, name) for name in names], turns, negated=negated), anchor)


def _unanchored(notes: Notes, days: Days | None, anchor: Node | None) -> Days | None:
    if anchor is not None:
        notes.error(anchor, "`anchor` belongs to `every … days`.", "Write it like `days: {every: 2 days, anchor: 2026-03-02}`.")
    return days


def _every(notes: Notes, node: Node, text: str, turns: Turns, anchor: Node | None) -> Days | None:
    place = notes.place(node)
    if text in WEEKDAYS:
        return _unanchored(notes, _chosen(notes, node, [(node, text)], turns, negated=False), anchor)
    every = 1 if text == "day" else days_long_of(notes, node, text, "every", "2 days")
    if every is None:
        return None
    since: date | None = None
    if anchor is not None:
        since = read_date(notes, anchor, "anchor")
        if since is None:
            return None
        if not turns.dated:
            notes.error(
                anchor, "`anchor` is a date, and this regimen has no `starts`.", "Say when it begins: `starts: 2026-03-02`."
            )
            return None
    period = turns.join(every)
    if period is not None:
        notes.error(
            node,
            f"Every {every} days and the rest come round again only after {period} days; {LONGEST_PERIOD} is the most.",
            f"Choose a number of days that fits the cycle of {' and '.join(str(cycle) for cycle in turns.cycles)} days.",
        )
        return None
    return Days(every=every, anchor=since, place=place)


def _chosen(notes: Notes, node: Node, chosen: list[tuple[Node, str]], turns: Turns, *, negated: bool) -> Days | None:
    """Days named one by one; those that cannot be meant are noted and left out."""
    numbers: list[int] = []
    weekdays: list[int] = []
    longest = max(turns.cycles, default=7)
    for item, text in chosen:
        if text in WEEKDAYS:
            if 7 not in turns.cycles and not turns.weekdays_count:
                notes.error(
                    item,
                    f"`{text}` needs a cycle of 7 days; this one has {longest}.",
                    f"Number the days instead, 1 to {longest}, or write `cycle: 7 days`.",
                )
            elif WEEKDAYS.index(text) + 1 not in weekdays:
                weekdays.append(WEEKDAYS.index(text) + 1)
        elif text.isascii() and text.isdigit():
            number = int(text) if len(text) < 5 else 0
            if not 1 <= number <= longest:
                notes.error(
                    item,
                    f"Day {excerpt(text)} lies outside the cycle of {longest} days.",
                    f"The days of this cycle are 1 to {longest}.",
                )
            elif number not in numbers:
                numbers.append(number)
        else:
            notes.error(
                item,
                f"`{excerpt(text)}` is no day.",
                meant(text, WEEKDAYS, "Write weekdays (`monday`), day numbers, `every 2 days` or `not tuesday`."),
            )
    if not numbers and not weekdays:
        if not chosen:
            notes.error(node, "These `days` do not say which.", "Write it like `days: [monday, thursday]`.")
        return None
    if numbers and weekdays:
        notes.error(
            node,
            "These days are named in part and numbered in part.",
            f"Use names only, such as {listed(WEEKDAYS[:2])}, or numbers only.",
        )
        return None
    if weekdays and 7 not in turns.cycles:
        turns.join(7)
    if negated and (len(weekdays) == 7 or len(numbers) == longest):
        notes.error(node, "These `days` leave no day at all.", "Name the days that are meant.")
        return None
    return Days(numbers=tuple(numbers), weekdays=tuple(weekdays), negated=negated, place=notes.place(node))


def read_cycle(notes: Notes, node: Node | None, *, wished: bool) -> int:
    """The length of a cycle in days, 7 where nothing readable is stated.

    ``wished``: the file has wishes, so that the cycle may be left to be found (``fixed``, ``any up to 8 days``).
    """
    if node is None:
        return 7
    text = read_text(notes, node, "`cycle`", "cycle: 7 days")
    if text is None:
        return 7
    if text == "fixed" or text.startswith("any up to "):
        if not wished:
            notes.error(node, f"`cycle: {excerpt(text)}` is for files with `wishes`.", "Write it like `cycle: 7 days`.")
        elif text != "fixed":
            days_long_of(notes, node, text[10:].strip(), "cycle", "any up to 8 days")
        return 7
    return days_long_of(notes, node, text, "cycle", "7 days") or 7
