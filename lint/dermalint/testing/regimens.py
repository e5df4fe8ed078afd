"""Strategies for regimen files."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from typing import Any

from hypothesis import strategies as st

from dermalint.testing.figures import one
from dermalint.testing.words import DAY_SLOTS, WORDS, Words

Document = dict[str, Any]
"""A regimen file as plain data: what its YAML, JSON or TOML says."""

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_CYCLES = (1, 2, 3, 4, 7, 7, 7, 14)
_STARTS = date(2026, 3, 2)
_CONTACTS: tuple[Any, ...] = ("left-on", "left-on", "rinsed", {"rinsed": "2 min"}, {"timed": "10 min"})


def _day(from_start: int) -> str:
    return (_STARTS + timedelta(days=from_start)).isoformat()


_LATER = st.integers(0, 60).map(_day)
_EARLIER = st.integers(-700, -1).map(_day)
_CLOCKS = st.integers(0, 95).map(lambda quarter: f"{quarter // 4:02}:{quarter % 4 * 15:02}")


@st.composite
def regimens(draw: st.DrawFn, words: Words = WORDS, most: int = 4) -> Document:
    """Regimen files of up to ``most`` products that can be read without a mistake, as plain data.

    What rules look at comes in every form, and much is left unsaid at times: strengths, days, when the regimen starts.
    """
    keys = [f"product-{number}" for number in range(draw(st.integers(1, most)))]
    dated = draw(st.booleans())
    document: Document = {"regimen": "A generated regimen"}
    if dated:
        document["starts"] = _STARTS.isoformat()
    document["products"] = {key: draw(_products(words)) for key in keys}
    document["person"] = draw(_persons(words))
    if draw(st.booleans()):
        document["region"] = draw(one(words.regions))
    document |= draw(_timetables(words, keys, dated))
    if dated and draw(st.booleans()):
        document["events"] = draw(st.lists(_events(words), min_size=1, max_size=2))
    if draw(st.booleans()):
        document["history"] = draw(st.lists(_histories(keys), max_size=2, unique_by=lambda use: str(use["product"])))
    return document


def regimen_texts(words: Words = WORDS, most: int = 4) -> st.SearchStrategy[str]:
    """The same as YAML."""
    import yaml  # only who asks for texts needs it

    class Plainly(yaml.SafeDumper):
        """Writes what stands twice twice, as people do."""

        def ignore_aliases(self, data: object) -> bool:  # noqa: ARG002
            return True

    def write(document: Document) -> str:
        return str(yaml.dump(document, Dumper=Plainly, sort_keys=False, allow_unicode=True))

    return regimens(words, most).map(write)


@cache
def _products(words: Words) -> st.SearchStrategy[Document]:
    contents = st.dictionaries(one(words.chemistry), st.none() | one(("0.3 %", "2 %", "5 %", "10 %")), max_size=3)
    return st.fixed_dictionaries(
        {"kind": st.lists(one(words.kinds), min_size=1, max_size=2, unique=True)},
        optional={
            "base": one(words.bases),
            "contact": one(_CONTACTS),
            "contains": contents,
            "ph": one((3.0, 3.8, 5.5)),
            "spf": one((15, 30, 50)),
            "prescribed": st.booleans(),
            "form": one(("plain", "encapsulated")),
            "opened": _EARLIER,
        },
    )


@cache
def _persons(words: Words) -> st.SearchStrategy[Document]:
    def some(names: tuple[str, ...]) -> st.SearchStrategy[list[str]]:
        return st.lists(one(names), max_size=2, unique=True) if names else st.just([])

    return st.fixed_dictionaries(
        {},
        optional={
            "age": one((1, 12, 34, 70, "4 months")),
            "traits": some(words.traits),
            "symptoms": some(words.symptoms),
            "reasons": some(words.reasons),
            "allergies": some(words.allergies),
            "phototype": one(("I", "II", "IV", "VI")),
            "takes": some(words.substances),
        },
    )


@st.composite
def _timetables(draw: st.DrawFn, words: Words, keys: list[str], dated: bool) -> Document:
    """Routines in a cycle, or in phases one after the other."""
    if draw(st.integers(0, 3)):
        cycle = draw(one(_CYCLES))
        return {"cycle": f"{cycle} days", "routines": draw(_routines(words, keys, cycle, dated))}
    phases: list[Document] = []
    for number in range(draw(st.integers(1, 3))):
        cycle = draw(one(_CYCLES))
        length = {} if number == 2 else {"for": f"{draw(st.integers(1, 4))} weeks"}
        phases.append({**length, "cycle": f"{cycle} days", "routines": draw(_routines(words, keys, cycle, dated))})
    return {"phases": phases}


def _routines(words: Words, keys: list[str], cycle: int, dated: bool) -> st.SearchStrategy[list[Document]]:
    days: list[st.SearchStrategy[Any]] = [
        st.just("every"),
        st.lists(st.integers(1, cycle), min_size=1, max_size=3, unique=True),
        st.integers(1, 4).map(lambda turn: f"every {turn} day{'s' * (turn > 1)}"),
    ]
    if cycle == 7:
        days += [st.lists(one(_WEEKDAYS), min_size=1, max_size=4, unique=True), one(_WEEKDAYS).map(lambda day: f"not {day}")]
    slots = tuple(slot for slot in DAY_SLOTS if slot in words.slots)
    plain = st.fixed_dictionaries(
        {"slot": one(slots), "days": st.one_of(*days), "steps": _steps(words, keys)},
        optional={"at": _CLOCKS, "only-if": one(("going out", "not going out"))},
    )
    on_dates = st.fixed_dictionaries(
        {"slot": one(slots), "dates": st.lists(_LATER, min_size=1, max_size=2, unique=True), "steps": _steps(words, keys)}
    )
    return st.lists(st.one_of(plain, plain, plain, on_dates) if dated else plain, min_size=1, max_size=4)


def _steps(words: Words, keys: list[str]) -> st.SearchStrategy[list[Any]]:
    product = one(keys)
    areas = st.lists(one(words.areas), min_size=1, max_size=2, unique=True)
    details = st.fixed_dictionaries(
        {"product": product},
        optional={
            "areas": areas,
            "contact": one(_CONTACTS),
            "as-needed": st.just(True),
            "skin": one(("damp", "dry")),
            "amount": one(("0.5 g", "2 drops")),
        },
    )
    wait = one(({"wait": "10 min"}, {"wait": "30 min"}, {"wait": {"until": "skin is dry"}}))
    kinds: list[st.SearchStrategy[Any]] = [product, product, details, wait]
    if len(keys) > 1:
        kinds.append(st.fixed_dictionaries({"mix": st.lists(product, min_size=2, max_size=2, unique=True)}))
    return st.lists(st.one_of(*kinds), min_size=1, max_size=5)


@cache
def _events(words: Words) -> st.SearchStrategy[Document]:
    when = st.fixed_dictionaries({"event": one(words.events), "on": _LATER}, optional={"at": _CLOCKS})
    again = st.fixed_dictionaries(
        {
            "event": one(words.events),
            "every": st.integers(2, 20).map("{} days".format),
            "from": _LATER,
            "times": st.integers(1, 4),
        }
    )
    return when | again


def _histories(keys: list[str]) -> st.SearchStrategy[Document]:
    return st.fixed_dictionaries(
        {"product": one(keys), "since": _EARLIER}, optional={"uses": one(("3 per week", "every 2 days", "daily"))}
    )
