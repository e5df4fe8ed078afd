"""Small regimens as data, for tests that vary one figure."""

from __future__ import annotations

from typing import Any

SUNSCREEN = {"kind": "sunscreen", "spf": 50, "base": "emulsion"}

Data = dict[str, Any]


def holding(strengths: str, **fields: Any) -> Data:
    """A product: ``holding("retinol 0.3 %, squalane")``."""
    contains: dict[str, str | None] = {}
    for part in strengths.split(","):
        name, _, strength = part.strip().partition(" ")
        contains[name] = strength or None
    return {"kind": "treatment", "contains": contains} | fields


def plan(evening: Data | None = None, morning: Data | None = None, **fields: Any) -> Data:
    """A regimen of one product in the evening and one in the morning; sunscreen where no morning product is given."""
    products = {"night": evening or {"kind": "moisturiser"}, "day": morning or SUNSCREEN}
    routines = [{"slot": "morning", "steps": ["day"]}, {"slot": "evening", "steps": ["night"]}]
    return {"regimen": "Trial", "person": {"age": 40}, "products": products, "routines": routines} | fields


def on(area: str, product: Data, **fields: Any) -> Data:
    """The same with the evening's product on one area."""
    routines = [{"slot": "morning", "steps": ["day"]}, {"slot": "evening", "steps": [{"product": "night", "areas": [area]}]}]
    return plan(product, routines=routines, **fields)


def together(first: Data, second: Data, slot: str = "evening", **fields: Any) -> Data:
    """Two products, one after the other, and sunscreen in the morning."""
    products = {"first": first, "second": second, "day": SUNSCREEN}
    steps = ["first", "second", "day"] if slot == "morning" else ["first", "second"]
    routines: list[Data] = [{"slot": slot, "steps": steps}]
    if slot != "morning":
        routines.append({"slot": "morning", "steps": ["day"]})
    return {"regimen": "Trial", "person": {"age": 40}, "products": products, "routines": routines} | fields
