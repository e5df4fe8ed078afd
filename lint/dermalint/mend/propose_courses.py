"""An end for a course that has none."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.mend.candidates import END, Candidate, Subject
from dermalint.mend.changes import contains
from dermalint.mend.document import parent_of
from dermalint.mend.words import span
from dermalint_grammar import nodes
from dermalint_grammar.record import replace


def endings(subject: Subject) -> Iterator[Candidate]:
    """The last phase ended where the course has become as long as the rule allows.

    Only where the file has phases, as a regimen without them has no end that could be written; and not where something
    prescribed stands in the last one, as that would end, too.
    """
    requirement, plan = subject.requirement, subject.plan
    assert isinstance(requirement, nodes.UseFor)
    last = len(plan.cycles) - 1
    rows = [row for row in plan.rows if row.phase == last]
    if requirement.bound is not nodes.Comparison.AT_MOST or plan.spans[last] is not None or not rows:
        return
    if parent_of(rows[0].home)[0] == "":
        return
    prescribed = [name for name, product in subject.regimen.products.items() if product.prescribed]
    if any(contains(row, name) for row in rows for name in prescribed):
        return
    for first in range(last, -1, -1):  # the phase in which the course may have begun
        days = requirement.duration.days - sum(length or 0 for length in plan.spans[first:last])
        if days > 0:
            ended = replace(plan, spans=(*plan.spans[:last], days))
            yield Candidate(ended, END, f"End phase {last + 1} after {span(days)}.", last - first)
