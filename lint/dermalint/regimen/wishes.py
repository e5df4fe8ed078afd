"""Reading what is wished of a regimen that is to be arranged."""

from __future__ import annotations

import re

from dermalint.regimen.days import WEEKDAYS
from dermalint.regimen.declared import FIXED_SLOTS, Declared
from dermalint.regimen.model import Mention, Often, Stage, Wish
from dermalint.regimen.notes import Notes, excerpt, meant
from dermalint.regimen.shapes import Group, group_of, items_of, one_or_several
from dermalint.regimen.tree import Node
from dermalint.regimen.values import DAY_UNITS, days_long_of, read_days_long, read_text, read_whole

COUNTED = ("mornings", "middays", "afternoons", "evenings", "days")
WISH_FIELDS = ("product", *COUNTED, "prefer", "not-before", "ramp", "after", "keep-free", "introduce", "priority")
MOST_STAGES = 12
_EXAMPLE = "- {product: night-cream, evenings: 3 per week}"
_OFTEN = "3 per week"
_RATE = re.compile(r"(?:(\d{1,3}) to )?(\d{1,3}) (?:times? )?per (?:(day|week|cycle)|(\d{1,3}) (days?|weeks?))")
_STAGE = re.compile(r"(?:then )?(.*?)(?: for (\d{1,3}) (days?|weeks?))?")
_SINGULAR = {"mornings": "morning", "middays": "midday", "afternoons": "afternoon", "evenings": "evening"}


def read_wishes(notes: Notes, node: Node, declared: Declared) -> tuple[Wish, ...]:
    """The wishes; those that cannot be understood are noted and left out."""
    found = (_wish(notes, item, declared) for item in items_of(notes, node, "`wishes`", _EXAMPLE))
    return tuple(wish for wish in found if wish is not None)


def _wish(notes: Notes, node: Node, declared: Declared) -> Wish | None:
    group = group_of(notes, node, "A wish", WISH_FIELDS, _EXAMPLE)
    if group is None:
        return None
    before = len(notes.problems)
    product = declared.product(notes, group.name("product", "night-cream")) if "product" in group else None
    if "product" not in group and "keep-free" not in group and "introduce" not in group:
        notes.error(group.node, "This wish names neither a product nor what to keep free.", f"Write it like `{_EXAMPLE}`.")
        return None
    for field in group.entries:
        alone = field in ("keep-free", "introduce")
        if alone == ("product" in group) and field in WISH_FIELDS and field not in ("product", "priority"):
            group.complain_of_name(field, f"`{field}` stands in a wish of its own kind.", "Make two wishes of it.")
    often: list[Often] = []
    not_before = list(group.names("not-before", "night-cream"))
    for field in COUNTED:
        text = group.text(field, _OFTEN)
        if text is None:
            continue
        rate, *rest = (part.strip() for part in text.split(","))
        parsed = _parsed(rate, field)
        if parsed is None:
            _complain(group, field, rate)
            continue
        often.append(Often(field, *parsed))
        for part in rest:
            if part.startswith("not before ") and part[11:].strip():
                not_before.append(Mention(part[11:].strip(), notes.place(group.entries[field].value)))
            else:
                group.complain(
                    field,
                    f"`{excerpt(part)}` cannot be wished here.",
                    f"Write it like `{field}: 1 to 2 per week, not before night-cream`.",
                )
    wish = Wish(
        place=notes.place(group.node),
        product=product,
        often=tuple(often),
        not_before=tuple(not_before),
        prefer=group.names("prefer", '"the evening before a rest"'),
        ramp=_ramp(notes, group),
        after=_length(notes, group, "after", "4 weeks"),
        keep_free=_kept_free(notes, group),
        introduce=_length(notes, group, "introduce", "2 weeks"),
        priority=_priority(notes, group),
    )
    return wish if len(notes.problems) == before else None


def _parsed(text: str, counted: str) -> tuple[int, int, int | None] | None:
    """Least, most, and in how many days: of ``3 per week``, ``1 to 2 per week``, ``every``, ``every 2 days``."""
    if text in ("every", "every day", "daily") or text == f"every {_SINGULAR.get(counted, 'day')}":
        return 1, 1, 1
    if text.startswith("every "):
        number, _, unit = text[6:].partition(" ")
        if unit in DAY_UNITS and number.isascii() and number.isdigit() and 1 <= len(number) < 4 and int(number):
            return 1, 1, int(number) * DAY_UNITS[unit]
        return None
    match = _RATE.fullmatch(text)
    if match is None:
        return None
    most = int(match[2])
    least = int(match[1]) if match[1] else most
    if match[3]:
        days: int | None = {"day": 1, "week": 7, "cycle": None}[match[3]]
    else:
        days = int(match[4]) * DAY_UNITS[match[5]]
    if most < 1 or least > most or days == 0:
        return None
    return least, most, days


