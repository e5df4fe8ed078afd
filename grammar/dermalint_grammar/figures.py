"""Exact readings of what is written in digits: numbers, dates and CAS registry numbers."""

from __future__ import annotations

from datetime import date

from .nodes import BILLION

DIGITS = 12
DECIMALS = 9


def read_billionths(text: str) -> int | None:
    """Read a decimal number such as ``0.3`` as billionths, exactly; None beyond 12 digits before or 9 after the point."""
    whole, _, decimals = text.partition(".")
    if len(whole) > DIGITS or len(decimals) > DECIMALS:
        return None
    return int(whole) * BILLION + int(decimals.ljust(DECIMALS, "0"))


def is_date(text: str) -> bool:
    """Whether an ISO date names a day that the calendar has."""
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def find_check_digit(cas: str) -> str:
    """Compute the last digit of a CAS number from the others: their sum, weighted 1, 2, 3 … from the right, modulo 10."""
    digits = cas.replace("-", "")[:-1]
    return str(sum(place * int(digit) for place, digit in enumerate(reversed(digits), start=1)) % 10)
