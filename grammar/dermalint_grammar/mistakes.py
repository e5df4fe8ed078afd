"""What is wrong in a rule file, told as a teacher would."""

from __future__ import annotations

from dataclasses import dataclass

from .nodes import Span


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake: where, what was expected in the language's own words, a valid sentence, and the nearest word."""

    span: Span
    message: str
    example: str = ""
    suggestion: str | None = None
    expected: tuple[str, ...] = ()
