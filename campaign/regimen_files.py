"""Regimen files as people write them: small plans with faults in them, in every layout that the formats allow."""

from __future__ import annotations

import json
import random
from collections.abc import Iterable
from typing import Any, NamedTuple

Plain = dict[str, Any]

PRODUCTS: dict[str, Plain] = {
    "foam-wash": {"kind": "cleanser", "base": "water", "contact": "rinsed"},
    "mist": {"kind": "toner", "base": "water"},
    "apple-lotion": {"kind": "serum", "base": "water", "ph": 3.6, "contains": {"glycolic-acid": "8 %"}},
    "willow-serum": {"kind": "serum", "base": "gel", "contains": {"salicylic-acid": "2 %"}},
    "night-drops": {"kind": "serum", "base": "oil", "contains": {"retinol": "0.3 %"}},
    "clinic-cream": {"kind": "treatment", "base": "emulsion", "contains": {"tretinoin": "0.05 %"}, "prescribed": True},
    "clear-gel": {"kind": "treatment", "base": "gel", "contains": {"benzoyl-peroxide": "5 %"}},
    "bright-serum": {"kind": "serum", "base": "water", "contains": {"ascorbic-acid": "15 %"}},
    "plain-cream": {"kind": "moisturiser", "base": "emulsion"},
    "seed-oil": {"kind": "face-oil", "base": "oil"},
    "day-shield": {"kind": "sunscreen", "base": "emulsion", "spf": 50},
}
ACTIVE = ("apple-lotion", "willow-serum", "night-drops", "clinic-cream", "clear-gel", "bright-serum")
CARE = ("foam-wash", "mist", "plain-cream", "seed-oil", "day-shield")
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
SUFFIXES = {"yaml": ".regimen.yaml", "json": ".regimen.json", "toml": ".regimen.toml"}
COMMENTS = ("as in the handout", "keep", "see - the sheet", 'says "slowly"', "Großmutters Rat")


class Written(NamedTuple):
    """A regimen file: the language it is written in, and its bytes."""

    language: str
    data: bytes


class Files:
    """Regimen files; the same seed gives the same files."""

    def __init__(self, seed: int | str, *, small: bool = False) -> None:
        self._chance = random.Random(seed)
        self._small = small

    def draw(self) -> Written:
        """The next file."""
        language = self._chance.choice(("yaml", "yaml", "yaml", "json", "toml"))
        return Written(language, write(self.plan(), language, self._chance))

    def plan(self) -> Plain:
        """The next plan, as plain data."""
        chance = self._chance
        active = chance.sample(ACTIVE, 2 if self._small else chance.choice((1, 2, 2, 2, 3, 3, 4)))
        care = chance.sample(CARE, chance.randint(0, 1) if self._small else chance.randint(1, 4))
        keys = [key for key in PRODUCTS if key in (*active, *care)]
        document: Plain = {"regimen": "A plan with faults"}
        if not self._small and chance.random() < 0.3:
            document["starts"] = "2026-03-02"
        document["products"] = {key: PRODUCTS[key] for key in keys}
        if not self._small and chance.random() < 0.08:
            document["phases"] = [
                {"for": "2 weeks", "cycle": "7 days", "routines": self._routines(keys, 7)},
                {"cycle": f"{(cycle := chance.choice((7, 4)))} days", "routines": self._routines(keys, cycle)},
            ]
        else:
            cycle = chance.choice((2, 3)) if self._small else chance.choice((*(7,) * 8, 2, 3, 3, 4, 4, 5, 5, 14))
            if cycle != 7 or chance.random() < 0.5:
                document["cycle"] = f"{cycle} days"
            document["routines"] = self._routines(keys, cycle)
        used = {step if isinstance(step, str) else step.get("product") for step in _steps(document)}
        document["products"] = {key: product for key, product in document["products"].items() if key in used}
        if not self._small and chance.random() < 0.3:
            document["history"] = [{"product": key, "since": "2025-06-02"} for key in document["products"]]
        return document

    def _routines(self, keys: list[str], cycle: int) -> list[Plain]:
        chance = self._chance
        routines: list[Plain] = []
        if self._small or chance.random() < 0.85:
            routines.append(self._routine("morning", keys, None))
        days = list(WEEKDAYS if cycle == 7 and chance.random() < 0.7 else range(1, cycle + 1))
        if chance.random() < 0.45:
            routines.append(self._routine("evening", keys, None))
        else:
            first = sorted(chance.sample(days, chance.randint(1, len(days))), key=days.index)
            routines.append(self._routine("evening", keys, first))
            rest = [day for day in days if day not in first]
            if rest and chance.random() < 0.7:
                routines.append(self._routine("evening", keys, rest))
        return routines

    def _routine(self, slot: str, keys: list[str], days: list[Any] | None) -> Plain:
        chance = self._chance
        routine: Plain = {"slot": slot}
        if days is not None:
            routine["days"] = days
        elif chance.random() < 0.1:
            routine["days"] = "every"
        chosen = chance.sample(keys, min(len(keys), chance.randint(1, 2 if self._small else 4)))
        if chance.random() < 0.6:
            chosen.sort(key=list(PRODUCTS).index)
        steps: list[Any] = []
        for key in chosen:
            if not self._small and steps and chance.random() < 0.15:
                steps.append({"wait": f"{chance.choice((5, 10, 20))} min"})
            steps.append(key if chance.random() < 0.6 else self._step(key))
        routine["steps"] = steps
        return routine

    def _step(self, key: str) -> Plain:
        chance = self._chance
        step: Plain = {"product": key}
        if chance.random() < 0.6:
            step["areas"] = chance.choice((["face"], ["face", "neck"], ["cheeks", "chin"]))
        if chance.random() < 0.3:
            step["amount"] = "0.5 g"
        if "areas" not in step and chance.random() < 0.2:
            step["except"] = ["eye-area"]
        return step


