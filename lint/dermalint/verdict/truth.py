"""Three values: no, unknown, yes, as the integers 0, 1, 2, so that Kleene's ``and`` is ``min`` and ``or`` is ``max``."""

from __future__ import annotations

NO = 0
UNKNOWN = 1
YES = 2


def negate(value: int) -> int:
    """Kleene's ``not``."""
    return YES - value
