"""Strategies for examples in compact notation."""

from __future__ import annotations

from functools import cache

from hypothesis import strategies as st

from dermalint.testing.figures import CLOCK_UNITS, DATES, DAY_UNITS, LONG_UNITS, durations, numbers, one
from dermalint.testing.words import NOWHERE, WORDS, Words, named
from dermalint_grammar.nodes import Example, ExampleEvent, ExampleRoutine, ExampleStep, Given, Remark, Unit

_HERE = st.just(NOWHERE)
_MARKS = ("prescribed", "encapsulated", "made-up", "new", "as-needed")


@cache
def examples(words: Words = WORDS) -> st.SearchStrategy[Example]:
    """Examples of the notation: their words fit together, whether or not they show what a rule means."""
    routine = st.builds(_routine, st.none() | st.integers(1, 14), st.booleans(), one(words.slots), _steps(words))
    event = st.builds(ExampleEvent, one(words.events), st.integers(1, 14), _HERE)
    parts = st.lists(st.one_of(routine, routine, event), min_size=1, max_size=4).map(tuple)
    return st.builds(Example, st.booleans(), st.lists(_givens(words), max_size=2).map(tuple), parts, st.none(), _HERE)


def _routine(day: int | None, weekday: bool, slot: str, steps: tuple[ExampleStep, ...]) -> ExampleRoutine:
    return ExampleRoutine(day, weekday and day is not None and day <= 7, slot, steps, NOWHERE)


def _steps(words: Words) -> st.SearchStrategy[tuple[ExampleStep, ...]]:
    what = one(words.chemistry + words.kinds).map(named)
    remarks = st.lists(_remarks(words), max_size=3).map(tuple)
    applied = st.builds(ExampleStep, what, st.none() | numbers(), remarks, st.none(), _HERE)
    wait = st.builds(ExampleStep, st.none(), st.none(), st.just(()), durations(CLOCK_UNITS), _HERE)
    return st.lists(st.one_of(applied, applied, applied, wait), min_size=1, max_size=4).map(tuple)


def _remarks(words: Words) -> st.SearchStrategy[Remark]:
    plain = [measure.name for measure in words.measures if measure.unit != "%"]
    return st.one_of(
        one(("rinsed", "left-on")).map(lambda word: Remark("contact", word, None, None, NOWHERE)),
        durations(CLOCK_UNITS).map(lambda length: Remark("contact", "timed", None, length, NOWHERE)),
        durations(LONG_UNITS).map(lambda length: Remark("used", "used", None, length, NOWHERE)),
        one(_MARKS).map(lambda word: Remark("mark", word, None, None, NOWHERE)),
        one(words.areas).map(lambda word: Remark("area", word, None, None, NOWHERE)),
        one(words.bases).map(lambda word: Remark("base", word, None, None, NOWHERE)),
        st.builds(Remark, st.just("content"), one(words.chemistry), st.none() | numbers(), st.none(), _HERE),
        st.builds(Remark, st.just("content"), one(words.kinds), st.none(), st.none(), _HERE),
        st.builds(Remark, st.just("measure"), one(plain), numbers(14), st.none(), _HERE) if plain else st.nothing(),
    )


def _givens(words: Words) -> st.SearchStrategy[Given]:
    age = durations((Unit.MONTH, Unit.YEAR), 90)
    length = durations(DAY_UNITS, 14)
    return st.one_of(
        one(words.traits + words.symptoms).map(lambda name: Given("trait", name, None, None, NOWHERE)),
        age.map(lambda duration: Given("age", "", None, duration, NOWHERE)),
        one(words.chemistry).map(lambda name: Given("takes", name, None, None, NOWHERE)),
        one(words.allergies + words.chemistry).map(lambda name: Given("allergic", name, None, None, NOWHERE)),
        one(words.reasons).map(lambda name: Given("reason", name, None, None, NOWHERE)),
        st.integers(1, 6).map(lambda number: Given("phototype", "", number, None, NOWHERE)),
        one(words.regions).map(lambda name: Given("region", name, None, None, NOWHERE)),
        DATES.map(lambda day: Given("as-of", day, None, None, NOWHERE)),
        length.map(lambda duration: Given("for", "", None, duration, NOWHERE)),
        length.map(lambda duration: Given("cycle", "", duration.days, duration, NOWHERE)),
    )
