"""Occurrences in words: ``Monday and Thursday evenings``, ``day 3 of the 4-day cycle, evening``, ``14 March 2026, evening``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dermalint.verdict.findings import Occurrence

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
_SLOTS = ("morning", "midday", "afternoon", "evening")  # these have a plural; a slot of the file's own is left as it is


def when(occurs: Sequence[Occurrence], name_phases: bool) -> str:
    """All occurrences as one phrase, empty when there are none; ``name_phases`` where the regimen has more than one."""
    said: list[str] = []
    for phase in sorted({occurrence.phase for occurrence in occurs}):
        own = [occurrence for occurrence in occurs if occurrence.phase == phase]
        phrase = "; ".join([*_repeating(own), *_once(own), *_dated(own)])
        said.append(f"phase {phase}: {phrase}" if name_phases else phrase)
    return "; ".join(said)


def date_in_words(iso: str) -> str:
    """``2026-03-14`` as ``14 March 2026``; anything else as it is."""
    year, _, rest = iso.partition("-")
    month, _, day = rest.partition("-")
    if not (month.isascii() and month.isdigit() and day.isascii() and day.isdigit() and 1 <= int(month) <= 12):
        return iso
    return f"{int(day)} {_MONTHS[int(month) - 1]} {year}"


def listed(words: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _repeating(occurs: Iterable[Occurrence]) -> list[str]:
    """What comes again and again: slots that share their days are said together."""
    days: dict[tuple[int, str | None], dict[int, str | None]] = {}
    for occurrence in occurs:
        if occurrence.repeats is not None:
            days.setdefault((occurrence.repeats, occurrence.slot), {})[occurrence.day] = occurrence.weekday
    slots: dict[tuple[int, tuple[tuple[int, str | None], ...]], list[str | None]] = {}
    for (repeats, slot), on in days.items():
        slots.setdefault((repeats, tuple(sorted(on.items()))), []).append(slot)
    return [_cycle(repeats, dict(on), sorted(of, key=_slot_order)) for (repeats, on), of in slots.items()]


def _cycle(repeats: int, days: dict[int, str | None], slots: Sequence[str | None]) -> str:
    if len(days) >= repeats:
        return f"every {listed([slot or 'day' for slot in slots])}"
    names = [name for name in _WEEKDAYS if name in days.values()]
    if repeats == 7 and len(names) == len(days):
        return _weekly([name.capitalize() for name in names], slots)
    shown = _numbers(days) + f" of the {repeats}-day cycle"
    return shown + _slot_tail(slots)


def _weekly(names: Sequence[str], slots: Sequence[str | None]) -> str:
    if len(names) > 4:
        missing = [name.capitalize() for name in _WEEKDAYS if name.capitalize() not in names]
        return f"every {listed([slot or 'day' for slot in slots])} except {listed(missing)}"
    if all(slot in _SLOTS for slot in slots):
        return f"{listed(names)} {listed([f'{slot}s' for slot in slots])}"
    return listed([f"{name}s" for name in names]) + _slot_tail(slots)


def _once(occurs: Iterable[Occurrence]) -> list[str]:
    days: dict[str | None, dict[int, str | None]] = {}
    for occurrence in occurs:
        if occurrence.repeats is None and occurrence.date is None:
            days.setdefault(occurrence.slot, {})[occurrence.day] = occurrence.weekday
    return [_numbers(on) + _slot_tail([slot]) for slot, on in sorted(days.items(), key=lambda item: _slot_order(item[0]))]


def _dated(occurs: Iterable[Occurrence]) -> list[str]:
    slots: dict[str, dict[str | None, None]] = {}
    for occurrence in occurs:
        if occurrence.repeats is None and occurrence.date is not None:
            slots.setdefault(occurrence.date, {})[occurrence.slot] = None
    return [date_in_words(date) + _slot_tail(sorted(of, key=_slot_order)) for date, of in sorted(slots.items())]


def _numbers(days: dict[int, str | None]) -> str:
    """``day 9 (Tuesday)``, ``days 1, 3 and 5 to 8``."""
    if len(days) == 1:
        ((day, weekday),) = days.items()
        return f"day {day}" + (f" ({weekday.capitalize()})" if weekday else "")
    runs: list[list[int]] = []
    for day in sorted(days):
        if runs and runs[-1][-1] == day - 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    said: list[str] = []
    for run in runs:
        said += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(day) for day in run]
    return f"days {listed(said)}"


def _slot_tail(slots: Sequence[str | None]) -> str:
    named = [slot for slot in slots if slot]
    return f", {listed(named)}" if named else ""


def _slot_order(slot: str | None) -> tuple[int, str]:
    return (_SLOTS.index(slot) if slot in _SLOTS else len(_SLOTS), slot or "")
