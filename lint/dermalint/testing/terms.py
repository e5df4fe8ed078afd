"""Strategies for terms and conditions."""

from __future__ import annotations

from hypothesis import strategies as st

from dermalint.testing.figures import BOUNDS, COMPARISONS, DATES, TEXTS, durations, one, quantities
from dermalint.testing.words import NOWHERE, WORDS, Compared, Words
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Condition, Term

_HERE = st.just(NOWHERE)
_BUILT_IN_EVENTS = ("bed", "daylight")
_SKIN = ("dry", "damp")


def terms(words: Words = WORDS, most: int = 8) -> st.SearchStrategy[Term]:
    """Terms of at most ``most`` names or so, nested in every way the language knows."""
    return st.recursive(_simple_terms(words), lambda inner: _composed_terms(words, inner), max_leaves=most)


def _simple_terms(words: Words) -> st.SearchStrategy[Term]:
    named: st.SearchStrategy[Term] = st.builds(nodes.Named, one(words.matter), _HERE)
    rare: st.SearchStrategy[Term] = st.one_of(
        st.builds(nodes.AnyProduct, _HERE),
        st.builds(nodes.BaseIs, one(words.bases), _HERE),
        st.builds(nodes.EventIs, one(words.events + _BUILT_IN_EVENTS), _HERE),
        st.builds(nodes.Literal, TEXTS, _HERE),
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
        st.builds(nodes.WithContact, inner, COMPARISONS, durations(), _HERE),
        st.builds(nodes.OnArea, inner, one(words.areas), _HERE),
        st.builds(nodes.FirstUse, inner, _HERE),
        st.builds(nodes.PatchTest, inner, _HERE),
    )


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
    term = terms(words, 3)
    side = one(("after", "before"))
    return [
        st.builds(nodes.PersonIs, one(words.traits + words.symptoms), one(("is", "has")), _HERE),
        st.builds(nodes.AllergicTo, one(words.allergies + words.chemistry), _HERE),
        st.builds(nodes.Takes, one(words.chemistry), st.none() | durations(), _HERE),
        st.builds(nodes.ReasonIs, one(words.reasons), _HERE),
        st.builds(nodes.Age, COMPARISONS, durations((nodes.Unit.MONTH, nodes.Unit.YEAR), 90), _HERE),
        st.builds(nodes.Phototype, BOUNDS, st.integers(1, 6), _HERE),
        st.builds(nodes.RegionIs, one(words.regions), _HERE),
        st.builds(nodes.SkinIs, one(_SKIN), _HERE),
        st.builds(_has, one(("routine", "day", "regimen")), term, st.none() | side, term),
        st.builds(nodes.Around, side, term, durations(), _HERE),
        st.builds(nodes.DuringFirst, durations((nodes.Unit.DAY, nodes.Unit.WEEK)), term, _HERE, st.none() | _pauses()),
        st.builds(nodes.FromDate, DATES, _HERE),
        st.builds(nodes.UntilDate, DATES, _HERE),
    ]


def _has(where: str, term: Term, order: str | None, anchor: Term) -> Condition:
    return nodes.Has(where, term, order, None if order is None else anchor, NOWHERE)


def _pauses() -> st.SearchStrategy[nodes.Duration]:
    return durations((nodes.Unit.DAY, nodes.Unit.WEEK))
