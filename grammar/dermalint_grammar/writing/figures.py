"""Writing numbers, lengths of time and texts."""

from __future__ import annotations

from .. import nodes


def write_number(billionths: int) -> str:
    """A number given in billionths, as a decimal with no more digits than it has: ``300_000_000`` is ``0.3``."""
    whole, rest = divmod(billionths, nodes.BILLION)
    return f"{whole}.{rest:09}".rstrip("0") if rest else str(whole)


def write_duration(duration: nodes.Duration) -> str:
    """A length of time, its unit in the number that goes with the figure: ``1 day``, ``2 days``."""
    return write_quantity(duration.count, duration.unit)


def write_quantity(value: int, unit: str) -> str:
    """A figure with its unit: ``5 %``, ``3.5``, ``2 years``."""
    number = write_number(value)
    if unit in ("", "%", "g"):
        return f"{number} {unit}".rstrip()
    return f"{number} {unit}{'' if value == nodes.BILLION else 's'}"


def write_text(text: str) -> str:
    """A text in quotation marks.  Raises ValueError for one that the language cannot hold."""
    if '"' in text or "\n" in text:
        raise ValueError("A text in a rule file has no quotation mark and no line end")
    return f'"{text}"'
