"""Strategies for figures, lengths of time, dates and texts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import TypeVar

from hypothesis import strategies as st

from dermalint.testing.words import NOWHERE, Compared
from dermalint_grammar.nodes import BILLION, Comparison, Duration, Quantity, Source, Status, Unit

CLOCK_UNITS = (Unit.MINUTE, Unit.HOUR)
DAY_UNITS = (Unit.DAY, Unit.WEEK)
LONG_UNITS = (*DAY_UNITS, Unit.MONTH, Unit.YEAR)

_T = TypeVar("_T")

COMPARISONS = st.sampled_from(list(Comparison))
BOUNDS = st.sampled_from([Comparison.AT_LEAST, Comparison.AT_MOST])
DATES = st.dates(date(2020, 1, 1), date(2035, 12, 31)).map(date.isoformat)

# Letters of several alphabets, an accent that stands alone, a wide sign, and what means something outside a text.
_LETTERS = "abcdefg ABC 0123 .,;:()%#'-/ äéßñ \u0301 日本 漢 ½ …"
TEXTS = st.text(_LETTERS, min_size=1, max_size=160)

SOURCES = st.builds(Source, st.sampled_from(list(Status)), TEXTS, st.just(NOWHERE))


def one(values: Sequence[_T]) -> st.SearchStrategy[_T]:
    """One of several values; unlike ``sampled_from`` it does not show all of them where a test reports the strategy."""
    return st.integers(0, len(values) - 1).map(lambda number: values[number])


@cache
def durations(units: Sequence[Unit] = CLOCK_UNITS + DAY_UNITS, most: int = 12) -> st.SearchStrategy[Duration]:
    """Lengths of time in these units; hours have halves too."""
    whole = st.builds(Duration, st.integers(1, most).map(lambda count: count * BILLION), one(units), st.just(NOWHERE))
    if Unit.HOUR not in units:
        return whole
    halves = st.integers(1, most).map(lambda count: count * BILLION // 2)
    return whole | st.builds(Duration, halves, st.just(Unit.HOUR), st.just(NOWHERE))


@cache
def numbers(most: int = 100) -> st.SearchStrategy[int]:
    """Numbers in billionths, with up to nine decimals."""
    return st.integers(0, most * 10).map(lambda tenths: tenths * BILLION // 10) | st.integers(0, most * BILLION)


@cache
def quantities(measure: Compared) -> st.SearchStrategy[Quantity]:
    """Quantities that a measure may be compared with; lengths of time are whole."""
    unit = measure.unit.removesuffix("s")
    if unit in tuple(Unit):
        return st.builds(Quantity, st.integers(1, 60).map(lambda count: count * BILLION), st.just(unit), st.just(NOWHERE))
    return st.builds(Quantity, numbers(), st.just(unit if unit in ("%", "g") else ""), st.just(NOWHERE))