def _complain(group: Group, field: str, text: str) -> None:
    group.complain(
        field,
        f"`{field}` is how often, not `{excerpt(text)}`.",
        f"Write it like `{field}: 3 per week`, `{field}: 1 to 2 per week` or `{field}: every`.",
    )


def _ramp(notes: Notes, group: Group) -> tuple[Stage, ...]:
    node = group.value("ramp")
    if node is None:
        return ()
    example = "ramp: [1 per week for 2 weeks, 2 per week for 2 weeks, then 3 per week]"
    items = one_or_several(node)
    stages: list[Stage] = []
    for number, item in enumerate(items, start=1):
        text = read_text(notes, item, "A stage of `ramp`", example)
        match = None if text is None else _STAGE.fullmatch(text)
        rate = None if match is None else _parsed(match[1], "days")
        if text is None:
            continue
        if match is None or rate is None:
            notes.error(item, f"`{excerpt(text)}` is no stage of a ramp.", f"Write it like `{example}`.")
        elif (match[2] is None) != (number == len(items)):
            said = "does not say how long it lasts" if match[2] is None else "is the last one, which goes on"
            notes.error(item, f"The stage `{excerpt(text)}` {said}.", f"Write it like `{example}`.")
        else:
            lasts = None if match[2] is None else int(match[2]) * DAY_UNITS[match[3]]
            if lasts == 0:
                notes.error(item, "A stage lasts a day at least.", f"Write it like `{example}`.")
            stages.append(Stage(*rate, lasts))
    if len(items) > MOST_STAGES:
        notes.error(node, f"A ramp has at most {MOST_STAGES} stages.", f"Write it like `{example}`.")
    return tuple(stages)


def _kept_free(notes: Notes, group: Group) -> tuple[Mention, ...]:
    found = group.names("keep-free", "[sunday evening]")
    for name in found:
        if free_of(name.name) is None:
            words = name.name.split()
            near = meant(
                words[0] if words else "", (*WEEKDAYS, *FIXED_SLOTS), "Write it like `keep-free: [sunday evening, day 3]`."
            )
            notes.error_at(name.place, f"`{excerpt(name.name)}` names no day and no slot.", near)
    return found


def free_of(text: str) -> tuple[int | None, int | None, str | None] | None:
    """Weekday (Monday 1), number of the day, and slot of ``sunday evening``, ``day 3``, ``evening``; None for anything else."""
    words = text.split()
    weekday: int | None = None
    number: int | None = None
    if words and words[0] in WEEKDAYS:
        weekday = WEEKDAYS.index(words.pop(0)) + 1
    elif len(words) > 1 and words[0] == "day" and words[1].isascii() and words[1].isdigit() and len(words[1]) < 4:
        number = int(words[1])
        words = words[2:]
        if not number:
            return None
    slot = words.pop(0) if words and words[0] in FIXED_SLOTS else None
    if words or (weekday is None and number is None and slot is None):
        return None
    return weekday, number, slot


def _length(notes: Notes, group: Group, field: str, example: str) -> int | None:
    node = group.value(field)
    return None if node is None else read_days_long(notes, node, field, example)


def _priority(notes: Notes, group: Group) -> int | None:
    node = group.value("priority")
    return None if node is None else read_whole(notes, node, "priority", 1, 9, "1")


def read_wished_cycle(notes: Notes, node: Node | None) -> tuple[int | None, int | None]:
    """The cycle that is stated, and the longest that may be tried, in days; the readings' mistakes are noted elsewhere."""
    if node is None:
        return None, None
    quiet = Notes(notes.path)
    text = read_text(quiet, node, "`cycle`", "cycle: 7 days")
    if text is None or text == "fixed":
        return None, None
    if text.startswith("any up to "):
        return None, days_long_of(quiet, node, text[10:].strip(), "cycle", "any up to 8 days")
    return days_long_of(quiet, node, text, "cycle", "7 days"), None
