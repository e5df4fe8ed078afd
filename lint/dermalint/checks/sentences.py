"""The message, the measurement and the way out of a finding, one writer a requirement."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dermalint.checks.case import Case, Hit, order_of
from dermalint.checks.circumstances import circumstances_text
from dermalint.checks.explain import (
    duration_text,
    matched_name,
    minutes_text,
    number_text,
    quantity_text,
    short_term,
    term_text,
)
from dermalint.checks.moments import is_event
from dermalint.timeline.line import Use
from dermalint.verdict.findings import Measured, Mend
from dermalint.vocabulary.world import BUILT_IN_MEASURES, in_words
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison
from dermalint_grammar.record import Record

MEASURES = {"ph": "pH", "spf": "SPF"}
SHELF_MEASURES = ("months-open", "days-past-expiry")  # their names say their units


class Telling(Record):
    """What is said of a finding."""

    message: str
    measured: Measured | None
    mends: tuple[Mend, ...]


def tell(case: Case, rule: nodes.Rule, hits: list[Hit]) -> Telling:
    """Words for the hits of one cause; the first hit is the worst."""
    if isinstance(rule.requirement, nodes.NeverUse) and rule.requirement.slot is None:
        return _never_at_all(case, rule, hits)
    return _WRITERS[type(rule.requirement)](case, rule.requirement, hits)


def is_prescribed(use: Use) -> bool:
    """Whether an application is of something prescribed, which only its prescriber changes."""
    return use.application is not None and use.application.product.prescribed


def _named(case: Case, use: Use, term: nodes.Term) -> str:
    if use.application is None:
        return in_words(use.event.event.name) if use.event is not None else term_text(term, case.world)
    name = matched_name(case, use, term)
    return use.product if name in ("any product", use.product) else f"{use.product} ({name})"


def _pair(case: Case, hit: Hit) -> tuple[str, str]:
    (one, first), (other, second) = hit.uses[:2]
    return _named(case, one, first), _named(case, other, second)


def _separate(case: Case, requirement: nodes.Separate, hits: list[Hit]) -> Telling:
    hit = hits[0]
    one, other = _pair(case, hit)
    apart = requirement.apart
    use, partner = hit.uses[0][0], hit.uses[1][0]
    product = next((use.product for use in (hit.anchor, use, partner) if not is_prescribed(use)), hit.anchor.product)
    if apart.within == "routine":
        measured = Measured("gap", hit.value, "min", "another routine")
        say = f"Move {product} to a routine without the other, for example another evening."
        return Telling(f"{one} and {other} share a routine.", measured, (Mend(say),))
    if apart.within == "day":
        measured = Measured("gap", hit.value, "min", "another day")
        return Telling(f"{one} and {other} are used on the same day.", measured, (Mend(f"Move {product} to another day."),))
    mine, others = order_of(use), order_of(partner)
    later = mine > others or (mine == others and apart.before is None)
    needed = apart.distance if apart.within == "duration" else apart.after if later else apart.before
    assert needed is not None
    gap, measured = _gap(use, partner, needed)
    side = "after" if later else "before"
    if apart.within == "around" or partner.application is None:
        message = f"{one} is used {gap} {side} {other}; at least {duration_text(needed)} are needed {side} it."
        say = f"Leave {product} out for {duration_text(needed)} {side} {other}."
    else:
        message = f"{one} and {other} are {gap} apart; at least {duration_text(needed)} are needed."
        say = f"Put at least {duration_text(needed)} between {use.product} and {partner.product}."
    return Telling(message, measured, (Mend(say),))


def _gap(use: Use, partner: Use, needed: nodes.Duration) -> tuple[str, Measured]:
    if needed.by_clock:
        minutes = abs(use.minute - partner.minute)
        return minutes_text(minutes), Measured("gap", minutes, "min", duration_text(needed))
    days = abs(use.day - partner.day)
    text = _plural(days, "day") if days else f"on the same day, {minutes_text(abs(use.minute - partner.minute))}"
    return text, Measured("gap", days, "days", duration_text(needed))


def _separate_uses(case: Case, requirement: nodes.SeparateUses, hits: list[Hit]) -> Telling:
    use, partner = hits[0].uses[0][0], hits[0].uses[1][0]
    gap, measured = _gap(use, partner, requirement.distance)
    what = short_term(requirement.term, case.world)
    names = use.product if use.product == partner.product else f"{partner.product} and {use.product}"
    message = f"{names}: two uses of {what} are {gap} apart; at least {duration_text(requirement.distance)} are needed."
    cycle = "" if requirement.distance.by_clock else f" (used once in `cycle: {requirement.distance.days} days`)"
    say = f"Write a cycle that keeps the distance{cycle}, or leave one of the two out."
    return Telling(message, measured, (Mend(say),))


def _chain(case: Case, requirement: nodes.ApplyChain, hits: list[Hit]) -> Telling:
    hit = hits[0]
    one, other = _pair(case, hit)
    required = f"{short_term(hit.uses[0][1], case.world)} before {short_term(hit.uses[1][1], case.world)}"
    measured = Measured("order", None, "", required)
    say = f"Apply {hit.uses[0][0].product} before {hit.uses[1][0].product}."
    return Telling(f"{one} comes after {other}; it belongs before it.", measured, (Mend(say),))


def _edge(case: Case, requirement: nodes.ApplyEdge, hits: list[Hit]) -> Telling:
    hit = hits[0]
    one, other = _pair(case, hit)
    first = requirement.edge == "first"
    message = f"{one} should come {requirement.edge}, but {other} comes {'before' if first else 'after'} it."
    measured = Measured("order", None, "", requirement.edge)
    say = f"Apply {hit.uses[0][0].product} {'before' if first else 'after'} {hit.uses[1][0].product}."
    return Telling(message, measured, (Mend(say),))


def _directly(case: Case, requirement: nodes.ApplyDirectly, hits: list[Hit]) -> Telling:
    hit = hits[0]
    one, other = _pair(case, hit)
    between = hit.uses[2][0].product
    message = f"{between} lies between {one} and {other}, which belong directly after each other."
    return Telling(message, Measured("order", None, "", "directly before"), (Mend(f"Move {between} before or after both."),))


def _wait(case: Case, requirement: nodes.Wait, hits: list[Hit]) -> Telling:
    hit = hits[0]
    needed = duration_text(requirement.duration)
    value = hit.value or 0
    measured = Measured("wait", value, "min", needed)
    before = is_event(requirement.second)
    if before or is_event(requirement.first):
        event = short_term(requirement.second if before else requirement.first, case.world)
        when = f"{minutes_text(value)} {'before' if before else 'after'} {event}"
        message = f"{_named(case, *hit.uses[0])} goes on {when}; {needed} are needed."
        return Telling(message, measured, (Mend(f"Apply {hit.uses[0][0].product} {'earlier' if before else 'later'}."),))
    one, other = _pair(case, hit)
    stated = f"only {minutes_text(value)} are stated" if value else "no wait is stated"
    message = f"Between {one} and {other} {stated}; {needed} are needed."
    say = f"Write `wait: {needed}` between {hit.uses[0][0].product} and {hit.uses[1][0].product}."
    return Telling(message, measured, (Mend(say),))


def _only(case: Case, requirement: nodes.UseOnly, hits: list[Hit]) -> Telling:
    allowed = " or ".join(in_words(name.text) for name in requirement.slots)
    use, term = hits[0].uses[0]
    message = f"{_named(case, use, term)} is used in the {in_words(use.slot)}; it belongs only in the {allowed}."
    return Telling(message, Measured("slot", None, use.slot, allowed), (Mend(f"Move {use.product} to the {allowed}."),))


def _never_at_all(case: Case, rule: nodes.Rule, hits: list[Hit]) -> Telling:
    use, term = hits[0].uses[0]
    given = circumstances_text(rule.conditions, case.world)
    if given:
        return Telling(f"{_named(case, use, term)} is in this plan, and {given}.", None, ())
    area = _area(case, use, term)
    where = f"is used on the {area}" if area else "is in this plan"
    return Telling(f"{_named(case, use, term)} {where}; the rule wants none of it.", None, ())


def _area(case: Case, use: Use, term: nodes.Term) -> str:
    """The area that the matched part of a term names, where it names one."""
    if isinstance(term, nodes.OneOf):
        matching = (part for part in term.terms if case.terms.masks(part)[1] >> use.signature & 1)
        return next((_area(case, use, part) for part in matching), "")
    return in_words(term.area) if isinstance(term, nodes.OnArea) else ""


def _never(case: Case, requirement: nodes.NeverUse, hits: list[Hit]) -> Telling:
    use, term = hits[0].uses[0]
    assert requirement.slot is not None
    slot = in_words(requirement.slot.text)
    message = f"{_named(case, use, term)} is used in the {slot}."
    return Telling(message, Measured("slot", None, slot, "another slot"), (Mend(f"Move {use.product} out of the {slot}."),))


_PER = {"week": "in 7 days", "day": "a day", "cycle": "a cycle", "routine": "a routine", "month": "in 30 days"}


def _per(requirement: nodes.UseCount | nodes.UseProducts) -> str:
    if requirement.per == "row":
        return "in a row"
    return _PER.get(requirement.per, f"in {requirement.window} days")


def _count(case: Case, requirement: nodes.UseCount, hits: list[Hit]) -> Telling:
    what = short_term(requirement.term, case.world)
    value = max((hit.value or 0 for hit in hits), default=0)
    if requirement.bound is Comparison.AT_LEAST:
        value = min((hit.value or 0 for hit in hits), default=0)
    unit = {"times": "time", "days": "day"}.get(requirement.counted, requirement.counted)
    period = case.line.phases[-1].period
    endless = requirement.per == "row" and case.line.steady_from is not None and value >= max(period * 2, 14)
    counted = f"every {unit}" if endless else _plural(value, unit)
    products = " and ".join(_products(hits))
    per = _per(requirement)
    message = f"{products}: {what} {'without a pause, ' if endless else ''}{counted} {'' if endless else per}"
    message = f"{message.rstrip()}; {requirement.bound.value} {_plural(requirement.number, unit)} {per}."
    often = "more" if requirement.bound is Comparison.AT_LEAST else "less"
    say = f"Use {products} {often} often: {requirement.bound.value} {_plural(requirement.number, unit)} {per}."
    required = f"{requirement.bound.value} {requirement.number}"
    return Telling(message, Measured("uses", None if endless else value, f"{unit}s {per}", required), (Mend(say),))


def _plural(number: int, unit: str) -> str:
    return f"{number} {unit}{'' if number == 1 else 's'}"


def _use_products(case: Case, requirement: nodes.UseProducts, hits: list[Hit]) -> Telling:
    value = max((hit.value or 0 for hit in hits), default=0)
    products = _products(hits)
    what = short_term(requirement.term, case.world)
    per = _per(requirement)
    named = ", ".join(products)
    message = f"{_plural(value, 'product')} of {what} {per} ({named}); {requirement.bound.value} {requirement.number}."
    measured = Measured("products", value, f"products {per}", f"{requirement.bound.value} {requirement.number}")
    keep = f"Keep {requirement.bound.value} {_plural(requirement.number, 'product')} of {what} {per}; spread the others."
    return Telling(message, measured, (Mend(keep),))


def _products(hits: list[Hit]) -> list[str]:
    keys = dict.fromkeys(use.product for hit in hits for use, _ in hit.uses if use.product)
    return sorted(keys)


def _course(case: Case, requirement: nodes.UseFor, hits: list[Hit]) -> Telling:
    products = " and ".join(_products(hits))
    needed = duration_text(requirement.duration)
    values = [hit.value for hit in hits]
    if None in values:
        message = f"{products} is used without an end being written; {requirement.bound.value} {needed}."
        say = f"Write the end: a phase with `for: {needed}`, then a phase without {products}."
        return Telling(message, Measured("course", None, "days", f"{requirement.bound.value} {needed}"), (Mend(say),))
    days = max(value for value in values if value is not None)
    unbroken = f"{_plural(days, 'day')} without a pause that ends the course"
    message = f"{products} is used for {unbroken}; {requirement.bound.value} {needed}."
    return Telling(message, Measured("course", days, "days", f"{requirement.bound.value} {needed}"), ())


def _around(case: Case, requirement: nodes.ExpectAround, hits: list[Hit]) -> Telling:
    hit = hits[0]
    tested = isinstance(requirement.companion, nodes.PatchTest)
    companion = "a patch test of it" if tested else term_text(requirement.companion, case.world)
    reach = requirement.reach
    calls = _named(case, *hit.uses[0]) if hit.uses else short_term(requirement.trigger, case.world)
    duration = duration_text(reach.duration) if reach.duration is not None else ""
    where = {
        "routine": "in the same routine",
        "day": "on the same day",
        "within": f"within {duration}",
        "every": f"in every {in_words(reach.slot or '')} for {duration}",
        "ahead": f"at least {duration} ahead",
    }[reach.where]
    side = "After" if requirement.side == "after" else "Before"
    if reach.where == "every":
        message = f"{side} {calls}, {companion} is expected {where}; here it is missing{_uncovered(hit)}."
    else:
        message = f"{side} {calls}, {companion} is expected {where}; it is missing{_uncovered(hit)}."
    measured = Measured("companion", None, "", where)
    if tested:
        say = "Do a patch test first and write it in the history: `- {patch-test: …, from: …, hours: 24, reaction: none}`."
        return Telling(message, measured, (Mend(say),))
    return Telling(message, measured, (Mend(f"Add {companion} {where}."),))


def _uncovered(hit: Hit) -> str:
    return f" ({hit.note})" if hit.note else ""


def _every(case: Case, requirement: nodes.ExpectEvery, hits: list[Hit]) -> Telling:
    companion = term_text(requirement.companion, case.world)
    slot = in_words(requirement.slot)
    having = f" that has {short_term(requirement.having, case.world)}" if requirement.having is not None else ""
    message = f"{companion} is expected in every {slot}{having}; here it is missing."
    return Telling(message, Measured("companion", None, "", f"in every {slot}"), (Mend(f"Add {companion} there."),))


def _renew(case: Case, requirement: nodes.Renew, hits: list[Hit]) -> Telling:
    companion = term_text(requirement.companion, case.world)
    gap = max(hit.value or 0 for hit in hits)
    needed = duration_text(requirement.duration)
    message = f"{minutes_text(gap)} of daylight pass without a fresh {companion}; every {needed} are expected."
    say = f"Renew it every {needed} of daylight: `repeat: every {needed}` on the step, or a routine of its own."
    return Telling(message, Measured("time in daylight", gap, "min", needed), (Mend(say),))


def _limit(case: Case, requirement: nodes.Limit, hits: list[Hit]) -> Telling:
    hit = hits[0]
    name = MEASURES.get(requirement.measure.text, in_words(requirement.measure.text))
    what = short_term(requirement.term, case.world)
    needed = f"{requirement.bound.value} {quantity_text(requirement.quantity)}"
    products = " and ".join(_products(hits))
    own = requirement.measure.text in BUILT_IN_MEASURES - {"strength"}
    of_what = name if own else f"{name} of {what}"
    measured_unit = requirement.quantity.unit
    if hit.value is None:
        label = () if hit.note and name == "amount" else (Mend("Read the label or ask the maker."),)
        if hit.note:
            message = f"{products}: the {of_what} is {hit.note} {measured_unit}".rstrip() + f"; {needed}."
            return Telling(message, Measured(name, None, measured_unit, needed), label)
        stated = "is not stated" if requirement.measure.text in BUILT_IN_MEASURES else "does not follow from what is stated"
        message = f"{products}: the {of_what} {stated}; {needed} is the limit of this rule."
        return Telling(message, Measured(name, None, measured_unit, needed), label)
    value = number_text(hit.value)
    if requirement.measure.text in SHELF_MEASURES:
        message = f"{products}: {value} {name}; {requirement.bound.value} {number_text(requirement.quantity.value)}."
        return Telling(message, Measured(name, hit.value / BILLION, measured_unit, needed), ())
    total = "the total " if requirement.total else "the "
    message = f"{products}: {total}{of_what} is {value} {measured_unit}".rstrip() + f"; {needed}."
    return Telling(message, Measured(name, hit.value / BILLION, measured_unit, needed), ())


_WRITERS: dict[type, Callable[[Case, Any, list[Hit]], Telling]] = {
    nodes.Separate: _separate,
    nodes.SeparateUses: _separate_uses,
    nodes.ApplyChain: _chain,
    nodes.ApplyEdge: _edge,
    nodes.ApplyDirectly: _directly,
    nodes.Wait: _wait,
    nodes.UseOnly: _only,
    nodes.NeverUse: _never,
    nodes.UseCount: _count,
    nodes.UseProducts: _use_products,
    nodes.UseFor: _course,
    nodes.ExpectAround: _around,
    nodes.ExpectEvery: _every,
    nodes.Renew: _renew,
    nodes.Limit: _limit,
}
