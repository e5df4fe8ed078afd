"""Writing requirements."""

from __future__ import annotations

from .. import nodes
from .figures import write_duration, write_quantity
from .terms import Binding, write_term


def write_requirement(requirement: nodes.Requirement) -> str:
    """What a rule requires, without clauses and full stop."""
    match requirement:
        case nodes.Separate(first=first, second=second, apart=apart):
            return f"separate {write_term(first)} from {write_term(second)} by {_apart(apart)}"
        case nodes.SeparateUses(term=term, distance=distance):
            return f"separate uses of {write_term(term)} by {write_duration(distance)}"
        case nodes.ApplyChain(links=links):
            joint = " before " if len(links) == 2 else " then "
            return f"apply {joint.join(write_term(link) for link in links)}"
        case nodes.ApplyEdge(term=term, edge=edge, but=but, slot=slot):
            excepted = f" except {write_term(but, Binding.ATOM)}" if but is not None else ""
            return f"apply {write_term(term)} {edge}{excepted}{_in_the(slot)}"
        case nodes.ApplyDirectly(first=first, second=second):
            return f"apply {write_term(first)} directly before {write_term(second)}"
        case nodes.Wait(duration=duration, first=first, second=second):
            return f"wait {write_duration(duration)} after {write_term(first)} before {write_term(second)}"
        case nodes.Limit():
            return _limit(requirement)
        case nodes.ExpectAround(side=side, trigger=trigger, companion=companion, reach=reach):
            return f"{side} {write_term(trigger)} expect {write_term(companion)} {_reach(reach)}"
        case nodes.ExpectEvery(companion=companion, slot=every, having=having):
            condition = f" that has {write_term(having, Binding.ATOM)}" if having is not None else ""
            return f"expect {write_term(companion)} in every {every}{condition}"
        case nodes.Renew(companion=companion, duration=duration):
            return f"in daylight expect {write_term(companion)} every {write_duration(duration)}"
    return _use(requirement)


def _use(use: nodes.UseOnly | nodes.NeverUse | nodes.UseCount | nodes.UseProducts | nodes.UseFor) -> str:
    term = write_term(use.term)
    match use:
        case nodes.UseOnly():
            return f"use {term} only in the {' or '.join(slot.text for slot in use.slots)}"
        case nodes.NeverUse():
            return f"never use {term}{_in_the(use.slot.text if use.slot else None)}"
        case nodes.UseCount():
            counted = use.counted if use.counted.endswith("s") else f"{use.counted}s"
            if use.number == 1:
                counted = counted.removesuffix("s")
            count = f"use {term} {use.bound} {use.number} {counted}"
            return f"{count} in a row" if use.per == "row" else f"{count} per {_period(use.per, use.window)}"
        case nodes.UseProducts():
            products = "product" if use.number == 1 else "products"
            return f"use {use.bound} {use.number} {products} of {term} per {_period(use.per, use.window)}"
    return f"use {term} for {use.bound} {write_duration(use.duration)}"


def _period(per: str, window: int) -> str:
    return f"{window} days" if per == "days" else per


def _in_the(slot: str | None) -> str:
    return f" in the {slot}" if slot is not None else ""


def _apart(apart: nodes.Apart) -> str:
    if apart.distance is not None:
        return write_duration(apart.distance)
    if apart.within != "around":
        return apart.within
    sides = [f"{write_duration(apart.before)} before"] if apart.before is not None else []
    sides += [f"{write_duration(apart.after)} after"] if apart.after is not None else []
    return " and ".join(sides)


def _reach(reach: nodes.Reach) -> str:
    if reach.duration is None:
        return f"in the same {reach.where}"
    length = write_duration(reach.duration)
    if reach.where == "every":
        return f"every {reach.slot} for {length}"
    return f"within {length}" if reach.where == "within" else f"at least {length} ahead"


def _limit(limit: nodes.Limit) -> str:
    total = "total " if limit.total else ""
    per = f" per {limit.per}" if limit.per is not None else ""
    figure = write_quantity(limit.quantity.value, limit.quantity.unit)
    return f"limit {total}{limit.measure.text} of {write_term(limit.term)}{per} to {limit.bound} {figure}"
