"""What is measured: regimens and packs of a known size, written into a folder."""

from __future__ import annotations

import re
from pathlib import Path

# 28 applications a week: two each morning, two each evening.
REGIMEN = """\
regimen: Bench {number}
person: {{age: 30}}
products:
  wash: {{name: Wash, kind: cleanser, base: gel, contact: rinsed}}
  shield: {{name: Shield, kind: sunscreen, base: emulsion, spf: 50}}
  acid: {{name: Acid, kind: serum, base: water, ph: 3.8, contains: {{glycolic-acid: 7 %}}}}
  retinol: {{name: Retinol, kind: serum, base: emulsion, contains: {{retinol: 0.3 %}}}}
  cream: {{name: Cream, kind: moisturiser, base: emulsion, contains: {{glycerin: 5 %}}}}
routines:
  - slot: morning
    steps: [wash, {{product: shield, areas: [face, neck, ears]}}]
  - slot: evening
    days: [monday, wednesday, friday]
    steps: [{{product: retinol, areas: [face], except: [eye-area]}}, cream]
  - slot: evening
    days: [tuesday, thursday]
    steps: [{{product: acid, areas: [face]}}, {{product: retinol, areas: [face]}}]
  - slot: evening
    days: [saturday, sunday]
    steps: [wash, cream]
"""

_RULE = re.compile(r"^rule ([a-z0-9-]+)", re.MULTILINE)
_DECLARATION = re.compile(
    r"^(?:rule|substance|family|group|area|kind|base|event|trait|symptom|allergy|reason|region|slot|measure)\b", re.MULTILINE
)


def write_regimens(folder: Path, count: int) -> list[Path]:
    """Writes so many regimens that differ in their title alone, and gives their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"bench-{number:05}.regimen.yaml" for number in range(count)]
    for number, path in enumerate(paths):
        path.write_text(REGIMEN.format(number=number), encoding="utf-8")
    return paths


def shipped_packs(root: Path) -> list[Path]:
    """The rule files that ship."""
    return sorted(path for folder in ("rulesets", "plugins") for path in (root / folder).rglob("*.rules"))


def count_rules(paths: list[Path]) -> int:
    """How many rules the files hold."""
    return sum(len(_RULE.findall(path.read_text(encoding="utf-8"))) for path in paths)


def write_packs(shipped: list[Path], folder: Path, copies: int) -> list[Path]:
    """Writes the shipped packs with every rule repeated so many times under new names, the declarations once."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for number, source in enumerate(shipped):
        text = source.read_text(encoding="utf-8")
        parts = [text]
        for copy in range(copies):
            parts.extend(_RULE.sub(rf"rule \1-copy-{copy}", rule) for rule in _rules_of(text))
        target = folder / f"{number:02}-{source.name}"
        target.write_text("\n".join(parts), encoding="utf-8")
        written.append(target)
    return written


def _rules_of(text: str) -> list[str]:
    return [item for item in _items_of(text) if item.startswith("rule ")]


def long_pack(shipped: list[Path], least: int) -> str:
    """One rule file of about so many bytes, without a mistake of the language: the shipped declarations and rules."""
    pieces = [piece for path in shipped for piece in _items_of(path.read_text(encoding="utf-8"))]
    text = ["pack long 1.0.0\n"]
    size = 0
    while size < least:
        for piece in pieces:
            if size >= least:
                break
            text.append(piece)
            size += len(piece.encode())
    return "".join(text)


def _items_of(text: str) -> list[str]:
    starts = [match.start() for match in _DECLARATION.finditer(text)]
    return [text[start:end] for start, end in zip(starts, [*starts[1:], len(text)], strict=True)]
