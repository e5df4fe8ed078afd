"""The vehicle that the first names of a label show.

Families of the vocabulary say what is water, oil, silicone and so on; for names it does not have, the last word of an oil,
a butter, a wax or a water does (which says nothing else about them).  The rules of thumb are the trade's, from memory, and
only what they leave no doubt about is answered.
"""

from __future__ import annotations

from collections.abc import Sequence

from dermalint.vocabulary.world import World

WATER = "vehicle"
OIL = "emollient-oil"
OCCLUSIVE = "occlusive"
SILICONE = "silicone"
EMULSIFIER = "emulsifier"
SOLVENT = "solvent"
HUMECTANT = "humectant"
POWDER = "powder"
ALCOHOL = "drying-alcohol"
_PHASES = (WATER, EMULSIFIER, SILICONE, OIL, OCCLUSIVE, ALCOHOL, SOLVENT, HUMECTANT, POWDER)
_OILY = (OIL, OCCLUSIVE, SILICONE)
_LAST_WORDS = {"water": WATER, "hydrosol": WATER, "oil": OIL, "butter": OIL, "wax": OCCLUSIVE, "cera": OCCLUSIVE}
FIRST_NAMES = 6  # an oil among so many makes a cream or lotion of a product that begins with water; further down, a trace


def infer_base(names: Sequence[tuple[str | None, str]], world: World, *, ordered: bool, complete: bool) -> str | None:
    """The base of a product from its names (substance where known, and as written), or None where they leave doubt.

    ``complete`` says that the list was not cut short: only then does a missing water mean that there is none.
    """
    phases = [_phases(key, written, world) for key, written in names]
    watery = any(WATER in found for found in phases)
    creamy = any(EMULSIFIER in found for found in phases)
    oily = [any(phase in found for phase in _OILY) for found in phases]
    if watery and creamy and any(oily):
        return "emulsion"
    if not ordered or not phases or not phases[0]:
        return None
    first = phases[0]
    if WATER in first:
        return _of_watery(names, phases, oily, creamy)
    if ALCOHOL in first:
        return "alcohol"
    if any(phase in first for phase in _OILY):
        if watery:
            return "emulsion"
        if not complete:
            return None
        return "silicone" if SILICONE in first else "oil" if OIL in first else "ointment"
    if SOLVENT in first or HUMECTANT in first:
        if watery:
            near = any(WATER in found for found in phases[:3])
            return _of_watery(names, phases, oily, creamy) if near else None
        return "anhydrous" if complete else None
    return "powder" if POWDER in first and complete and not watery else None


def _of_watery(
    names: Sequence[tuple[str | None, str]], phases: Sequence[frozenset[str]], oily: Sequence[bool], creamy: bool
) -> str | None:
    if any(oily[:FIRST_NAMES]):
        return "emulsion"
    unknown = sum(key is None and not found for (key, _), found in zip(names[:FIRST_NAMES], phases, strict=False))
    return None if creamy or unknown > len(names[:FIRST_NAMES]) // 2 else "water"


def _phases(key: str | None, written: str, world: World) -> frozenset[str]:
    if key is not None:
        families = world.ancestors.get(key, frozenset())
        return frozenset(phase for phase in _PHASES if phase in families)
    words = written.casefold().rstrip(" .*").split()
    # A castor oil made soluble (PEG-40 …) is a surfactant.
    if not words or words[0].startswith(("peg-", "ppg-")) or len(words) < 2:
        return frozenset()
    phase = _LAST_WORDS.get(words[-1])
    return frozenset() if phase is None else frozenset({phase})
