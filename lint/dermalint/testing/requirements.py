"""Strategies for what rules require: sentences that can be meant, though seldom wise ones."""

from __future__ import annotations

from functools import cache

from hypothesis import strategies as st

from dermalint.packs.misplaced import only_events
from dermalint.testing.figures import BOUNDS, CLOCK_UNITS, DAY_UNITS, durations, one, quantities
from dermalint.testing.terms import moment_terms, product_terms
from dermalint.testing.words import DAY_SLOTS, NOWHERE, WORDS, Compared, Words, named
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Requirement, Term

_HERE = st.just(NOWHERE)
_PERIODS = ("routine", "day", "week", "month", "cycle")
_SUMMED = ("routine", "day")


@cache
def requirements(words: Words = WORDS) -> st.SearchStrategy[Requirement]:
    """Requirements of every sort."""
    term = product_terms(words, 5)
    return st.one_of(
        *_of_pairs(words, term), *_of_order(words, term), *_of_use(words, term), *_of_companions(words, term), _limits(words)
    )


def _of_pairs(words: Words, term: st.SearchStrategy[Term]) -> list[st.SearchStrategy[Requirement]]:
    apart = st.one_of(
        one(("routine", "day")).map(lambda within: nodes.Apart(within, None, None, None, NOWHERE)),
        durations().map(lambda length: nodes.Apart("duration", length, None, None, NOWHERE)),
        st.tuples(st.none() | durations(), st.none() | durations())
        .filter(any)
        .map(lambda sides: nodes.Apart("around", None, *sides, NOWHERE)),
    )
    moment = moment_terms(words, 4, daily=True)
    return [
        st.builds(nodes.Separate, term, moment_terms(words, 5), apart, _HERE),
        st.builds(nodes.SeparateUses, term, durations(), _HERE),
        st.builds(nodes.Wait, durations(CLOCK_UNITS), moment, moment, _HERE).filter(
            lambda wait: not (only_events(wait.first) and only_events(wait.second))
        ),
    ]


def _of_order(words: Words, term: st.SearchStrategy[Term]) -> list[st.SearchStrategy[Requirement]]:
    edge = one(("first", "last"))
    return [
        st.builds(nodes.ApplyChain, st.lists(term, min_size=2, max_size=4).map(tuple), _HERE),
        st.builds(nodes.ApplyEdge, term, edge, st.none() | term, st.none() | one(words.slots), _HERE),
        st.builds(nodes.ApplyDirectly, term, term, _HERE),
    ]


def _of_use(words: Words, term: st.SearchStrategy[Term]) -> list[st.SearchStrategy[Requirement]]:
    slot = one(words.slots).map(named)
    counted = one(("times", "days", *(slot for slot in DAY_SLOTS if slot in words.slots)))
    period = st.tuples(one(_PERIODS), st.just(1)) | st.tuples(st.just("days"), st.integers(1, 40))
    return [
        st.builds(nodes.UseOnly, term, st.lists(slot, min_size=1, max_size=3).map(tuple), _HERE),
        st.builds(nodes.NeverUse, term, slot, _HERE),
        st.builds(nodes.NeverUse, moment_terms(words, 4), st.none(), _HERE),
        st.builds(_count, term, BOUNDS, st.integers(1, 12), counted, period),
        st.builds(_count, term, st.just(nodes.Comparison.AT_MOST), st.integers(1, 12), counted, st.just(("row", 1))),
        st.builds(_products, term, BOUNDS, st.integers(1, 5), period),
        st.builds(nodes.UseFor, term, BOUNDS, durations(DAY_UNITS), _HERE),
    ]


def _count(term: Term, bound: nodes.Comparison, number: int, counted: str, period: tuple[str, int]) -> Requirement:
    return nodes.UseCount(term, bound, number, counted, *period, NOWHERE)


def _products(term: Term, bound: nodes.Comparison, number: int, period: tuple[str, int]) -> Requirement:
    return nodes.UseProducts(term, bound, number, *period, NOWHERE)


def _of_companions(words: Words, term: st.SearchStrategy[Term]) -> list[st.SearchStrategy[Requirement]]:
    every = one((*words.slots, "daylight", "routine", "day"))
    near = st.one_of(
        one(("routine", "day")).map(lambda where: nodes.Reach(where, None, None, NOWHERE)),
        durations().map(lambda length: nodes.Reach("within", length, None, NOWHERE)),
        st.tuples(durations(DAY_UNITS), every).map(lambda reach: nodes.Reach("every", *reach, NOWHERE)),
    )
    ahead = durations().map(lambda length: nodes.Reach("ahead", length, None, NOWHERE))
    trigger = moment_terms(words, 4, daily=True)
    companion = moment_terms(words, 4)
    tested = trigger.filter(lambda term: not only_events(term))
    test = st.builds(nodes.PatchTest, term, _HERE)
    return [
        st.builds(nodes.ExpectAround, st.just("after"), trigger, companion, near, _HERE),
        st.builds(nodes.ExpectAround, st.just("before"), trigger, companion, near | ahead, _HERE),
        st.builds(nodes.ExpectAround, st.just("before"), tested, test, near | ahead, _HERE),
        st.builds(nodes.ExpectEvery, term, one((*words.slots, "routine", "day")), st.none() | term, _HERE),
        st.builds(nodes.ExpectEvery, term, st.just("daylight"), st.none(), _HERE),
        st.builds(nodes.Renew, term, durations(CLOCK_UNITS, 8), _HERE),
    ]


def _limits(words: Words) -> st.SearchStrategy[Requirement]:
    return st.one_of(st.nothing(), *(_limit(words, measure) for measure in words.measures))


def _limit(words: Words, measure: Compared) -> st.SearchStrategy[Requirement]:
    """A limit of what can have the measure; only what adds up has a total."""
    chemical = measure.adds and measure.unit == "%"
    subject = one(words.chemistry if chemical else words.matter).map(lambda name: nodes.Named(name, NOWHERE))
    total = one(_SUMMED) if measure.adds else st.nothing()
    name = st.just(named(measure.name))
    return st.one_of(
        st.builds(nodes.Limit, name, subject, st.just(False), st.none(), BOUNDS, quantities(measure), _HERE),
        st.builds(nodes.Limit, name, subject, st.just(True), total, BOUNDS, quantities(measure), _HERE),
    )
