"""One rule run on one case: what its requirement's check needs beside the case."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.checks.case import Case, Hit, Pairing, alternatives, sharing
from dermalint.checks.conditions import Conditions
from dermalint.checks.terms import Matched
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, YES
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison


class Run:
    """Collects the hits of one rule; :meth:`hit` drops what is outside the judged days or whose clauses do not hold."""

    def __init__(self, case: Case, rule: nodes.Rule, conditions: Conditions) -> None:
        self.case = case
        self.rule = rule
        self.conditions = conditions
        self.pairing = Pairing(case, rule)
        self.hits: list[Hit] = []
        self._held: dict[tuple[int, int, int, int], int] = {}

    def holds(self, moment: Use) -> int:
        """Whether the rule's clauses hold at a moment."""
        if not self.rule.conditions:
            return 2
        key = (moment.minute, moment.routine, moment.position, moment.kind)
        truth = self._held.get(key)
        if truth is None:
            truth = self._held[key] = self.conditions.of_rule(self.rule, moment)
        return truth

    def hit(
        self,
        truth: int,
        anchor: Use,
        *uses: tuple[Use, nodes.Term],
        value: int | None = None,
        note: str = "",
        missing: bool = False,
        judged_at: Use | None = None,
    ) -> None:
        """Report that the requirement fails (certainly, or for some value of what is unknown) at a moment.

        Clauses are judged at ``judged_at`` where that is not the moment itself: at what calls for a missing companion.
        """
        if truth == NO or not self.case.line.judged(anchor.day):
            return
        truth = min(truth, self.holds(judged_at or anchor))
        if truth != NO:
            self.hits.append(Hit(truth, anchor, uses, value, note, missing=missing))


def counted_together(run: Run, term: nodes.Term, bound: Comparison) -> Iterator[list[Matched]]:
    """The applications that are counted, or added up, together.

    They share skin and, so that too much is not told of what excludes itself, can all happen; too little is told of the
    fullest alternative.  Of the hits of alternatives the worst is kept at each moment.
    """
    for matched in sharing(run.case.terms.matched(term), run.case.areas):
        groups = alternatives(matched) if bound is Comparison.AT_MOST else [matched]
        since = len(run.hits)
        yield from groups
        if len(groups) > 1:
            worst: dict[int, Hit] = {}
            for hit in run.hits[since:]:
                known = worst.get(id(hit.anchor))
                if known is None or (hit.truth, hit.value or 0) > (known.truth, known.value or 0):
                    worst[id(hit.anchor)] = hit
            run.hits[since:] = worst.values()


def doubts_of(item: Matched) -> frozenset[object]:
    """What must be so for an application to be there and meant: its product is meant, its ``only-if`` holds, it is needed."""
    use, meant, _ = item
    found: set[object] = set() if meant == YES else {use.product}
    if use.application is not None and not use.application.certain:
        found.add((use.application.only_if, use.kind if use.application.step.as_needed else None))
    return frozenset(found)
