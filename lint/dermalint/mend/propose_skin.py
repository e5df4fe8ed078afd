"""Areas left out, where a rule or another product is about a part of the skin only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

from dermalint.mend.candidates import AREA, Candidate, Subject
from dermalint.mend.changes import change_rows, leave_out, names_of
from dermalint.regimen.model import ApplyStep, Step
from dermalint_grammar import nodes
from dermalint_grammar.record import Record, fields_of


def areas(subject: Subject) -> Iterator[Candidate]:
    """One of the finding's products kept from an area: one of its own, the other product's, or one that the rule names."""
    named = dict.fromkeys(_named_areas(subject.requirement))
    for product in subject.movable:
        own: dict[str, None] = {}
        others: dict[str, None] = {}
        for row in subject.rows:
            for step in row.steps:
                if isinstance(step, ApplyStep) and names_of(step) & set(subject.finding.products):
                    mine = names_of(step) == {product}
                    (own if mine else others).update((area.name, None) for area in step.areas)
        rows = [row for row in subject.rows if any(names_of(step) == {product} for step in row.steps)]
        for area in dict.fromkeys((*own, *others, *named)):
            plan = change_rows(subject.plan, rows, partial(_without, subject.areas, product, area))
            told = area.replace("-", " ")
            yield Candidate(plan, AREA, f"Leave the {told} out when {product} is applied.")


def _without(masks: Mapping[str, int], product: str, area: str, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    changed: list[Step] = []
    for step in steps:
        less = leave_out(step, area, masks) if isinstance(step, ApplyStep) and names_of(step) == {product} else None
        changed.append(less or step)
    return tuple(changed)


def _named_areas(node: object) -> Iterator[str]:
    if isinstance(node, nodes.OnArea):
        yield node.area
    if isinstance(node, tuple):
        for item in node:
            yield from _named_areas(item)
    elif isinstance(node, Record):
        for name in fields_of(node):
            yield from _named_areas(getattr(node, name))
