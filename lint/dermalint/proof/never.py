"""Rules that can never fire: their conditions exclude each other, or nothing can break what they ask."""

from __future__ import annotations

from dermalint.packs.model import LinkedRule
from dermalint.proof.clauses import clauses, dates
from dermalint.proof.cubes import TooMany
from dermalint.proof.flaws import FAULT, Answer, Flaw, Undecided, place_of
from dermalint.proof.ground import Ground
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison
from dermalint_grammar.write import write_term

_SLOTS = frozenset({"morning", "midday", "afternoon", "evening"})
_ANY = nodes.AnyProduct(nodes.Span(0, 0))
_BEYOND = {Comparison.AT_MOST: Comparison.ABOVE, Comparison.AT_LEAST: Comparison.BELOW}
_LENGTHS = {"day": 1, "week": 7, "month": 31, "routine": 1}


def prove_never(ground: Ground) -> Answer:
    """Look at every rule to be proven."""
    flaws: list[Flaw] = []
    undecided: list[Undecided] = []
    for linked in ground.proven:
        try:
            reason = _conditions(ground, linked) or _requirement(ground, linked.rule.requirement)
        except TooMany:
            undecided.append(
                Undecided(f"whether {linked.id} can fire", "its conditions have too many alternatives", (linked.id,))
            )
            continue
        if reason is not None:
            message = f"{ground.quoted(linked)} can never fire: {reason}."
            flaws.append(Flaw("never", FAULT, message, (linked.id,), place_of(linked), suggestion="Change it, or take it out."))
    return Answer(tuple(flaws), tuple(undecided))


def _conditions(ground: Ground, linked: LinkedRule) -> str | None:
    found = clauses(linked.rule.conditions)
    left = ground.clauses.possible(found)
    if not left:
        reasons = sorted({why for clause in found if (why := ground.clauses.contradiction(clause))}, key=len)
        return f"its conditions exclude each other, since {reasons[0]}" if reasons else "its conditions exclude each other"
    ends = [dates(clause)[1] for clause in left]
    today = ground.as_of.isoformat()
    if all(end and end <= today for end in ends):
        return f"it holds until {max(ends)}, and that date has passed"
    return None


def _requirement(ground: Ground, requirement: nodes.Requirement) -> str | None:
    implies = ground.cubes.implies
    match requirement:
        case nodes.UseOnly(slots=slots) if {slot.text for slot in slots} >= _SLOTS:
            return "it allows every part of the day"
        case nodes.Separate(apart=apart):
            lengths = (apart.distance, apart.before, apart.after)
            if apart.within in ("duration", "around") and not any(length and length.count for length in lengths):
                return "a distance of nothing is always kept"
        case nodes.SeparateUses(distance=distance) if distance.count == 0 or (not distance.by_clock and distance.days <= 1):
            return "uses on different days are a day apart anyway"
        case nodes.Wait(duration=duration) if duration.count == 0:
            return "a wait of nothing is always kept"
        case nodes.UseCount(bound=Comparison.AT_MOST, number=number, counted=counted, per=per, window=window):
            days = window if per == "days" else _LENGTHS.get(per)
            if days is not None and counted != "times" and number >= days:
                word = "day" if counted == "days" else counted
                return (
                    f"there are never more than {days} {word}s in that stretch"
                    if days > 1
                    else f"there is never more than one {word}"
                )
        case nodes.UseCount(bound=Comparison.AT_LEAST, number=number, per=per):
            if number == 0 or (number == 1 and per == "routine"):
                return "whatever is used is used at least so often"
        case nodes.UseProducts(bound=Comparison.AT_LEAST, number=number, per=per) if number == 0 or (
            number == 1 and per == "routine"
        ):
            return "a routine that has one has at least one"
        case nodes.Limit(measure=measure, term=term, total=False, bound=bound, quantity=quantity):
            beyond = nodes.Measured(term, measure.text, _BEYOND[bound], quantity, term.span)
            if not ground.cubes.possible(ground.cubes.of(beyond)):
                return f"whatever is `{write_term(term)}` keeps that limit anyway"
        case nodes.ApplyChain(links=links):
            if all(implies(one, later) for place, one in enumerate(links) for later in links[place + 1 :]):
                return (
                    "a product that fits two links takes the later one, and whatever fits the earlier one here fits the later"
                )
        case nodes.ApplyEdge(term=term, but=but):
            wide = term if but is None else nodes.OneOf((term, but), term.span)
            if implies(_ANY, wide):
                return "everything is excepted"
        case nodes.ExpectAround(trigger=trigger, companion=companion, reach=reach) if reach.where in (
            "routine",
            "day",
            "within",
        ):
            if implies(trigger, companion) and not isinstance(companion, nodes.OnArea):
                return f"whatever is `{write_term(trigger)}` is its own companion"
        case nodes.ExpectEvery(companion=companion, having=nodes.Node() as having, slot=slot):
            if slot not in ("daylight",) and implies(having, companion) and not isinstance(companion, nodes.OnArea):
                return f"whatever is `{write_term(having)}` is its own companion"
    return None
