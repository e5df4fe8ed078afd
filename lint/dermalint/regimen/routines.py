"""Reading routines, cycles and phases."""

from __future__ import annotations

from datetime import date, timedelta

from dermalint.regimen.days import Turns, read_cycle, read_days
from dermalint.regimen.declared import Declared
from dermalint.regimen.model import Days, Phase, Routine, Step
from dermalint.regimen.notes import Notes, excerpt
from dermalint.regimen.shapes import group_of, items_of
from dermalint.regimen.steps import read_step
from dermalint.regimen.tree import Node
from dermalint.regimen.values import BILLION, days_long_of, read_text, split_length

ROUTINE_FIELDS = ("slot", "days", "dates", "anchor", "at", "only-if", "steps")
PHASE_FIELDS = ("for", "cycle", "routines")
LONGEST_PHASE = 3660  # days
_ROUTINE = "{slot: evening, steps: [foam-wash]}"
_PHASE = "{for: 2 weeks, cycle: 7 days, routines: [ … ]}"
_STARTS = "Say when the regimen begins: `starts: 2026-03-02`."


def read_routines(notes: Notes, node: Node, declared: Declared, turns: Turns) -> tuple[Routine, ...]:
    """The routines of a list; those whose slot or days cannot be read are noted and left out."""
    found = (_routine(notes, item, declared, turns) for item in items_of(notes, node, "`routines`", f"- {_ROUTINE}"))
    return tuple(routine for routine in found if routine is not None)


def _routine(notes: Notes, node: Node, declared: Declared, turns: Turns) -> Routine | None:
    group = group_of(notes, node, "A routine", ROUTINE_FIELDS, f"- {_ROUTINE}")
    if group is None:
        return None
    if "slot" not in group:
        notes.error(group.node, "This routine does not say when in the day it is.", "Add `slot: morning` or `slot: evening`.")
    slot = declared.slot(notes, group.name("slot", "evening"))
    days: Days | None = Days()
    days_node, dates_node, anchor = group.value("days"), group.value("dates"), group.value("anchor")
    dates: tuple[date, ...] = ()
    if dates_node is not None:
        dates = group.dates("dates")
        if not turns.dated:
            group.complain("dates", "`dates` stand in a regimen that has no `starts`.", _STARTS)
            days = None
        elif days_node is not None:
            group.complain_of_name("dates", "A routine has either `days` or `dates`.", "Make two routines of it.")
        elif not dates:
            days = None
    if days_node is not None:
        dates = ()
        days = read_days(notes, days_node, turns, anchor)
    elif anchor is not None:
        notes.error(anchor, "`anchor` belongs to `every … days`.", "Write it like `days: every 2 days`, `anchor: 2026-03-02`.")
    steps: list[Step] = []
    steps_node = group.value("steps")
    if steps_node is None:
        notes.error(group.node, "This routine has no steps.", "Add `steps: [foam-wash, night-cream]`.")
    else:
        for item in items_of(notes, steps_node, "`steps`", "- foam-wash"):
            step = read_step(notes, item, declared)
            if step is not None:
                steps.append(step)
    at = group.clock("at")
    only_if = group.text("only-if", "going out")
    # A routine at an unknown time would be judged at a wrong one.
    if slot is None or days is None or ("at" in group and at is None):
        return None
    return Routine(slot, tuple(steps), notes.place(group.node), days, dates, at, only_if)


def read_phases(notes: Notes, node: Node, declared: Declared, starts: date | None, *, dated: bool) -> tuple[Phase, ...]:
    """The phases of a ramp or a programme, in order."""
    items = items_of(notes, node, "`phases`", f"- {_PHASE}")
    found: list[Phase] = []
    begins = starts
    for number, item in enumerate(items, start=1):
        group = group_of(notes, item, "A phase", PHASE_FIELDS, f"- {_PHASE}")
        if group is None:
            begins = None
            continue
        length_node = group.value("for")
        length = None if length_node is None else _length(notes, length_node, begins)
        cycle = read_cycle(notes, group.value("cycle"), wished=False)
        routines_node = group.value("routines")
        routines: tuple[Routine, ...] = ()
        if routines_node is None:
            notes.error(group.node, "This phase has no routines.", f"Write it like `{_PHASE}`; `routines: []` is a pause.")
        else:
            routines = read_routines(notes, routines_node, declared, Turns((cycle,), begins, dated))
        if length is None and number < len(items):
            if length_node is None:
                notes.error(
                    group.node, "Only the last phase may go on for ever; this one has others after it.", "Add `for: 2 weeks`."
                )
            begins = None
            continue
        begins = None if begins is None or length is None else _later(begins, length)
        if length is not None or length_node is None:
            found.append(Phase(length, cycle, routines, notes.place(group.node)))
    return tuple(found)


def _later(day: date, days: int) -> date | None:
    try:
        return day + timedelta(days=days)
    except OverflowError:
        return None


def _length(notes: Notes, node: Node, begins: date | None) -> int | None:
    """The days of a phase.  A month is a calendar month when the phase's first day is known, else 30 days."""
    text = read_text(notes, node, "`for`", "for: 2 weeks")
    if text is None:
        return None
    parts = split_length(text)
    if parts is None or parts[1] not in ("month", "months") or parts[0] % BILLION:
        return days_long_of(notes, node, text, "for", "2 weeks", LONGEST_PHASE)
    months = parts[0] // BILLION
    if not 1 <= months <= LONGEST_PHASE // 30:
        notes.error(node, f"`for: {excerpt(text)}` is no length that can be meant.", "Write it like `for: 2 weeks`.")
        return None
    if begins is None:
        return months * 30
    year, month = divmod(begins.year * 12 + begins.month - 1 + months, 12)
    for day in range(begins.day, 0, -1):
        try:
            return (date(year, month + 1, day) - begins).days
        except ValueError:
            continue
    return months * 30
