"""Strategies for terms and conditions."""

from __future__ import annotations

from functools import cache

from hypothesis import strategies as st

from dermalint.testing.figures import (
    BOUNDS,
    CLOCK_UNITS,
    COMPARISONS,
    DATES,
    DAY_UNITS,
    LONG_UNITS,
    durations,
    one,
    quantities,
)
from dermalint.testing.words import NOWHERE, WORDS, Compared, Words
from dermalint.vocabulary.world import BUILT_IN_EVENTS as WORLD_EVENTS
from dermalint.vocabulary.world import SKIN_STATES
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Condition, Term

_HERE = st.just(NOWHERE)
BUILT_IN_EVENTS = tuple(WORLD_EVENTS)
_SPELLS = durations(DAY_UNITS)


@cache
def terms(words: Words = WORDS, most: int = 8) -> st.SearchStrategy[Term]:
    """Terms of at most ``most`` names or so, nested in every way that can be read, whether or not a sentence can mean it."""
    events = st.builds(nodes.EventIs, one(words.events + BUILT_IN_EVENTS), _HERE)
    tests = st.builds(nodes.PatchTest, product_terms(words, 2), _HERE)
    simple = st.one_of(_simple_terms(words), events, tests)
    return st.recursive(simple, lambda inner: _composed_terms(words, inner), max_leaves=most)


@cache
def product_terms(words: Words = WORDS, most: int = 8) -> st.SearchStrategy[Term]:
    """Terms for what is applied: no events and no patch tests are in them."""
    return st.recursive(_simple_terms(words), lambda inner: _composed_terms(words, inner), max_leaves=most)


@cache
def moment_terms(words: Words = WORDS, most: int = 8, daily: bool = False) -> st.SearchStrategy[Term]:
    """Terms for what is applied or happens; with ``daily`` also bed and daylight, which stand alone."""
    events = st.builds(nodes.EventIs, one(words.events), _HERE)
    simple = st.one_of(_simple_terms(words), events)
    nested = st.recursive(simple, lambda inner: _composed_terms(words, inner), max_leaves=most)
    return nested | st.builds(nodes.EventIs, one(BUILT_IN_EVENTS), _HERE) if daily else nested


def _simple_terms(words: Words) -> st.SearchStrategy[Term]:
    named: st.SearchStrategy[Term] = st.builds(nodes.Named, one(words.matter), _HERE)
    rare: st.SearchStrategy[Term] = st.one_of(
        st.builds(nodes.AnyProduct, _HERE),
        st.builds(nodes.BaseIs, one(words.bases), _HERE),
        st.builds(nodes.Literal, one(words.labels), _HERE),
    )
    return st.one_of(named, named, named, rare, *(_measured(words, measure) for measure in words.measures))


def _measured(words: Words, measure: Compared) -> st.SearchStrategy[Term]:
    """A comparison of what can have the measure: strengths belong to substances and families."""
    chemical = measure.adds and measure.unit == "%"
    subject = st.builds(nodes.Named, one(words.chemistry if chemical else words.matter), _HERE)
    return st.builds(nodes.Measured, subject, st.just(measure.name), COMPARISONS, quantities(measure), _HERE)


def _composed_terms(words: Words, inner: st.SearchStrategy[Term]) -> st.SearchStrategy[Term]:
    several = st.lists(inner, min_size=2, max_size=4).map(tuple)
    return st.one_of(
        st.builds(nodes.OneOf, several, _HERE),
        st.builds(nodes.AllOf, several, _HERE),
        st.builds(nodes.Except, inner, inner, _HERE),
        st.builds(nodes.NotTerm, inner, _HERE),
        st.builds(nodes.Contacted, one(("left-on", "rinsed", "timed")), inner, _HERE),
        st.builds(nodes.Marked, one(("prescribed", "encapsulated", "made-up")), inner, _HERE),
        st.builds(nodes.WithContact, inner, COMPARISONS, durations(CLOCK_UNITS), _HERE),
        st.builds(nodes.OnArea, inner, one(words.areas), _HERE),
        st.builds(nodes.FirstUse, inner, _HERE),
    )


@cache
def conditions(words: Words = WORDS, most: int = 5) -> st.SearchStrategy[Condition]:
    """Conditions of at most ``most`` facts or so, joined by ``and``, ``or`` and ``not``."""
    return st.recursive(st.one_of(*_facts(words)), _composed_conditions, max_leaves=most)


def _composed_conditions(inner: st.SearchStrategy[Condition]) -> st.SearchStrategy[Condition]:
    several = st.lists(inner, min_size=2, max_size=3).map(tuple)
    return st.one_of(
        st.builds(nodes.AnyCondition, several, _HERE),
        st.builds(nodes.EveryCondition, several, _HERE),
        st.builds(nodes.NotCondition, inner, _HERE),
    )


def _facts(words: Words) -> list[st.SearchStrategy[Condition]]:
    term = product_terms(words, 3)
    moment = moment_terms(words, 3, daily=True)
    side = one(("after", "before"))
    return [
        st.builds(nodes.PersonIs, one(words.traits + words.symptoms), one(("is", "has")), _HERE),
        st.builds(nodes.AllergicTo, one(words.allergies + words.chemistry), _HERE),
        st.builds(nodes.Takes, one(words.chemistry), st.none() | durations(LONG_UNITS), _HERE),
        st.builds(nodes.ReasonIs, one(words.reasons), _HERE),
        st.builds(nodes.Age, COMPARISONS, durations((nodes.Unit.MONTH, nodes.Unit.YEAR), 90), _HERE),
        st.builds(nodes.Phototype, BOUNDS, st.integers(1, 6), _HERE),
        st.builds(nodes.RegionIs, one(words.regions), _HERE),
        st.builds(nodes.SkinIs, one(SKIN_STATES), _HERE),
        st.builds(_has, one(("routine", "day", "regimen")), term, st.none() | side, term),
        st.builds(nodes.Around, side, moment, durations(), _HERE),
        st.builds(nodes.DuringFirst, _SPELLS, term, _HERE, st.none() | _SPELLS),
        st.builds(nodes.FromDate, DATES, _HERE),
        st.builds(nodes.UntilDate, DATES, _HERE),
    ]


def _has(where: str, term: Term, order: str | None, anchor: Term) -> Condition:
    return nodes.Has(where, term, order, None if order is None else anchor, NOWHERE)
