"""Amounts as people measure them, and what they weigh, by published figures.

All weights are whole milligrams, from a least to a most where the published figures give a span.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
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
DROP = Figure(50, "mg", "European Pharmacopoeia 2.1.1: 20 drops of water weigh 1,000 ± 50 mg")
MILLILITRE = Figure(1000, "mg", "taken as the weight of water; common practice, no published source")
TEASPOON = Figure(5000, "mg", "a metric teaspoon of 5 mL; common practice, no published source")
PEA = Figure(250, "mg", "common practice, no published source")
GROWN_UP = 18 * 12  # months

DROPS, FINGER_TIPS, PEAS, TEASPOONS = "drops", "finger-tips", "peas", "teaspoons"
GRAMS, MILLILITRES = "g", "ml"

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
_AMOUNT = re.compile(r"(?:([0-9]{1,5}(?:\.[0-9]{1,6})?)|(half a|a|one|two|three|four|five|six)\b)?\s*([a-z][a-z -]*)")


class Amount(Record):
    """An amount as a file says it: a number of a unit that people can measure."""

    number: Fraction
    unit: str


def read_amount(text: str | None) -> Amount | None:
    """The amount that a text says, such as ``0.5 g``, ``3 drops`` or ``pea``; None where it says something else."""
    match = _AMOUNT.fullmatch(" ".join((text or "").lower().split()))
    if match is not None and match[1] and match[3] == "mg":
        return Amount(Fraction(match[1]) / 1000, GRAMS)
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
