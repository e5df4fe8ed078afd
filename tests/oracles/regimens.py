"""Small random regimens."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

from dermalint.regimen.model import (
    ApplyStep,
    Contact,
    Content,
    DayClock,
    Days,
    Event,
    Medicine,
    Mention,
    Outdoors,
    OwnSlot,
    PastTest,
    PastUse,
    Person,
    Phase,
    Product,
    Regimen,
    Routine,
    WaitStep,
)
from dermalint.spans import Place
from dermalint_grammar.nodes import BILLION
from oracles import words

HERE = Place(0, 1, "", "trial.regimen.yaml")
AS_OF = date(2026, 3, 2)
NIGHT = {"morning": 975, "midday": 1260, "afternoon": 60, "evening": 500}  # a night worker's day


def _name(text: str) -> Mention:
    return Mention(text, HERE)


def _rarely(draw: st.DrawFn, often: int = 5) -> bool:
    return draw(st.integers(0, often)) == often  # shrinks to no


STRENGTHS = [3 * BILLION // 10, BILLION, 2 * BILLION, 5 * BILLION, 8 * BILLION]


@st.composite
def products(draw: st.DrawFn, key: str) -> Product:
    """A product of a few substances."""
    likely = ["retinol", "glycolic-acid", "retinol", "glycolic-acid", *words.SUBSTANCES, "aha"]
    names = draw(st.lists(st.sampled_from(likely), max_size=2, unique=True))
    contains = tuple(Content(n, None if _rarely(draw) else draw(st.sampled_from(STRENGTHS)), HERE) for n in names)
    fewest, most = (0, 1) if contains else (1, 2)
    kinds = draw(st.lists(st.sampled_from(words.KINDS), min_size=fewest, max_size=most, unique=True))
    base = draw(st.sampled_from(["water", "oil", "emulsion", None]))
    contact = draw(st.sampled_from([Contact()] * 4 + [Contact("rinsed"), Contact("rinsed", 2), Contact("timed", 10)]))
    return Product(
        key,
        HERE,
        kinds=tuple(_name(kind) for kind in kinds),
        base=None if base is None else _name(base),
        contact=contact,
        ph=draw(st.sampled_from([35 * BILLION // 10, 55 * BILLION // 10, None])),
        spf=draw(st.sampled_from([None, 15 * BILLION, 30 * BILLION])) if "sunscreen" in kinds else None,
        contains=contains,
        prescribed=_rarely(draw),
        made_up=_rarely(draw),
        form="encapsulated" if _rarely(draw) else "plain",
        opened=draw(st.sampled_from([None, None, date(2025, 8, 20), date(2026, 2, 1)])),
    )


AREAS = [(), (), (), (), ("face",), ("cheeks",), ("beard",), ("spots",), ("face", "neck"), ("hands",), ("face", "hands")]


@st.composite
def steps(draw: st.DrawFn, keys: list[str]) -> ApplyStep | WaitStep:
    """An application, a mix, or a wait."""
    if _rarely(draw):
        return draw(st.sampled_from([WaitStep(5, HERE), WaitStep(15, HERE), WaitStep(40, HERE), WaitStep(None, HERE, "dry")]))
    applied = [draw(st.sampled_from(keys))]
    if len(keys) > 1 and _rarely(draw, 8):
        applied.append(draw(st.sampled_from([key for key in keys if key not in applied])))
    areas = draw(st.sampled_from(AREAS))
    repeat = _rarely(draw, 9)
    needed = _rarely(draw, 7)
    return ApplyStep(
        tuple(_name(key) for key in applied),
        HERE,
        areas=tuple(_name(area) for area in areas),
        without=(_name("chin"),) if "spots" not in areas and areas[:1] in ((), ("face",)) and _rarely(draw, 9) else (),
        contact=draw(st.sampled_from([None] * 8 + [Contact(), Contact("timed", 30), Contact("rinsed")])),
        as_needed=needed,
        at_most=draw(st.sampled_from([None, 2])) if needed else None,
        repeat_minutes=150 if repeat else None,
        repeat_until=draw(st.sampled_from([None, 1080])) if repeat else None,
        skin=draw(st.sampled_from([None] * 6 + ["dry", "damp"])),
    )


@st.composite
def some_days(draw: st.DrawFn, cycle: int, starts: date | None) -> Days:
    """All days, numbered ones, weekdays, or every so many."""
    sort = draw(st.sampled_from(["all", "numbers", "numbers", "weekdays" if cycle == 7 else "numbers", "every", "not"]))
    if sort == "all":
        return Days()
    if sort == "every":
        anchor = starts + timedelta(days=1) if starts and _rarely(draw) else None
        return Days(every=draw(st.sampled_from([2, 3])), anchor=anchor)
    chosen = tuple(sorted(draw(st.sets(st.integers(1, cycle), min_size=1, max_size=3))))
    if sort == "weekdays":
        return Days(weekdays=chosen, negated=_rarely(draw))
    return Days(numbers=chosen, negated=sort == "not" and len(chosen) < cycle)


@st.composite
def routines(draw: st.DrawFn, keys: list[str], cycle: int, slots: list[str], starts: date | None) -> Routine:
    """Steps in a slot."""
    chosen = draw(st.lists(steps(keys), min_size=1, max_size=3))
    while chosen and isinstance(chosen[-1], WaitStep):
        chosen.pop()
    slot = draw(st.sampled_from(["evening", "morning", *slots]))
    at = draw(st.sampled_from([None] * 6 + [1350, 1220])) if slot == "evening" and "after-sport" in slots else None
    dates = (starts + timedelta(days=draw(st.integers(0, 9))),) if starts is not None and _rarely(draw) else ()
    return Routine(
        _name(slot),
        tuple(chosen) or (ApplyStep((_name(keys[0]),), HERE),),
        HERE,
        days=Days() if dates else draw(some_days(cycle, starts)),
        dates=dates,
        at=at,
        only_if=draw(st.sampled_from([None] * 8 + ["going out", "not going out"])),
    )


@st.composite
def people(draw: st.DrawFn, starts: date | None) -> Person:
    """A person."""

    def since() -> date | None:
        return draw(st.sampled_from([None, AS_OF - timedelta(days=20), (starts or AS_OF) + timedelta(days=4)]))

    traits = draw(st.lists(st.sampled_from(words.TRAITS), max_size=1))
    medicine = Medicine("retinol", HERE, since(), draw(st.sampled_from([None, AS_OF - timedelta(3), AS_OF + timedelta(6)])))
    return Person(
        age_months=draw(st.sampled_from([None, 30, 144, 400])),
        traits=tuple(Mention(trait, HERE, since()) for trait in traits),
        reasons=(_name("acne"),) if _rarely(draw, 2) else (),
        symptoms=(Mention("peeling", HERE, since()),) if _rarely(draw, 3) else (),
        allergies=(_name("aspirin"),) if _rarely(draw, 2) else (),
        phototype=draw(st.sampled_from([None, 2, 5])),
        takes=(medicine,) if _rarely(draw, 3) else (),
    )


@st.composite
def events(draw: st.DrawFn, starts: date | None, cycle: int) -> Event:
    """Something that is no product."""
    areas = tuple(_name(area) for area in draw(st.sampled_from([(), (), ("cheeks",), ("neck",), ("spots",)])))
    name = _name(draw(st.sampled_from(words.EVENTS)))
    if starts is not None and draw(st.booleans()):
        on = starts + timedelta(days=draw(st.integers(0, 9)))
        return Event(name, HERE, on=on, at=draw(st.sampled_from([None, 1140])), areas=areas)
    days = Days(numbers=(draw(st.integers(1, cycle)),))
    slot = draw(st.sampled_from(["morning", "evening", None]))
    if slot is None:
        return Event(name, HERE, days=days, at=draw(st.sampled_from([120, 720, 1140])), areas=areas)
    return Event(name, HERE, slot=_name(slot), days=days, at=None, areas=areas)


@st.composite
def lights(draw: st.DrawFn, cycle: int) -> Outdoors:
    """Time outdoors, or areas that are covered."""
    sort = draw(st.sampled_from(["interval", "indoors", "covered", "window"]))
    days = Days() if _rarely(draw, 1) else Days(numbers=(draw(st.integers(1, cycle)),))
    if sort == "covered":
        return Outdoors(HERE, covered=(_name(draw(st.sampled_from(["neck", "hands", "cheeks", "face"]))),))
    if sort == "indoors":
        return Outdoors(HERE, days=days, indoors=True)
    start = draw(st.sampled_from([480, 600, 425]))
    return Outdoors(HERE, days=days, start=start, end=start + 270, behind="window" if sort == "window" else None)


@st.composite
def regimens(draw: st.DrawFn) -> Regimen:
    """A small regimen: 1 to 4 products in 1 to 3 routines, sometimes with phases, a calendar, a history, events."""
    keys = [f"p{number}" for number in range(1, draw(st.integers(1, 4)) + 1)]
    starts = draw(st.sampled_from([None, None, None, date(2026, 3, 2), date(2026, 3, 4)]))
    cycle = draw(st.sampled_from([7, 1, 2, 3, 4, 5, 9]))
    clock, slots = draw(st.sampled_from(CLOCKS))
    lengths: list[int | None] = draw(st.sampled_from([[None]] * 5 + [[4], [12], [3, None], [9, None], [2, 5, None], [6, 7]]))
    phases = []
    for length in lengths:
        inside = draw(st.lists(routines(keys, cycle, slots, starts), min_size=1, max_size=3))
        phases.append(Phase(length, cycle, tuple(inside), HERE))
        if _rarely(draw, 2):
            cycle = draw(st.sampled_from([2, 3, 7]))
    return Regimen(
        "Trial",
        {key: draw(products(key)) for key in keys},
        tuple(phases),
        HERE,
        starts=starts,
        person=draw(people(starts)) if _rarely(draw, 1) else Person(),
        clock=clock,
        events=tuple(draw(st.lists(events(starts, phases[-1].cycle), max_size=2))) if _rarely(draw, 2) else (),
        outdoors=tuple(draw(st.lists(lights(phases[-1].cycle), max_size=2))) if _rarely(draw, 2) else (),
        history=draw(histories(keys, starts)),
    )


SPORT = OwnSlot("after-sport", 1080, "afternoon", HERE)
CLOCKS: list[Any] = [
    (DayClock(), ["midday", "afternoon"]),
    (DayClock(), []),
    (DayClock({"evening": 1365, "bed": 30}), []),
    (DayClock({"morning": 360}, (SPORT,)), ["after-sport"]),
    (DayClock(NIGHT), ["midday"]),
]


@st.composite
def histories(draw: st.DrawFn, keys: list[str], starts: date | None) -> tuple[PastUse | PastTest, ...] | None:
    """What was used before: not known, nothing, or some of the products."""
    if not _rarely(draw, 2):
        return None
    begin = starts or AS_OF
    found: list[PastUse | PastTest] = []
    for key in draw(st.lists(st.sampled_from(keys), max_size=2, unique=True)):
        since = begin - timedelta(days=draw(st.sampled_from([3, 12, 40])))
        found.append(PastUse(_name(key), HERE, since, draw(st.sampled_from([None, None, begin - timedelta(days=2)]))))
    for key in draw(st.lists(st.sampled_from(keys), max_size=1)):
        reaction = draw(st.sampled_from(["none", "none", "mild"]))
        found.append(PastTest(_name(key), HERE, begin - timedelta(days=draw(st.integers(1, 3))), 24, reaction=reaction))
    return tuple(found)
