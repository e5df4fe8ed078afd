"""Single values: numbers, strengths, dates, clock times, lengths of time, words out of a list.

Each reader gets a node and gives the value, or notes what is wrong and gives None.  Decimal numbers become whole billionths
without ever being a float.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from datetime import date

from dermalint.regimen.notes import Notes, excerpt, listed, meant
from dermalint.regimen.tree import Node, Scalar

BILLION = 1_000_000_000

_DECIMAL = re.compile(r"([0-9]{1,9})(?:\.([0-9]{1,9}))?")
_NUMBER_AND_WORD = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,9})?)[ \t]*([A-Za-z%]*)")
_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])")
_TWELVE_HOURS = re.compile(r"(0?[1-9]|1[0-2])(?:[:.]([0-5][0-9]))?[ \t]*([ap])\.?m\.?", re.IGNORECASE)
_DAY_FIRST = re.compile(r"([0-9]{1,2})[./-]([0-9]{1,2})[./-]([0-9]{4})")
_YEAR_FIRST = re.compile(r"([0-9]{4})[./-]([0-9]{1,2})[./-]([0-9]{1,2})")

# Seconds of the units that a length within a day may have.
SHORT_UNITS: Mapping[str, int] = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), 1),
    **dict.fromkeys(("min", "minute", "minutes"), 60),
    **dict.fromkeys(("h", "hour", "hours"), 3600),
}
DAY_UNITS: Mapping[str, int] = {"day": 1, "days": 1, "week": 7, "weeks": 7}
MONTH_UNITS: Mapping[str, int] = {"month": 1, "months": 1, "year": 12, "years": 12}
_TRUTHS = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_YES_NO = {"yes": "true", "on": "true", "y": "true", "no": "false", "off": "false", "n": "false"}


def billionths(text: str) -> int | None:
    """A decimal number in billionths, exactly: ``0.3`` is ``300_000_000``; None for anything else."""
    match = _DECIMAL.fullmatch(text)
    if match is None:
        return None
    return int(match[1]) * BILLION + int((match[2] or "").ljust(9, "0"))


def read_text(notes: Notes, node: Node, what: str, example: str) -> str | None:
    """A text that says something."""
    if not isinstance(node, Scalar):
        notes.error(node, f"{what} is a single text, not a list or a group of fields.", f"Write it like `{example}`.")
        return None
    text = node.text.strip()
    if not text or node.empty:
        notes.error(node, f"{what} has no value.", f"Write it like `{example}`, or take the line out.")
        return None
    return text


def read_word(notes: Notes, node: Node, field: str, words: Collection[str]) -> str | None:
    """One word out of a list."""
    text = read_text(notes, node, f"`{field}`", f"{field}: {next(iter(words))}")
    if text is None or text in words:
        return text
    notes.error(
        node, f"`{field}` can be {listed(words)}, not `{excerpt(text)}`.", meant(text, words, f"Write {listed(words)}.")
    )
    return None


def read_truth(notes: Notes, node: Node, field: str) -> bool | None:
    """``true`` or ``false``."""
    text = read_text(notes, node, f"`{field}`", f"{field}: true")
    if text is None:
        return None
    truth = _TRUTHS.get(text) if isinstance(node, Scalar) and node.plain else None
    if truth is None and text in _TRUTHS:
        notes.error(node, f"`{field}` is true or false without quotes.", f"Write `{field}: {text.lower()}`.")
    elif truth is None:
        said = _YES_NO.get(text.lower())
        notes.error(
            node,
            f"`{field}` is true or false, not `{excerpt(text)}`.",
            f"Write `{field}: {said}`." if said else f"Write `{field}: true` or `{field}: false`, without quotes.",
        )
    return truth


def read_decimal(notes: Notes, node: Node, field: str, lowest: int, highest: int, example: str) -> int | None:
    """A bare number from ``lowest`` to ``highest`` (whole numbers), in billionths."""
    text = read_text(notes, node, f"`{field}`", f"{field}: {example}")
    if text is None:
        return None
    number = billionths(text)
    if number is None:
        bare = text.replace(",", ".").rstrip("%+ ")
        better = bare if billionths(bare) is not None else example
        notes.error(node, f"`{field}` is a plain number, not `{excerpt(text)}`.", f"Write `{field}: {better}`.")
        return None
    if not lowest * BILLION <= number <= highest * BILLION:
        notes.error(
            node,
            f"`{field}` lies between {lowest} and {highest}; `{excerpt(text)}` does not.",
            f"Write it like `{field}: {example}`.",
        )
        return None
    return number


def read_whole(notes: Notes, node: Node, field: str, lowest: int, highest: int, example: str) -> int | None:
    """A whole number from ``lowest`` to ``highest``."""
    number = read_decimal(notes, node, field, lowest, highest, example)
    if number is None or number % BILLION == 0:
        return None if number is None else number // BILLION
    notes.error(node, f"`{field}` is a whole number.", f"Write it like `{field}: {example}`.")
    return None


def read_strength(notes: Notes, node: Node, name: str) -> int | None:
    """A strength in per cent, in billionths of one per cent; nothing stated is None without a complaint."""
    if isinstance(node, Scalar) and node.empty:
        return None
    text = read_text(notes, node, f"The strength of `{name}`", f"{name}: 8 %")
    if text is None:
        return None
    number = billionths(text[:-1].rstrip()) if text.endswith("%") else None
    if number is None:
        bare = text.replace(",", ".").rstrip("%").strip()
        if billionths(bare) is None:
            notes.error(
                node, f"The strength of `{name}` is a number with `%`, not `{excerpt(text)}`.", f"Write it like `{name}: 8 %`."
            )
        elif text.endswith("%"):
            notes.error(node, f"Decimals are written with a point, not as `{excerpt(text)}`.", f"Write `{bare} %`.")
        else:
            notes.error(node, f"The strength `{excerpt(text)}` has no unit.", f"Write `{bare} %`.")
        return None
    if not 0 < number <= 100 * BILLION:
        notes.error(
            node,
            f"A strength lies above 0 % and at most at 100 %; `{excerpt(text)}` does not.",
            "Leave a substance out that is not in the product; leave the strength out when nobody knows it.",
        )
        return None
    return number


def date_of(text: str) -> date | None:
    """The date of a text in the form 2026-03-02, if it has that form and there is such a day."""
    if len(text) != 10 or text[4] != "-" or text[7] != "-" or not text.isascii():
        return None
    year, month, day = text[:4], text[5:7], text[8:]
    if not (year.isdigit() and month.isdigit() and day.isdigit()):
        return None
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None


def read_date(notes: Notes, node: Node, field: str) -> date | None:
    """A calendar date."""
    text = read_text(notes, node, f"`{field}`", f"{field}: 2026-03-02")
    if text is None:
        return None
    found = date_of(text)
    if found is not None:
        if 1900 <= found.year <= 2200:
            return found
        notes.error(node, f"The year of `{text}` cannot be meant.", f"Write it like `{field}: 2026-03-02`.")
        return None
    if len(text) == 10 and (match := _YEAR_FIRST.fullmatch(text)) and text[4] == text[7] == "-":
        notes.error(node, f"There is no day `{text}` in the calendar.", _possible_day(match[1], match[2], match[3]))
        return None
    better = "2026-03-02"
    if match := _YEAR_FIRST.fullmatch(text):
        better = f"{match[1]}-{match[2]:0>2}-{match[3]:0>2}"
    elif match := _DAY_FIRST.fullmatch(text):
        better = f"{match[3]}-{match[2]:0>2}-{match[1]:0>2}"
    if date_of(better) is None:
        better = "2026-03-02"
    notes.error(
        node, f"`{field}` is a date written year-month-day, not `{excerpt(text)}`.", f"Write it like `{field}: {better}`."
    )
    return None


def _possible_day(year: str, month: str, day: str) -> str:
    if not 1 <= int(month) <= 12:
        return "The month is the number in the middle, 01 to 12."
    for last in (31, 30, 29, 28):
        if int(day) > last and date_of(f"{year}-{month}-{last}"):
            return f"That month has {last} days: the last one is `{year}-{month}-{last}`."
    return "The day is the last of the three numbers, 01 to 31."


def read_clock(notes: Notes, node: Node, field: str) -> int | None:
    """A clock time, in minutes after midnight."""
    text = read_text(notes, node, f"`{field}`", f'{field}: "21:30"')
    if text is None:
        return None
    match = _CLOCK.fullmatch(text)
    if match:
        return int(match[1]) * 60 + int(match[2])
    better = "21:30"
    if twelve := _TWELVE_HOURS.fullmatch(text):
        hour = int(twelve[1]) % 12 + (12 if twelve[3] in "pP" else 0)
        better = f"{hour:02}:{twelve[2] or '00'}"
    elif text in ("24:00", "24:0", "24"):
        better = "00:00"
    else:
        loose = re.split(r"[:.h]", text)
        if len(loose) <= 2 and all(part.isascii() and part.isdigit() and len(part) <= 2 for part in loose):
            better = f"{int(loose[0]):02}:{int(loose[1]) if len(loose) == 2 else 0:02}"
            if not _CLOCK.fullmatch(better):
                better = "21:30"
    notes.error(
        node, f"`{field}` is a clock time from 00:00 to 23:59, not `{excerpt(text)}`.", f'Write it like `{field}: "{better}"`.'
    )
    return None


def split_length(text: str) -> tuple[int, str] | None:
    """A number in billionths and its unit's word (possibly none): ``20 min``."""
    match = _NUMBER_AND_WORD.fullmatch(text)
    if match is None:
        return None
    number = billionths(match[1])
    return None if number is None else (number, match[2])


