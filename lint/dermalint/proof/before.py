"""What a change of a pack does: small regimens on which its old and its new rules disagree."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from dermalint.packs.model import LinkedRule
from dermalint.proof.ground import Ground
from dermalint.proof.nearby import smaller, stepped
from dermalint.proof.plans import Judge, Plan
from dermalint.proof.situations import Situations
from dermalint_grammar.record import Record

PLANS, NEAR = 250, 8  # plans looked at for each version of a rule; those whose neighbours are looked at too


class Difference(Record):
    """A rule and a plan on which two versions disagree; which of the two objects, and to what, in their words.

    ``plan`` is None for a rule of which nothing was found; then ``judged`` says among how many plans.
    """

    rule: str
    plan: Plan | None
    before: str | None
    after: str | None
    judged: int


def compare(before: Ground, after: Ground, names: frozenset[str]) -> Iterator[Difference]:
    """A difference for each rule of these packs that either version has, in the order of the new one."""
    ids = [linked.id for linked in after.rules if linked.pack in names]
    ids += [linked.id for linked in before.rules if linked.pack in names and linked.id not in after.by_id]
    for rule_id in ids:
        old, new = before.by_id.get(rule_id), after.by_id.get(rule_id)
        if old is not None and new is not None and _same(before, after, old, new):
            continue
        yield _difference(before, after, old, new, rule_id)


def _same(before: Ground, after: Ground, old: LinkedRule, new: LinkedRule) -> bool:
    """Whether a rule is word for word the same and speaks of the same names in both versions."""
    return (
        old.rule.requirement == new.rule.requirement
        and old.rule.conditions == new.rule.conditions
        and (old.rule.pauses, old.rule.one_area, old.rule.unknown) == (new.rule.pauses, new.rule.one_area, new.rule.unknown)
        and (old.rule.severity is None) == (new.rule.severity is None)
        and before.world == after.world
    )


def _difference(before: Ground, after: Ground, old: LinkedRule | None, new: LinkedRule | None, rule_id: str) -> Difference:
    judges = (
        None if old is None else Judge(before, old),
        None if new is None else Judge(after, new),
    )
    seen: set[Plan] = set()
    for plan in _plans(before, after, old, new):
        if plan in seen:
            continue
        seen.add(plan)
        said = _said(judges, plan)
        if said is None or (said[0] is None) is (said[1] is None):
            continue
        small = _shrunk(judges, plan, said)
        told = _said(judges, small)
        assert told is not None
        return Difference(rule_id, small, told[0], told[1], len(seen))
    return Difference(rule_id, None, None, None, len(seen))


def _plans(before: Ground, after: Ground, old: LinkedRule | None, new: LinkedRule | None) -> Iterator[Plan]:
    firsts: list[Plan] = []
    for ground, linked in ((after, new), (before, old)):
        if linked is not None:
            firsts += islice(Situations(ground).of(linked), PLANS)
    yield from firsts
    for plan in firsts[:NEAR]:
        for change in stepped(plan):
            yield change.plan
    for plan in firsts[:2]:
        for change in islice(stepped(plan), 40):
            for further in islice(stepped(change.plan), 40):
                yield further.plan


_Judges = tuple[Judge | None, Judge | None]
_Said = tuple[str | None, str | None]


def _said(judges: _Judges, plan: Plan) -> _Said | None:
    """What either version says; None where a version does not know a name of the plan."""
    said: list[str | None] = []
    for judge in judges:
        if judge is None:
            said.append(None)
            continue
        if not _known(judge.ground, plan):
            return None
        found = judge.alone(plan)
        said.append(found[0].message if found else None)
    return said[0], said[1]


def _known(ground: Ground, plan: Plan) -> bool:
    world = ground.world
    for routine in plan.routines:
        for step in routine.steps:
            if step.what is not None and not (
                step.what.text in world.substances or step.what.text in world.families or step.what.text in world.kinds
            ):
                return False
    return all(event.event in world.events for event in plan.events)


def _shrunk(judges: _Judges, plan: Plan, said: _Said) -> Plan:
    shrinking = True
    while shrinking:
        shrinking = False
        for less in smaller(plan):
            now = _said(judges, less)
            if now is not None and [one is None for one in now] == [one is None for one in said]:
                plan, shrinking = less, True
                break
    return plan
