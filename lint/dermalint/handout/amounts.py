"""How much covers an area, by published figures: in finger-tip units, of sunscreen in whole milligrams; areas are whole cm²."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from dermalint.regimen.amounts import GROWN_UP, LONG_FINLAY, Figure
from dermalint.regimen.model import Person

FTU_COVERS_MEN = Figure(312, "cm²", LONG_FINLAY)
FTU_COVERS_WOMEN = Figure(257, "cm²", LONG_FINLAY)
FTU_COVERS = Figure(286, "cm²", LONG_FINLAY)
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
