"""A second independent reading: the answer-set solver clingo is told what is used when, and what a rule forbids.

The programs state what breaks a rule and leave the search to the solver.  They know cycles without beginning, named
products on one area, and nothing unknown: what suits a solver.  Places are (day of the cycle from 1, slot).
"""

from __future__ import annotations

from dataclasses import dataclass

import clingo

DAY = 1440
MINUTE = {"morning": 420, "midday": 750, "afternoon": 930, "evening": 1290}
LAPS = 4  # copies of the cycle on either side, enough for every window that is asked

# use(U, P, D, S, M, I): use U of product P on line day D, slot S, minute M, the I-th step of its routine.
COMMON = """
lap(-laps..laps).
use((N, K), P, D + K * length, S, M + K * length * 1440, I) :- step(N, P, D, S, M, I), lap(K).
told(D, S) :- broken((N, 0)), step(N, _, D, S, _, _).
#show told/2.
"""

PROGRAMS = {
    "separate A from B by routine.": """
broken(U) :- use(U, a, D, S, _, _), use(_, b, D, S, _, _).
""",
    "separate A from B by day.": """
broken(U) :- use(U, a, D, _, _, _), use(_, b, D, _, _, _).
""",
    "separate A from B by N hours.": """
broken(U) :- use(U, a, _, _, M, _), use(_, b, _, _, O, _), |M - O| < n * 60.
""",
    "separate A from B by N days before and M days after.": """
broken(U) :- use(U, a, D, _, M, I), use(_, b, E, _, O, J), (M, I) < (O, J), E - D < n.
broken(U) :- use(U, a, D, _, M, I), use(_, b, E, _, O, J), (M, I) > (O, J), D - E < m.
""",
    "separate uses of A by N days.": """
day(D) :- use(_, a, D, _, _, _).
broken(U) :- use(U, a, D, _, _, _), day(E), E < D, D - E < n.
""",
    "apply A before B.": """
broken(U) :- use(U, a, D, S, _, I), use(_, b, D, S, _, J), J < I.
""",
    "use A only in the evening.": """
broken(U) :- use(U, a, _, S, _, _), S != evening.
""",
    "never use A in the morning.": """
broken(U) :- use(U, a, _, morning, _, _).
""",
    "use A at most N evenings per week.": """
evening(D) :- use(_, a, D, evening, _, _).
full(W) :- evening(D), W = D - 6..D, #count { E : evening(E), W <= E, E < W + 7 } > n.
broken(U) :- use(U, a, D, evening, _, _), full(W), W <= D, D < W + 7.
""",
    "use A at most N times per M days.": """
time(D, S, P) :- use(_, P, D, S, _, _), P = a.
full(W) :- time(D, _, _), W = D - m + 1..D, #count { E, S : time(E, S, _), W <= E, E < W + m } > n.
broken(U) :- use(U, a, D, _, _, _), full(W), W <= D, D < W + m.
""",
    "use A at most N evenings in a row.": """
evening(D) :- use(_, a, D, evening, _, _).
row(D, D) :- evening(D).
row(D, E + 1) :- row(D, E), evening(E + 1), E + 1 - D <= n.
broken(U) :- use(U, a, X, evening, _, _), row(D, D + n), D <= X, X <= D + n.
""",
    "expect A in every evening.": """
has(D) :- use(_, a, D, evening, _, _).
told(D, evening) :- D = 0..length - 1, not has(D).
""",
    "after A expect B in the same routine.": """
met(U) :- use(U, a, D, S, _, I), use(_, b, D, S, _, J), J > I.
broken(U) :- use(U, a, _, _, _, _), not met(U).
""",
    "after A expect B within N hours.": """
met(U) :- use(U, a, _, _, M, I), use(_, b, _, _, O, J), O - M <= n * 60, (O, J) > (M, I).
broken(U) :- use(U, a, _, _, _, _), not met(U).
""",
    "after A expect B every morning for N days.": """
has(D) :- use(_, b, D, morning, _, _).
due(D) :- use(_, a, E, _, _, _), D = E + 1..E + n.
due(E) :- use(_, a, E, morning, _, _).
told(D, morning) :- due(D), 0 <= D, D < length, not has(D).
""",
}


@dataclass(frozen=True)
class Week:
    """A cycle: its length and its routines as (day from 1, slot, products in order)."""

    length: int
    routines: tuple[tuple[int, str, tuple[str, ...]], ...]


def solve(sentence: str, week: Week, n: int, m: int) -> set[tuple[int, str]]:
    """The places where a sentence of :data:`PROGRAMS` is broken, as the solver finds them; A is retinol, B glycolic-acid."""
    names = {"retinol": "a", "glycolic-acid": "b"}
    facts: list[str] = []
    number = 0
    for day, slot, products in week.routines:
        for index, product in enumerate(products):
            number += 1
            at = (day - 1) * DAY + MINUTE[slot]
            facts.append(f"step({number}, {names.get(product, 'c')}, {day - 1}, {slot}, {at}, {index}).")
    control = clingo.Control(["--warn=none", f"-c length={week.length}", f"-c laps={LAPS}", f"-c n={n}", f"-c m={m}"])
    control.add("base", [], COMMON + PROGRAMS[sentence] + "\n".join(facts))
    control.ground([("base", [])])
    found: set[tuple[int, str]] = set()
    with control.solve(yield_=True) as handle:  # type: ignore[union-attr]
        for model in handle:
            for symbol in model.symbols(shown=True):
                day, slot = symbol.arguments
                found.add((day.number + 1, slot.name))
    return found
