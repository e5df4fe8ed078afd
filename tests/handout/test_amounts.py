"""Amounts against the published tables."""

from __future__ import annotations

from fractions import Fraction

import pytest

from dermalint.handout.amounts import (
    ADULT_TENTHS,
    FTU_COVERS_MEN,
    FTU_COVERS_WOMEN,
    finger_tips_for,
    sunscreen_for_face_and_neck,
)
from dermalint.regimen.amounts import FTU_MEN, FTU_WOMEN, Amount, Span, finger_tip, read_amount, weigh
from dermalint.regimen.model import Person

ADULT = Person()
TWO_YEARS = Person(age_months=24)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("0.5 g", Amount(Fraction(1, 2), "g")),
        ("500 mg", Amount(Fraction(1, 2), "g")),
        ("3 drops", Amount(Fraction(3), "drops")),
        ("three drops", Amount(Fraction(3), "drops")),
        ("Pea", Amount(Fraction(1), "peas")),
        ("2 finger-tip units", Amount(Fraction(2), "finger-tips")),
        ("half a teaspoon", Amount(Fraction(1, 2), "teaspoons")),
        ("1.25 mL", Amount(Fraction(5, 4), "ml")),
        ("a thin layer", None),
        ("0 g", None),
        ("", None),
        (None, None),
    ],
)
def test_amounts_are_read_or_left_alone(text: str | None, amount: Amount | None) -> None:
    assert read_amount(text) == amount


def test_finger_tip_units_weigh_what_long_and_finlay_published() -> None:
    assert (FTU_MEN.value, FTU_WOMEN.value) == (490, 430)
    assert finger_tip(Person(sex="male")) == Span(490, 490)
    assert finger_tip(Person(sex="female")) == Span(430, 430)
    assert finger_tip(ADULT) == Span(430, 490)
    assert finger_tip(Person(sex="male", age_months=24)) == Span(430, 490)  # the finger is a grown-up's


def test_their_film_is_thinner_than_the_dose_of_sunscreen() -> None:
    assert round(FTU_MEN.value / FTU_COVERS_MEN.value, 2) == 1.57
    assert round(FTU_WOMEN.value / FTU_COVERS_WOMEN.value, 2) == 1.67
    assert sunscreen_for_face_and_neck() == 1430
    # Pages call that three strips as long as a finger's top joint.
    assert round(sunscreen_for_face_and_neck() / FTU_WOMEN.value) == round(sunscreen_for_face_and_neck() / FTU_MEN.value) == 3


def test_the_adult_table() -> None:
    assert ADULT_TENTHS == {"face-and-neck": 25, "front": 67, "back": 68, "arm": 33, "hand": 12, "leg": 58, "foot": 18}
    assert finger_tips_for(["face", "neck"], ADULT) == Fraction(5, 2)
    assert finger_tips_for(["arms"], ADULT) == Fraction(33, 5)
    assert finger_tips_for(["hands", "feet"], ADULT) == 6
    # The leaflets' "about 40 for the whole body" is this, rounded.
    assert abs(float(finger_tips_for(["body"], ADULT) or 0) + 2.5 - 40) < 1


@pytest.mark.parametrize("areas", [["face"], ["chest"], ["scalp"], ["front"], ["face-and-neck"], []])
def test_no_figure_is_made_up_for_other_areas(areas: list[str]) -> None:
    assert finger_tips_for(areas, ADULT) is None


@pytest.mark.parametrize(
    ("months", "face", "arms", "legs", "back"),
    [(4, 1, 2, 3, 1.5), (24, 1.5, 3, 4, 3), (48, 1.5, 4, 6, 3.5), (100, 2, 5, 9, 5)],
)
def test_the_table_for_children(months: int, face: float, arms: float, legs: float, back: float) -> None:
    child = Person(age_months=months)
    found = [finger_tips_for([area], child) for area in ("arms", "legs", "back")]
    assert finger_tips_for(["face", "neck"], child) == Fraction(face)
    assert found == [Fraction(arms), Fraction(legs), Fraction(back)]


def test_between_the_ages_of_the_table_there_is_no_figure() -> None:
    assert finger_tips_for(["arms"], Person(age_months=9)) is None
    assert finger_tips_for(["arms"], Person(age_months=12 * 14)) is None


def test_twenty_drops_weigh_a_gram() -> None:
    assert weigh(Amount(Fraction(20), "drops"), ADULT) == Span(1000, 1000)
    assert weigh(Amount(Fraction(2), "finger-tips"), ADULT) == Span(860, 980)
    assert weigh(Amount(Fraction(1, 2), "teaspoons"), TWO_YEARS) == Span(2500, 2500)
