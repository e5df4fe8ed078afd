"""A tiny vocabulary for both readings of a rule: plain dicts for the brute-force one, a `.rules` text for the engine."""

from __future__ import annotations

SUBSTANCES = {  # substance -> the families it is directly in
    "retinol": ("retinoid",),
    "adapalene": ("retinoid",),
    "glycolic-acid": ("aha",),
    "lactic-acid": ("aha",),
    "niacinamide": (),
}
FAMILIES = {"retinoid": (), "aha": ("acid",), "acid": ()}
GROUPS = {
    "active": "retinoid or acid",
    "strong-acid": "aha with strength at least 5 %",
    "wash-acid": "rinsed acid",
}
KINDS = ("cleanser", "serum", "moisturiser", "sunscreen")
BASES = ("water", "emulsion", "oil")
WATERLESS = ("oil",)
EVENTS = ("waxing", "shaving")
TRAITS = ("pregnant", "sensitive")
SYMPTOMS = ("peeling",)
ALLERGIES = ("aspirin",)
REASONS = ("acne",)
REGIONS = ("eu", "us")
AREAS = {  # area -> the areas inside it
    "face": ("cheeks", "chin", "beard", "spots"),
    "cheeks": (),
    "chin": (),
    "beard": (),
    "spots": (),
    "neck": (),
    "hands": (),
}
OVERLAPS = {"beard": ("cheeks", "chin")}
MEASURES = {"strength": ("%", True), "ph": ("", False), "spf": ("", False), "months-open": ("months", False)}


def _lines() -> list[str]:
    lines = ["pack words 1.0.0", 'title "Words for the oracles"']
    for sort, names in (
        ("kind", KINDS),
        ("base", BASES),
        ("event", EVENTS),
        ("trait", TRAITS),
        ("symptom", SYMPTOMS),
        ("allergy", ALLERGIES),
        ("reason", REASONS),
        ("region", REGIONS),
        ("slot", ("morning", "midday", "afternoon", "evening")),
    ):
        lines += [f'{sort} {name} "{name}"' for name in names]
    for name, parts in AREAS.items():
        inside = f" contains {', '.join(parts)}" if parts else ""
        beside = f" overlaps {', '.join(OVERLAPS[name])}" if name in OVERLAPS else ""
        lines.append(f"area {name}{inside}{beside}.")
    for name, (unit, adds) in MEASURES.items():
        lines.append(f'measure {name} "{unit}"{" adds" if adds else ""}')
    for name, parents in FAMILIES.items():
        lines.append(f'family {name} "{name}"' + (f" in {', '.join(parents)}" if parents else ""))
    for name, parents in SUBSTANCES.items():
        lines.append(f'substance {name} inci "{name.title()}"' + (f" in {', '.join(parents)}" if parents else ""))
    lines += [f'group {name} "{name}" means {term}.' for name, term in GROUPS.items()]
    return lines


RULES = "\n".join(_lines()) + "\n"


def families_of(name: str) -> set[str]:
    """A substance or family with every family it is in, itself included."""
    found = {name}
    for parent in SUBSTANCES.get(name) or FAMILIES.get(name) or ():
        found |= families_of(parent)
    return found


def members_of(family: str) -> list[str]:
    """The substances in a family."""
    return [name for name in SUBSTANCES if family in families_of(name)]


def _skin() -> dict[str, frozenset[str]]:
    """Each area as a set of patches: its parts' patches, a patch for what it shares with a neighbour, an unnamed rest.

    Spots have no patch of their own: a world says where on the face they are.
    """
    own = {name: {f"rest of {name}"} for name in AREAS if name != "spots"}
    for name, others in OVERLAPS.items():
        for other in others:
            own[name].add(f"{name} and {other}")
            own[other].add(f"{name} and {other}")

    def whole(name: str) -> frozenset[str]:
        patches = set(own.get(name, ()))
        for part in AREAS[name]:
            patches |= whole(part)
        return frozenset(patches)

    return {name: whole(name) for name in own}


SKIN = _skin()
FACE = SKIN["face"]
