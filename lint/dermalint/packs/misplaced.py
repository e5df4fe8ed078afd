"""Sentences that the grammar can read and that mean nothing: what stands where it cannot be meant, and what cannot be asked.

A rule that could never say anything is a fault of the pack, told at its place, and never a rule that is silent.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dermalint.packs.references import walk
from dermalint.packs.units import Misfit
from dermalint.vocabulary.world import BUILT_IN_EVENTS, Group
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison

_SUMMED = ("routine", "day")
_TESTED = "before first use of retinol expect patch-test of retinol at least 24 hours ahead"


def misplaced(rule: nodes.Rule, groups: Mapping[str, Group]) -> Iterator[Misfit]:
    """Everything in a rule's requirement and conditions that can be written and not be meant."""
    requirement = rule.requirement
    yield from _of_requirement(requirement)
    for term, takes_events, takes_daily, takes_tests in _sides(requirement):
        yield from _of_term(term, groups, takes_events, takes_daily, takes_tests)
    for condition in rule.conditions:
        for part in walk(condition):
            match part:
                case nodes.Around(term=term):
                    yield from _of_term(term, groups, True, True, False)
                case nodes.DuringFirst(term=term):
                    yield from _of_term(term, groups, False, False, False)
                case nodes.Has(where=where, term=term, anchor=anchor):
                    yield from _of_term(term, groups, where == "regimen" and anchor is None, False, False)
                    if anchor is not None:
                        yield from _of_term(anchor, groups, False, False, False)
                case _:
                    pass


def _of_requirement(requirement: nodes.Requirement) -> Iterator[Misfit]:
    match requirement:
        case nodes.Separate(first, second, nodes.Apart(within="routine"), span) if (
            isinstance(first, nodes.EventIs) or isinstance(second, nodes.EventIs)
        ):
            yield Misfit(span, "An event is in no routine", "`… by day`, or `by 1 day before and 2 days after`")
        case nodes.Wait(_, first, second, span) if only_events(first) and only_events(second):
            said = "Nothing is applied here: both sides are events"
            yield Misfit(span, said, "`wait 1 day after event waxing before retinoid`")
        case nodes.UseCount(bound=Comparison.AT_LEAST, per="row", span=span):
            yield Misfit(span, "There is no `at least … in a row`", "`use retinol at least 3 evenings per week`")
        case nodes.ExpectAround(trigger=trigger, companion=nodes.PatchTest()) if only_events(trigger):
            said = "A patch test is of what is used, and an event is nothing that is applied"
            yield Misfit(trigger.span, said, f"`{_TESTED}`")
        case nodes.ExpectAround(side="after", reach=nodes.Reach(where="ahead", span=span)):
            yield Misfit(span, "`ahead` belongs to `before`, not to `after`", "Say how soon: `within 12 hours`.")
        case nodes.ExpectEvery(slot="daylight", having=nodes.Node(), span=span):
            yield Misfit(span, "Daylight holds no products, so `that has` asks nothing of it", "`in every day that has …`")
        case nodes.Limit(measure=measure, total=total, per=per):
            name = measure.text
            if (per is None) is total or (per is not None and per not in _SUMMED):
                said = "A total is added up `per routine` or `per day`, and only a total is"
                yield Misfit(measure.span, said, f"`limit total {name} of … per routine to …`")
        case _:
            pass


def _sides(requirement: nodes.Requirement) -> Iterator[tuple[nodes.Term, bool, bool, bool]]:
    """The terms of a requirement: whether each may be an event, one of every day, and a patch test."""
    match requirement:
        case nodes.Separate(first, second):
            yield first, True, False, False
            yield second, True, False, False
        case nodes.Wait(_, first, second):
            yield first, True, True, False
            yield second, True, True, False
        case nodes.NeverUse(term=term, slot=None):
            yield term, True, False, False
        case nodes.ExpectAround(side, trigger, companion):
            yield trigger, True, True, False
            yield companion, True, False, side == "before"
        case _:
            for value in (getattr(requirement, name) for name in type(requirement).__match_args__):
                for term in value if isinstance(value, tuple) else (value,):
                    if isinstance(term, nodes.Term):
                        yield term, False, False, False


def _of_term(
    term: nodes.Term, groups: Mapping[str, Group], takes_events: bool, takes_daily: bool, takes_tests: bool
) -> Iterator[Misfit]:
    for part in walk(term):
        match part:
            case nodes.EventIs(event, span) if not takes_events:
                yield Misfit(span, "Here stands something that is used, and an event is nothing that is applied", _near(event))
            case nodes.EventIs(event, span) if event in BUILT_IN_EVENTS and not (takes_daily and part is term):
                told = f"`event {event}` comes every day and stands alone in `wait` and `expect`, or in `within … after`"
                yield Misfit(span, told, f"`wait 2 hours after minoxidil before event {event}`")
            case nodes.PatchTest(span=span) if not (takes_tests and part is term):
                told = "A patch test is what is expected before a first use, and stands nowhere else"
                yield Misfit(span, told, f"`{_TESTED}`")
            case nodes.Named(name, span) if name in groups and _holds_event(groups[name].term, groups):
                told = f"The group {name} holds an event, and a group that a rule speaks of holds products"
                yield Misfit(span, told, "Name the event in the rule.")
            case _:
                pass


def only_events(term: nodes.Term) -> bool:
    """Whether nothing that is applied can be meant by a term: every name in it is an event's."""
    match term:
        case nodes.EventIs():
            return True
        case nodes.OneOf(terms=terms):
            return all(map(only_events, terms))
        case nodes.AllOf(terms=terms):
            return any(map(only_events, terms))
        case nodes.NotTerm():
            return False
        case _:
            inner: nodes.Term | None = getattr(term, "term", None)
            return inner is not None and only_events(inner)


def _holds_event(term: nodes.Term, groups: Mapping[str, Group]) -> bool:
    return any(
        isinstance(part, nodes.EventIs | nodes.PatchTest)
        or (isinstance(part, nodes.Named) and part.name in groups and _holds_event(groups[part.name].term, groups))
        for part in walk(term)
    )


def _near(event: str) -> str:
    return f"`if within 24 hours after event {event}`"
