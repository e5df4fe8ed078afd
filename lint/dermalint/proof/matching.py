"""Which of several products a term means, by the engine."""

from __future__ import annotations

from collections.abc import Sequence

from dermalint.checks.asked import Asked
from dermalint.checks.case import Case
from dermalint.checks.examples import MONDAY, build_example
from dermalint.proof.ground import Ground
from dermalint.proof.samples import HERE
from dermalint.timeline.unroll import unroll
from dermalint_grammar import nodes
from dermalint_grammar.write import write_term


class Matching:
    """Products laid into one routine, so that the engine can be asked what each of them is."""

    def __init__(self, ground: Ground, products: Sequence[nodes.ExampleStep]) -> None:
        routine = nodes.ExampleRoutine(None, False, "evening", tuple(products), HERE)
        regimen = build_example(nodes.Example(True, (), (routine,), None, HERE), ground.world)
        self.number = len(products)
        self._case = Case(regimen, ground.world, unroll(regimen, 1, 0), Asked(MONDAY, None, "usual"), ground.plugins)
        self._kept: dict[str, tuple[bool, ...]] = {}
        first = min(use.routine for use in self._case.line.uses)
        uses = sorted((use for use in self._case.line.uses if use.routine == first), key=lambda use: use.position)
        self._signatures = [use.signature for use in uses]

    def of(self, term: nodes.Term) -> tuple[bool, ...]:
        """For each product whether it certainly is what a term means."""
        key = write_term(term)
        if key not in self._kept:
            yes, _ = self._case.terms.masks(term)
            self._kept[key] = tuple(bool(yes >> number & 1) for number in self._signatures)
        return self._kept[key]

    def _area(self, product: int) -> int:
        return self._case.terms.signatures.items[self._signatures[product]].area

    def overlap(self, one: int, two: int) -> bool:
        """Whether two products share skin."""
        return bool(self._area(one) & self._area(two))

    def covers(self, one: int, two: int) -> bool:
        """Whether the first lies on all the skin of the second."""
        return not self._area(two) & ~self._area(one)

    def is_rinsed(self, product: int) -> bool:
        """Whether a product is rinsed off."""
        return self._case.terms.signatures.items[self._signatures[product]].contact.kind == "rinsed"
