"""Rules that another rule already implies: what breaks the one always breaks the other, which speaks as gravely."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dermalint.packs.model import LinkedRule
from dermalint.proof.flaws import FAULT, Answer, Flaw, place_of, spot_of
from dermalint.proof.ground import Ground, own_terms, parts
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison

_UNKNOWN = {"holds": 0, None: 1, "breaks": 2}
_AT_MOMENTS = (nodes.Has, nodes.Around, nodes.DuringFirst, nodes.SkinIs)


def prove_implied(ground: Ground) -> Answer:
    """Look for every rule at all others that could imply it; of two that say the same, the later is told."""
    flaws: list[Flaw] = []
    said: set[tuple[str, str]] = set()
    order = {linked.id: number for number, linked in enumerate(ground.rules)}
    named = {linked.id: _names(ground, linked) for linked in ground.rules}
    above = {
        linked.id: frozenset[str]().union(*(ground.world.ancestors.get(name, frozenset((name,))) for name in named[linked.id]))
        for linked in ground.rules
    }
    by_sort: dict[type, list[LinkedRule]] = {}
    for linked in ground.rules:
        by_sort.setdefault(type(linked.rule.requirement), []).append(linked)
    for linked in ground.rules:
        sort = type(linked.rule.requirement)
        several = by_sort[sort] if sort is nodes.NeverUse else [*by_sort[sort], *by_sort.get(nodes.NeverUse, ())]
        for other in several:
            if linked is other or not ground.concerns(linked):
                continue
            if named[other.id] and above[linked.id].isdisjoint(named[other.id]):
                continue
            if not _implied(ground, linked, other):
                continue
            same = sort is type(other.rule.requirement) and _implied(ground, other, linked)
            if same and order[linked.id] < order[other.id]:
                continue
            said.add((linked.id, other.id))
    for rule_id, by in sorted(said):
        linked, other = ground.by_id[rule_id], ground.by_id[by]
        message = f"{ground.quoted(linked)} says nothing that {ground.quoted(other)} does not say already."
        flaws.append(
            Flaw(
                "implied",
                FAULT,
                message,
                (rule_id, by),
                place_of(linked),
                (spot_of(other, "the rule that implies it"),),
                "Take one of the two out, or say where they differ.",
            )
        )
    return Answer(tuple(flaws))


def _names(ground: Ground, linked: LinkedRule) -> frozenset[str]:
    """All names in a rule's requirement, groups read out; empty where a term could be anything."""
    found: set[str] = set()
    for term in own_terms(linked.rule.requirement):
        cubes = ground.cubes.names_of(term)
        if not cubes:
            return frozenset()
        found |= cubes
    return frozenset(found)


def _implied(ground: Ground, linked: LinkedRule, other: LinkedRule) -> bool:
    return ground.as_severe(other, linked) and not linked.rule.suspends and fires_with(ground, other, linked)


def fires_with(ground: Ground, other: LinkedRule, linked: LinkedRule) -> bool:
    """Whether the first rule certainly fires wherever the second does, of whatever severity they are."""
    rule, wider = linked.rule, other.rule
    if _UNKNOWN[wider.unknown] < _UNKNOWN[rule.unknown]:
        return False
    if not {area.text for area in rule.one_area} <= {area.text for area in wider.one_area}:
        return False
    if not {*ground.suspenders.get(other.id, ())} <= {*ground.suspenders.get(linked.id, ())}:
        return False
    if wider.conditions and not ground.clauses.implies(rule.conditions, wider.conditions):
        return False
    compare = _SAME.get(type(rule.requirement))
    if type(rule.requirement) is type(wider.requirement):
        return compare is not None and compare(ground, rule, wider)
    return _forbidden_anyway(ground, rule, wider)


def _within(ground: Ground, term: nodes.Term, other: nodes.Term) -> bool:
    """Whether all that the first means the second means, in the way that `separate` and areas read it too."""
    if _mentions_rinsed(term) and not _mentions_rinsed(other):
        return False
    return bool(ground.cubes.implies(term, other))


def _mentions_rinsed(term: nodes.Term) -> bool:
    return any(isinstance(part, nodes.Contacted) and part.contact == "rinsed" for part in parts(term))


