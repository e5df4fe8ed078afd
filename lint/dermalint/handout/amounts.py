"""Amounts as people measure them, and what they weigh, by published figures.

All weights are whole milligrams, from a least to a most where the published figures give a span; areas are whole cm².
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction

from dermalint.regimen.model import Person
from dermalint_grammar.record import Record


class Span(Record):
    """From ``least`` to ``most`` milligrams."""

    least: int
    most: int

    def times(self, least: Fraction | int, most: Fraction | int | None = None) -> Span:
        """This span, taken so many times: from ``least`` to ``most`` times."""
        return Span(round(self.least * least), round(self.most * (least if most is None else most)))


class Figure(Record):
    """A published figure and who published it."""

    value: int
    unit: str
    source: str


LONG_FINLAY = "Long and Finlay, Clinical and Experimental Dermatology 1991;16:444–447"
FTU_MEN = Figure(490, "mg", LONG_FINLAY)
FTU_WOMEN = Figure(430, "mg", LONG_FINLAY)
FTU_COVERS_MEN = Figure(312, "cm²", LONG_FINLAY)
FTU_COVERS_WOMEN = Figure(257, "cm²", LONG_FINLAY)
FTU_COVERS = Figure(286, "cm²", LONG_FINLAY)
DROP = Figure(50, "mg", "European Pharmacopoeia 2.1.1: 20 drops of water weigh 1,000 ± 50 mg")
MILLILITRE = Figure(1000, "mg", "taken as the weight of water; common practice, no published source")
TEASPOON = Figure(5000, "mg", "a metric teaspoon of 5 mL; common practice, no published source")
PEA = Figure(250, "mg", "common practice, no published source")
SUNSCREEN = Figure(2, "mg/cm²", "21 CFR 201.327 (i): the dose at which a sun protection factor is tested")
FACE_AND_NECK = "2.5 finger-tip units, a mean of 286 cm² each (Long and Finlay 1991)"

# Tenths of a finger-tip unit, one side of the body where there are two.
ADULT_TENTHS = {"face-and-neck": 25, "front": 67, "back": 68, "arm": 33, "hand": 12, "leg": 58, "foot": 18}

CHILD_SOURCE = "Italian Journal of Pediatrics 2022;48:95"
# From how many months of age to how many; face and neck, an arm with its hand, a leg with its foot, front, back; in tenths.
CHILD_TENTHS: tuple[tuple[int, int, tuple[int, int, int, int, int]], ...] = (
    (3, 6, (10, 10, 15, 10, 15)),
    (12, 35, (15, 15, 20, 20, 30)),
    (36, 71, (15, 20, 30, 30, 35)),
    (72, 131, (20, 25, 45, 35, 50)),
)
GROWN_UP = 18 * 12  # months

DROPS, FINGER_TIPS, PEAS, GRAMS, MILLILITRES, TEASPOONS = "drops", "finger-tips", "peas", "g", "ml", "teaspoons"

_UNITS = {
    **dict.fromkeys(("drop", "drops"), DROPS),
    **dict.fromkeys(("g", "gram", "grams"), GRAMS),
    **dict.fromkeys(("ml", "millilitre", "millilitres"), MILLILITRES),
    **dict.fromkeys(("pea", "peas", "pea-sized", "pea size", "pea-size"), PEAS),
    **dict.fromkeys(("teaspoon", "teaspoons", "tsp"), TEASPOONS),
    **dict.fromkeys(
        ("ftu", "finger-tip", "finger-tips", "fingertip", "fingertips", "finger-tip unit", "finger-tip units",
         "fingertip unit", "fingertip units"),
        FINGER_TIPS,
    ),
}  # fmt: skip
_WORDS: Mapping[str, int | Fraction] = {
    "a": 1,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "half a": Fraction(1, 2),
}
_AMOUNT = re.compile(r"(?:([0-9]{1,4}(?:\.[0-9]{1,3})?)|(half a|a|one|two|three|four|five|six)\b)?\s*([a-z][a-z -]*)")


class Amount(Record):
    """An amount as a file says it: a number of a unit that people can measure."""

    number: Fraction
    unit: str


def read_amount(text: str | None) -> Amount | None:
    """The amount that a text says, such as ``0.5 g``, ``3 drops`` or ``pea``; None where it says something else."""
    match = _AMOUNT.fullmatch(" ".join((text or "").lower().split()))
    unit = _UNITS.get(match[3]) if match else None
    if match is None or unit is None:
        return None
    if match[1]:
        number = Fraction(match[1])
    elif match[2]:
        number = Fraction(_WORDS[match[2]])
    else:
        number = Fraction(1)
    return Amount(number, unit) if number else None


def finger_tip(person: Person) -> Span:
    """What one finger-tip unit weighs for this person; both published figures where the sex is not stated.

    For a child it is the finger of the grown-up who helps.
    """
    child = person.age_months is not None and person.age_months < GROWN_UP
    if person.sex == "male" and not child:
        return Span(FTU_MEN.value, FTU_MEN.value)
    if person.sex == "female" and not child:
        return Span(FTU_WOMEN.value, FTU_WOMEN.value)
    return Span(FTU_WOMEN.value, FTU_MEN.value)


def weigh(amount: Amount, person: Person) -> Span:
    """What an amount weighs."""
    if amount.unit == FINGER_TIPS:
        return finger_tip(person).times(amount.number)
    each = {
        GRAMS: 1000,
        MILLILITRES: MILLILITRE.value,
        DROPS: DROP.value,
        PEAS: PEA.value,
        TEASPOONS: TEASPOON.value,
    }[amount.unit]
    return Span(each, each).times(amount.number)


def finger_tips_for(areas: Iterable[str], person: Person) -> Fraction | None:
    """How many finger-tip units the published tables give for these areas; None where a table has no figure for one of them.

    Without areas the face is meant, for which alone there is no figure.
    """
    named = frozenset(areas)
    shares = _shares(person)
    if shares is None or not named:
        return None
    tenths = 0
    if "body" in named:
        # Everything below the neck; the neck's own share was not published alone.
        tenths += sum(shares.get(part, 0) for part in ("front", "back", "arms", "hands", "legs", "feet"))
        named -= {"body", "arms", "hands", "legs", "feet", "back", "neck", "ears"}
    if {"face", "neck"} <= named:
        tenths += shares["face-and-neck"]
        named -= {"face", "neck", "ears"}
    for area in sorted(named):
        if area not in shares or area in ("front", "face-and-neck"):
            return None
        tenths += shares[area]
    return Fraction(tenths, 10)


def _shares(person: Person) -> dict[str, int] | None:
    age = person.age_months
    if age is None or age >= GROWN_UP:
        one = ADULT_TENTHS
        return {
            "face-and-neck": one["face-and-neck"],
            "front": one["front"],
            "back": one["back"],
            "arms": 2 * one["arm"],
            "hands": 2 * one["hand"],
            "legs": 2 * one["leg"],
            "feet": 2 * one["foot"],
        }
    for first, last, (face, arm, leg, front, back) in CHILD_TENTHS:
        if first <= age <= last:
            # A child's arm is counted with its hand, and a leg with its foot.
            return {"face-and-neck": face, "front": front, "back": back, "arms": 2 * arm, "legs": 2 * leg}
    return None


def sunscreen_for_face_and_neck() -> int:
    """Milligrams of sunscreen for an adult's face and neck at the dose that the protection factor is tested with."""
    return ADULT_TENTHS["face-and-neck"] * FTU_COVERS.value * SUNSCREEN.value // 10
