"""The engine and the solver's reading agree on random cycles; see :mod:`oracles.solver`."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from judging import as_regimen, findings_of, places

clingo = pytest.importorskip("clingo", reason="clingo has no wheel for this Python")

from oracles.solver import LAPS, PROGRAMS, Week, solve  # noqa: E402  (only where clingo is)

PAIRS = int(os.environ.get("DERMALINT_CAMPAIGN", "0"))
STEPS = ("retinol", "glycolic-acid", "niacinamide")


@st.composite
def weeks(draw: st.DrawFn) -> Week:
    """Cycles of up to nine days with up to six routines."""
    length = draw(st.integers(2, 9))
    # One product at most once a routine: a second coat is no second use, which is another paragraph's matter.
    products = st.lists(st.sampled_from(STEPS), min_size=1, max_size=3, unique=True).map(tuple)
    routine = st.tuples(st.integers(1, length), st.sampled_from(["morning", "midday", "evening"]), products)
    routines = draw(st.lists(routine, min_size=1, max_size=6, unique_by=lambda entry: entry[:2]))
    return Week(length, tuple(sorted(routines)))


def as_text(week: Week) -> str:
    """A cycle in compact notation."""
    parts = [f"day {day} {slot}: {', '.join(products)}" for day, slot, products in week.routines]
    return f"cycle {week.length} days: " + "; ".join(parts)


def as_sentence(pattern: str, n: int, m: int) -> str:
    """A pattern with names and numbers, in the grammar of one or several."""
    words = [{"A": "retinol", "B": "glycolic-acid", "N": str(n), "M": str(m)}.get(word, word) for word in pattern.split()]
    words = [{"A.": "retinol.", "B.": "glycolic-acid."}.get(word, word) for word in words]
    return " ".join(words)


@pytest.mark.parametrize("pattern", PROGRAMS)
def test_the_engine_agrees_with_the_solver(pattern: str) -> None:
    @settings(
        max_examples=PAIRS // len(PROGRAMS) or 20,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        database=None,
    )
    @given(week=weeks(), n=st.integers(1, 4), m=st.integers(2, 5))
    def agree(week: Week, n: int, m: int) -> None:
        rule, text = as_sentence(pattern, n, m), as_text(week)
        assert week.length * LAPS > 7
        found = {place for finding in findings_of(rule, as_regimen(text)) for place in places(finding)}
        assert found == solve(pattern, week, n, m), (rule, text)

    agree()
