"""One rule run on one case: what its requirement's check needs beside the case."""

from __future__ import annotations

from dermalint.checks.case import Case, Hit, Pairing
from dermalint.checks.conditions import Conditions
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO
from dermalint_grammar import nodes


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