def _steps(document: Plain) -> Iterable[Any]:
    for phase in document.get("phases", [document]):
        for routine in phase["routines"]:
            yield from routine["steps"]


def write(document: Plain, language: str, chance: random.Random) -> bytes:
    """A plan as the bytes of a file, laid out by chance."""
    if language == "json":
        text = json.dumps(document, indent=chance.choice((None, 2, 2, 4)), ensure_ascii=False) + chance.choice(("\n", ""))
    elif language == "toml":
        text = "\n".join(_toml(document, chance)) + "\n"
    else:
        text = "\n".join(_block(document, 0, chance)) + chance.choice(("\n", "\n", ""))
    if chance.random() < 0.2:
        text = text.replace("\n", "\r\n")
    return (b"\xef\xbb\xbf" if chance.random() < 0.1 else b"") + text.encode("utf-8")


def _block(fields: Plain, indent: int, chance: random.Random) -> list[str]:
    """A group of fields in YAML's block style, some of it in flow style."""
    lines: list[str] = []
    for name, value in fields.items():
        lead = " " * indent
        if chance.random() < 0.04 and lines:
            lines += ["", f"{lead}# {chance.choice(COMMENTS)}"]
        if isinstance(value, dict) and (indent == 0 or chance.random() < 0.5):
            lines += [f"{lead}{name}:", *_block(value, indent + 2, chance)]
        elif isinstance(value, list) and name in ("routines", "phases", "steps", "history") and chance.random() < 0.75:
            lines += [f"{lead}{name}:", *_items(value, indent + chance.choice((0, 2, 2)), chance)]
        else:
            comment = f"  # {chance.choice(COMMENTS)}" if chance.random() < 0.05 else ""
            lines.append(f"{lead}{name}: {_flow(value, chance)}{comment}")
    return lines


def _items(items: list[Any], indent: int, chance: random.Random) -> list[str]:
    lines: list[str] = []
    for item in items:
        lead = " " * indent
        if chance.random() < 0.06:
            lines.append(f"{lead}# {chance.choice(COMMENTS)}")
        if isinstance(item, dict) and (len(item) > 2 or chance.random() < 0.4) and "wait" not in item:
            first, *rest = _block(item, indent + 2, chance)
            while first.lstrip().startswith("#") or not first.strip():
                first, *rest = rest
            lines += [f"{lead}- {first.lstrip()}", *rest]
        else:
            comment = f"  # {chance.choice(COMMENTS)}" if chance.random() < 0.1 else ""
            lines.append(f"{lead}- {_flow(item, chance)}{comment}")
    return lines


def _flow(value: Any, chance: random.Random) -> str:
    space = chance.choice(("", "", " "))
    if isinstance(value, dict):
        return f"{{{space}{', '.join(f'{name}: {_flow(inner, chance)}' for name, inner in value.items())}{space}}}"
    if isinstance(value, list):
        return f"[{space}{chance.choice((', ', ', ', ',  ')).join(_flow(inner, chance) for inner in value)}{space}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str) and chance.random() < 0.1:
        return chance.choice((json.dumps(value), f"'{value}'"))
    return str(value)


def _toml(document: Plain, chance: random.Random) -> list[str]:
    lines: list[str] = []
    for name, value in document.items():
        if not isinstance(value, dict) and name not in ("routines", "phases"):
            lines.append(f"{name} = {_inline(value)}" + (f"  # {chance.choice(COMMENTS)}" if chance.random() < 0.1 else ""))
    for key, product in document["products"].items():
        lines.append(f"products.{key} = {_inline(product)}")
    tables = [("routines", document.get("routines", []))]
    if "phases" in document:
        lines.append(f"phases = {_inline(document['phases'])}")
    for name, items in tables:
        if chance.random() < 0.2 and items:
            lines.append(f"{name} = {_inline(items)}")
            continue
        for item in items:
            lines += ["", *([f"# {chance.choice(COMMENTS)}"] if chance.random() < 0.1 else []), f"[[{name}]]"]
            lines += [f"{field} = {_inline(inner)}" for field, inner in item.items()]
    return lines


def _inline(value: Any) -> str:
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{name} = {_inline(inner)}' for name, inner in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(_inline(inner) for inner in value)}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