def read_minutes(notes: Notes, node: Node, field: str, highest: int = 1440) -> int | None:
    """A length of time within a day, in minutes; seconds are rounded up to a minute."""
    text = read_text(notes, node, f"`{field}`", f"{field}: 20 min")
    return None if text is None else minutes_of(notes, node, text, field, highest)


def minutes_of(notes: Notes, node: Node, text: str, field: str, highest: int = 1440) -> int | None:
    """The minutes of a text that stands at ``node``."""
    parts = split_length(text)
    if parts is None or parts[1] not in SHORT_UNITS:
        _complain_of_length(notes, node, field, text, parts, SHORT_UNITS, "minutes or hours", "20 min")
        return None
    minutes = -(-parts[0] * SHORT_UNITS[parts[1]] // (60 * BILLION))
    if not 0 < minutes <= highest:
        longest = "24 hours" if highest == 1440 else f"{highest} minutes"
        notes.error(
            node,
            f"`{field}` lasts more than nothing and at most {longest}; `{excerpt(text)}` does not.",
            f"Write it like `{field}: 20 min`.",
        )
        return None
    return minutes


def read_days_long(notes: Notes, node: Node, field: str, example: str, highest: int = 366) -> int | None:
    """A length of time in whole days; a week is seven."""
    text = read_text(notes, node, f"`{field}`", f"{field}: {example}")
    return None if text is None else days_long_of(notes, node, text, field, example, highest)


def days_long_of(notes: Notes, node: Node, text: str, field: str, example: str, highest: int = 366) -> int | None:
    """The days of a text that stands at ``node``."""
    parts = split_length(text)
    if parts is None or parts[1] not in DAY_UNITS or parts[0] % BILLION:
        _complain_of_length(notes, node, field, text, parts, DAY_UNITS, "whole days or weeks", example)
        return None
    days = parts[0] // BILLION * DAY_UNITS[parts[1]]
    if not 1 <= days <= highest:
        notes.error(
            node,
            f"`{field}` lies between 1 and {highest} days; `{excerpt(text)}` does not.",
            f"Write it like `{field}: {example}`.",
        )
        return None
    return days


def read_months(notes: Notes, node: Node, field: str, example: str, highest: int) -> int | None:
    """A length of time in whole months; a year is twelve."""
    text = read_text(notes, node, f"`{field}`", f"{field}: {example}")
    if text is None:
        return None
    parts = split_length(text)
    if parts is None or parts[1] not in MONTH_UNITS or parts[0] * MONTH_UNITS[parts[1]] % BILLION:
        _complain_of_length(notes, node, field, text, parts, MONTH_UNITS, "months or years", example)
        return None
    months = parts[0] * MONTH_UNITS[parts[1]] // BILLION
    if months > highest:
        notes.error(
            node,
            f"`{field}` is at most {highest // 12} years; `{excerpt(text)}` is more.",
            f"Write it like `{field}: {example}`.",
        )
        return None
    return months


def _complain_of_length(
    notes: Notes,
    node: Node,
    field: str,
    text: str,
    parts: tuple[int, str] | None,
    units: Collection[str],
    said: str,
    example: str,
) -> None:
    suggestion = f"Write it like `{field}: {example}`."
    if parts is not None and parts[0] % BILLION == 0:
        unit = example.rsplit(" ", 1)[-1]
        if parts[1]:
            suggestion = meant(parts[1], units, suggestion)
        else:
            suggestion = f"Write `{parts[0] // BILLION} {unit}`."
            notes.error(node, f"`{field}: {excerpt(text)}` has no unit.", suggestion)
            return
    notes.error(node, f"`{field}` is a number of {said}, not `{excerpt(text)}`.", suggestion)
