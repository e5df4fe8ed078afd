"""Names in a regimen file against the world."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from dermalint.regimen.model import (
    ApplyStep,
    Content,
    Event,
    Medicine,
    Mention,
    Outdoors,
    PastTest,
    Person,
    Phase,
    Problem,
    Product,
    Regimen,
    Routine,
)
from dermalint.spans import Place
from dermalint.vocabulary.regimen_names import check_names
from dermalint.vocabulary.world import Family, Substance, World

WORLD = World(
    substances={
        "glycolic-acid": Substance("glycolic-acid", ("Glycolic Acid",), ("hydroxyacetic acid",)),
        "ascorbic-acid": Substance("ascorbic-acid", ("Ascorbic Acid",), ("vitamin C",)),
        "retinol": Substance("retinol", ("Retinol",), families=("retinoid",)),
    },
    families={"retinoid": Family("retinoid", "retinoids")},
    labels={
        "glycolic acid": "glycolic-acid",
        "hydroxyacetic acid": "glycolic-acid",
        "ascorbic acid": "ascorbic-acid",
        "vitamin c": "ascorbic-acid",
        "retinol": "retinol",
    },
    spellings={
        "glycolic-acid": "glycolic-acid",
        "hydroxyacetic-acid": "glycolic-acid",
        "ascorbic-acid": "ascorbic-acid",
        "vitamin-c": "ascorbic-acid",
        "retinol": "retinol",
    },
    kinds={"serum": "serum", "moisturiser": "moisturiser"},
    bases={"water": "", "emulsion": ""},
    traits={"pregnant": "pregnant", "eczema": "eczema"},
    symptoms={"peeling": "peeling"},
    allergies={"aspirin": "aspirin"},
    reasons={"acne": "acne", "eczema": "eczema"},
    regions={"eu": "European Union"},
    events={"waxing": "waxing"},
    areas={"face": 3, "cheeks": 1},
)


def at(start: int) -> Place:
    return Place(start, start + 1)


def mention(name: str, start: int = 5) -> Mention:
    return Mention(name, at(start))


def problems(**parts: Any) -> list[tuple[str, str, str | None]]:
    """Level, message and suggestion for a regimen with these parts."""
    return [(each.level, each.message, each.suggestion) for each in check(**parts)]


def check(products: Mapping[str, Product] | None = None, phases: tuple[Phase, ...] = (), **parts: Any) -> tuple[Problem, ...]:
    return check_names(Regimen("A title", products or {}, phases, at(0), **parts), WORLD)


def product(**parts: Any) -> dict[str, Product]:
    return {"lotion": Product("lotion", at(1), **parts)}


def contains(*names: str) -> dict[str, Product]:
    return product(contains=tuple(Content(name, None, at(10 + number)) for number, name in enumerate(names)))


def step(**parts: Any) -> tuple[Phase, ...]:
    routine = Routine(mention("evening"), (ApplyStep((mention("lotion"),), at(20), **parts),), at(19))
    return (Phase(None, 7, (routine,), at(18)),)


def test_known_names_give_no_problems() -> None:
    assert (
        check(
            product(
                kinds=(mention("serum"),),
                base=mention("water"),
                contains=(Content("retinoid", None, at(3)), Content("glycolic-acid", 5_000_000_000, at(4))),
            ),
            step(areas=(mention("face"),), without=(mention("cheeks"),)),
            person=Person(
                traits=(mention("pregnant"), mention("eczema")),
                symptoms=(mention("peeling"),),
                reasons=(mention("eczema"),),
                allergies=(mention("aspirin"), mention("retinol"), mention("retinoid")),
                takes=(Medicine("retinol", at(8)),),
            ),
            region=mention("eu"),
            events=(Event(mention("waxing"), at(30), areas=(mention("face"),)),),
            outdoors=(Outdoors(at(40), covered=(mention("cheeks"),)),),
            history=(PastTest(mention("lotion"), at(50), areas=(mention("face"),)),),
        )
        == ()
    )


@pytest.mark.parametrize(
    ("parts", "noun", "suggestion"),
    [
        ({"products": contains("glycolc-acid")}, "substance or family", "glycolic-acid"),
        ({"products": contains("hydroxyacetc acid")}, "substance or family", "glycolic-acid"),
        ({"products": contains("zzz")}, "substance or family", None),
        ({"products": product(kinds=(mention("serumm"),))}, "kind of product", "serum"),
        ({"products": product(base=mention("watr"))}, "base", "water"),
        ({"phases": step(areas=(mention("chekes"),))}, "area", "cheeks"),
        ({"phases": step(without=(mention("chekes"),))}, "area", "cheeks"),
        ({"events": (Event(mention("waxng"), at(30)),)}, "event", "waxing"),
        ({"events": (Event(mention("waxing"), at(30), areas=(mention("fase"),)),)}, "area", "face"),
        ({"outdoors": (Outdoors(at(40), covered=(mention("fase"),)),)}, "area", "face"),
        ({"history": (PastTest(mention("lotion"), at(50), areas=(mention("fase"),)),)}, "area", "face"),
        ({"region": mention("eur")}, "region", "eu"),
        ({"person": Person(traits=(mention("pregnnt"),))}, "trait", "pregnant"),
        ({"person": Person(symptoms=(mention("peling"),))}, "symptom", "peeling"),
        ({"person": Person(reasons=(mention("acnee"),))}, "reason", "acne"),
        ({"person": Person(allergies=(mention("aspirn"),))}, "allergy", "aspirin"),
        ({"person": Person(takes=(Medicine("retinoll", at(8)),))}, "medicine", "retinol"),
    ],
)
def test_unknown_names(parts: dict[str, Any], noun: str, suggestion: str | None) -> None:
    ((level, message, suggested),) = problems(**parts)
    assert level == "error"
    assert message.startswith(f"There is no {noun} called ")
    assert suggested == suggestion


@pytest.mark.parametrize(
    ("written", "key", "message"),
    [
        (
            "hydroxyacetic acid",
            "glycolic-acid",
            "hydroxyacetic acid is another name of Glycolic Acid; it is read as glycolic-acid.",
        ),
        ("vitamin-c", "ascorbic-acid", "vitamin-c is another name of Ascorbic Acid; it is read as ascorbic-acid."),
        ("Glycolic Acid", "glycolic-acid", "Glycolic Acid is read as glycolic-acid."),
    ],
)
def test_another_name_of_a_substance_is_a_hint(written: str, key: str, message: str) -> None:
    assert problems(products=contains(written)) == [("hint", message, key)]


@pytest.mark.parametrize(
    ("person", "message", "suggestion"),
    [
        (
            Person(traits=(mention("peeling"),)),
            "peeling is a symptom, not a trait: write it under `symptoms`.",
            "symptoms: peeling",
        ),
        (
            Person(symptoms=(mention("pregnant"),)),
            "pregnant is a trait, not a symptom: write it under `traits`.",
            "traits: pregnant",
        ),
        (
            Person(reasons=(mention("aspirin"),)),
            "aspirin is an allergy, not a reason: write it under `allergies`.",
            "allergies: aspirin",
        ),
    ],
)
def test_a_name_in_the_wrong_list(person: Person, message: str, suggestion: str) -> None:
    assert problems(person=person) == [("error", message, suggestion)]


def test_a_family_given_as_a_kind() -> None:
    ((_, message, _),) = problems(products=product(kinds=(mention("retinoid"),)))
    assert message == "retinoid is a substance or family, not a kind of product: write it under `contains`."


def test_problems_come_in_the_order_of_the_text() -> None:
    found = check(
        contains("zzz", "glycolc-acid"), step(areas=(mention("fase", 90), mention("fase", 90))), region=mention("eur", 2)
    )
    assert [each.place.start for each in found if each.place] == [2, 10, 11, 90]


def test_where_no_name_is_near_the_few_that_there_are_are_told() -> None:
    world = World(reasons={"acne": "acne", "dark-spots": "dark spots"})
    place = Place(3, 9)
    regimen = Regimen("T", {}, (), place, person=Person(reasons=(Mention("pigmentation", place),)))
    (problem,) = check_names(regimen, world)
    assert problem.message == "There is no reason called pigmentation."
    assert problem.suggestion == "There is: acne, dark-spots."
