"""What every part of the reading shares: places, names, figures, and where mistakes go."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import Transformer_NonRecursive, v_args

from ..figures import is_date, read_billionths
from ..mistakes import Mistake
from ..nodes import BILLION, Comparison, Duration, Name, Quantity, Span, Unit


@v_args(meta=True)
class ReadFigures(Transformer_NonRecursive[Token, Any]):
    """Reads names, numbers, durations and dates; ``offset`` is where the parsed piece stands in the whole text.

    A figure that cannot stand is told in ``mistakes`` and read as the nearest one that can, so that the walk goes on.
    """

    def __init__(self, offset: int, mistakes: list[Mistake]) -> None:
        super().__init__(visit_tokens=False)
        self._offset = offset
        self._mistakes = mistakes

    def _span(self, meta: Meta) -> Span:
        return Span(meta.start_pos + self._offset, meta.end_pos + self._offset)

    def _place(self, token: Token) -> Span:
        start = (token.start_pos or 0) + self._offset
        return Span(start, start + len(token))

    def _name(self, token: Token) -> Name:
        return Name(str(token), self._place(token))

    def _text(self, token: Token) -> str:
        return str(token)[1:-1]

    def _tell(self, span: Span, message: str, example: str, suggestion: str | None = None) -> None:
        self._mistakes.append(Mistake(span, message, example, suggestion))

    def _nearest(self, word: str, words: tuple[str, ...]) -> str | None:
        return next(iter(get_close_matches(word, words, 1)), None)

    def _number(self, token: Token) -> int:
        value = read_billionths(token)
        if value is not None:
            return value
        message = "A number has at most twelve digits before its point and nine after it; this one has more."
        self._tell(self._place(token), message, "retinol with strength at least 0.3 %")
        return 0

    def _whole(self, token: Token, what: str, example: str) -> int:
        value = self._number(token)
        if value % BILLION:
            self._tell(self._place(token), f"{what} is a whole number; `{token}` is not.", example)
        return value // BILLION

    def _date(self, token: Token) -> str:
        if not is_date(token):
            message = f"The calendar has no day `{token}`; a date is a year, a month and a day of that month."
            self._tell(self._place(token), message, "review-by 2027-06-30")
        return str(token)

    def duration(self, meta: Meta, children: list[Any]) -> Duration:
        token, unit = children
        count = self._number(token)
        if count % BILLION and unit is not Unit.HOUR:
            message = f"Only hours may have a fraction; write `{token} {unit}s` in whole {unit}s or in a smaller unit."
            self._tell(self._span(meta), message, "separate strong-acid from retinoid by 1.5 hours")
        return Duration(count, unit, self._span(meta))

    def unit(self, _meta: Meta, children: list[Token]) -> Unit:
        return Unit(children[0].removesuffix("s"))

    def quantity(self, meta: Meta, children: list[Any]) -> Quantity:
        span = self._span(meta)
        if isinstance(children[0], Duration):
            return Quantity(children[0].count, children[0].unit, span)
        token, unit = children
        return Quantity(self._number(token), unit or "", span)

    def measured_in(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def comparison(self, _meta: Meta, children: list[Token]) -> Comparison:
        return Comparison(" ".join(children))

    def bound(self, _meta: Meta, children: list[Token]) -> Comparison:
        return Comparison(" ".join(children))

    def names(self, _meta: Meta, children: list[Token]) -> tuple[Name, ...]:
        return tuple(self._name(token) for token in children)
