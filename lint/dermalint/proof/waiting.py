"""Waits inside a routine, told to the solver: how far apart two steps can be, by the minute."""

from __future__ import annotations

from collections.abc import Iterator
from math import gcd

LONGEST = 60  # minutes that all waits of one routine together may take
STEPS = 12  # of the solver's grid; what would need a finer one is left open, so that more is possible, never less


class Waits:
    """Collects which pairs of products must be how far apart (or near), and says what that means.

    Steps begin on a grid whose width divides all lengths asked for: where any waits would do, some on the grid do too.
    """

    def __init__(self, longest: int = LONGEST) -> None:
        self.longest = longest
        self._least: set[tuple[int, int, int]] = set()
        self._most: set[tuple[int, int, int]] = set()

    def nearer(self, first: int, second: int, at: str, minutes: int) -> str:
        """That the second follows the first in a routine (``at`` is its day and slot) by less than so many minutes."""
        if minutes > self.longest:
            return f"prec({first}, {second}, {at})"
        self._least.add((first, second, minutes))
        return f"near({first}, {second}, {at}, {minutes})"

    def follows(self, first: int, second: int, at: str, least: int = 0, most: int | None = None) -> str | None:
        """That the second follows the first by at least, or at most, so many minutes; None where no routine is so long."""
        if least > self.longest:
            return None
        if least:
            self._least.add((first, second, least))
            return f"apart({first}, {second}, {at}, {least})"
        if most is not None and most < self.longest:
            self._most.add((first, second, most))
            return f"soon({first}, {second}, {at}, {most})"
        return f"prec({first}, {second}, {at})"

    def program(self) -> Iterator[str]:
        """What the atoms mean that were given out."""
        grid = gcd(*(minutes for _, _, minutes in (*self._least, *self._most)), self.longest)
        if not self._least and not self._most:
            return
        steps = self.longest // grid if grid else 0
        if steps > STEPS:
            yield "apart(P, Q, D, S, M) :- least(P, Q, M), prec(P, Q, D, S)."
            yield "soon(P, Q, D, S, M) :- most(P, Q, M), prec(P, Q, D, S)."
        else:
            yield f"{{ late(P, D, S, 1..{steps}) }} :- use(P, D, S)."
            yield "late(P, D, S, 0) :- use(P, D, S)."
            yield f":- late(P, D, S, K + 1), not late(P, D, S, K), K = 0..{steps}."
            yield ":- prec(P, Q, D, S), late(P, D, S, K), not late(Q, D, S, K)."
            yield (
                f"near(P, Q, D, S, M) :- least(P, Q, M), prec(P, Q, D, S), late(P, D, S, K), not late(Q, D, S, K + M / {grid})."
            )
            yield "apart(P, Q, D, S, M) :- least(P, Q, M), prec(P, Q, D, S), not near(P, Q, D, S, M)."
            yield (
                f"far(P, Q, D, S, M) :- most(P, Q, M), prec(P, Q, D, S), K = 0..{steps}, "
                f"late(Q, D, S, K + M / {grid} + 1), not late(P, D, S, K + 1)."
            )
            yield "soon(P, Q, D, S, M) :- most(P, Q, M), prec(P, Q, D, S), not far(P, Q, D, S, M)."
        yield from (f"least({first}, {second}, {minutes})." for first, second, minutes in sorted(self._least))
        yield from (f"most({first}, {second}, {minutes})." for first, second, minutes in sorted(self._most))