def is_timeless(rule: nodes.Rule) -> bool:
    """Whether a rule holds or not whatever stands beside a use and whenever it is."""
    return not any(isinstance(part, _AT_MOMENTS) for part in parts(rule.conditions))


def _forbidden_anyway(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    """Whether what a rule needs in order to fire may never be used at all."""
    never = wider.requirement
    assert isinstance(never, nodes.NeverUse)
    if never.slot is not None or not is_timeless(wider) or isinstance(never.term, nodes.EventIs):
        return False
    return any(ground.cubes.implies(term, never.term) for term in needed_terms(rule.requirement))


def needed_terms(requirement: nodes.Requirement) -> tuple[nodes.Term, ...]:
    """The terms of each of which some product must be used for a rule to fire."""
    match requirement:
        case nodes.Separate(first, second) | nodes.Wait(_, first, second) | nodes.ApplyDirectly(first, second):
            needed: tuple[nodes.Term, ...] = (first, second)
        case nodes.ApplyChain((first, second)):
            needed = (first, second)
        case (
            nodes.SeparateUses(term)
            | nodes.UseOnly(term)
            | nodes.UseCount(term, Comparison.AT_MOST)
            | nodes.UseFor(term, Comparison.AT_MOST)
            | nodes.UseProducts(term, Comparison.AT_MOST)
            | nodes.ApplyEdge(term)
            | nodes.ExpectAround(trigger=term)
        ):
            needed = (term,)
        case nodes.Limit(term=term, total=False):
            needed = (term,)
        case _:
            needed = ()
    return tuple(term for term in needed if not isinstance(term, nodes.EventIs))


# --- two rules of one sort: whether the second asks at least as much ---

_Compare = Callable[[Ground, nodes.Rule, nodes.Rule], bool]


def _separate(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    if not _as_far(two.apart, one.apart):
        return False
    if _within(ground, one.first, two.first) and _within(ground, one.second, two.second):
        return True
    turned = one.apart.within != "around" and two.apart.within != "around" and is_timeless(rule) and is_timeless(wider)
    return turned and _within(ground, one.first, two.second) and _within(ground, one.second, two.first)


def _as_far(two: nodes.Apart, one: nodes.Apart) -> bool:
    if one.within == "routine":
        return two.within in ("routine", "day") or (
            two.distance is not None and (not two.distance.by_clock or two.distance.minutes >= 720) and two.distance.days >= 1
        )
    if one.within == "day":
        return two.within == "day" or (two.distance is not None and not two.distance.by_clock and two.distance.days >= 1)
    if one.within == "duration" and one.distance is not None:
        return two.distance is not None and _longer(two.distance, one.distance)
    if two.within == "around":
        return all(
            b is None or (a is not None and _longer(a, b)) for a, b in ((two.before, one.before), (two.after, one.after))
        )
    return two.distance is not None and all(b is None or _longer(two.distance, b) for b in (one.before, one.after))


def _longer(one: nodes.Duration, two: nodes.Duration) -> bool:
    """Whether a length is certainly no shorter than another; days and hours are not compared with each other."""
    if one.by_clock != two.by_clock:
        return False
    months = (nodes.Unit.MONTH, nodes.Unit.YEAR)
    if (one.unit in months) != (two.unit in months):
        return one.days - two.days > 3  # whatever months these are
    return one.minutes >= two.minutes if one.by_clock else one.days >= two.days


def _separate_uses(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    return _within(ground, one.term, two.term) and _longer(two.distance, one.distance)


def _chain(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    pairs = _pairs(rule.requirement)
    theirs = _pairs(wider.requirement)
    return all(any(_within(ground, a, c) and _within(ground, b, d) for c, d in theirs) for a, b in pairs)


def _pairs(requirement: Any) -> list[tuple[nodes.Term, nodes.Term]]:
    links = requirement.links
    return [(links[i], links[j]) for i in range(len(links)) for j in range(i + 1, len(links))]


def _edge(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    same = one.edge == two.edge and two.slot in (None, one.slot) and _equal(ground, one.term, two.term)
    return same and (two.but is None or (one.but is not None and _within(ground, two.but, one.but)))


def _equal(ground: Ground, one: nodes.Term, two: nodes.Term) -> bool:
    return _within(ground, one, two) and _within(ground, two, one)


def _directly(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    return _equal(ground, one.first, two.first) and _equal(ground, one.second, two.second)


def _wait(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    return (
        _within(ground, one.first, two.first)
        and _within(ground, one.second, two.second)
        and _longer(two.duration, one.duration)
    )


def _only(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    return _within(ground, one.term, two.term) and {slot.text for slot in two.slots} <= {slot.text for slot in one.slots}


def _never(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    same_slot = two.slot is None or (one.slot is not None and one.slot.text == two.slot.text)
    return same_slot and _within(ground, one.term, two.term)


def _count(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    if one.bound is not two.bound or (one.per, one.window if one.per == "days" else 0) != (
        two.per,
        two.window if two.per == "days" else 0,
    ):
        return False
    if one.bound is Comparison.AT_LEAST:
        return one.counted == two.counted and one.number <= two.number and _equal(ground, one.term, two.term)
    fits = one.counted == two.counted or (one.per != "row" and two.counted == "times")
    return fits and one.number >= two.number and _within(ground, one.term, two.term)


def _products(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    if one.bound is not two.bound or (one.per, one.window) != (two.per, two.window):
        return False
    if one.bound is Comparison.AT_LEAST:
        return one.number <= two.number and _equal(ground, one.term, two.term)
    return one.number >= two.number and _within(ground, one.term, two.term)


def _course(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    if one.bound is not two.bound or _days(rule.pauses) != _days(wider.pauses):
        return False
    if one.bound is Comparison.AT_LEAST:
        return _longer(two.duration, one.duration) and _equal(ground, one.term, two.term)
    return _longer(one.duration, two.duration) and _within(ground, one.term, two.term)


def _days(duration: nodes.Duration | None) -> int:
    return 7 if duration is None else duration.days


def _around(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    if isinstance(one.companion, nodes.PatchTest) or isinstance(two.companion, nodes.PatchTest):
        patch = isinstance(one.companion, nodes.PatchTest) and isinstance(two.companion, nodes.PatchTest)
        if not patch or not _equal(ground, one.companion.term, two.companion.term):
            return False
    elif not _equal(ground, one.companion, two.companion):
        return False
    if one.side != two.side or not _within(ground, one.trigger, two.trigger):
        return False
    return _reaches(two.reach, one.reach)


def _reaches(two: nodes.Reach, one: nodes.Reach) -> bool:
    """Whether what is near enough for the second is near enough for the first."""
    if two.where == one.where and two.slot == one.slot:
        if one.duration is None or two.duration is None:
            return one.duration is two.duration
        return _longer(one.duration, two.duration) if one.where == "within" else _longer(two.duration, one.duration)
    return two.where == "routine" and one.where == "day"


def _every(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    if one.slot != two.slot or not _equal(ground, one.companion, two.companion):
        return False
    if one.having is None or two.having is None:
        return one.having is two.having
    return _within(ground, one.having, two.having)


def _renew(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    return _longer(one.duration, two.duration) and _equal(ground, one.companion, two.companion)


def _limit(ground: Ground, rule: nodes.Rule, wider: nodes.Rule) -> bool:
    one: Any = rule.requirement
    two: Any = wider.requirement
    if (one.measure.text, one.total, one.per, one.bound) != (two.measure.text, two.total, two.per, two.bound):
        return False
    less = one.quantity.value <= two.quantity.value
    if not (less if one.bound is Comparison.AT_LEAST else one.quantity.value >= two.quantity.value):
        return False
    if not _within(ground, one.term, two.term):
        return False
    # What is summed must not be less (or more) than there: the same names, or those of whole products.
    names = ground.cubes.names_in
    return names(one.term) == names(two.term) or one.measure.text in ("ph", "spf", "months-open", "days-past-expiry")


_SAME: dict[type, _Compare] = {
    nodes.Separate: _separate,
    nodes.SeparateUses: _separate_uses,
    nodes.ApplyChain: _chain,
    nodes.ApplyEdge: _edge,
    nodes.ApplyDirectly: _directly,
    nodes.Wait: _wait,
    nodes.UseOnly: _only,
    nodes.NeverUse: _never,
    nodes.UseCount: _count,
    nodes.UseProducts: _products,
    nodes.UseFor: _course,
    nodes.ExpectAround: _around,
    nodes.ExpectEvery: _every,
    nodes.Renew: _renew,
    nodes.Limit: _limit,
}
