"""First-party plugins have no privilege: copied under other names into another distribution, they do the same."""

from __future__ import annotations

import ast
import json
import re
import sys
from pathlib import Path

from fake_distributions import Ran, distribute, run_apart

import dermalint_acids
import dermalint_retinoids

REGIMEN = """\
regimen: Larkspur evenings
region: eu
products:
  toner: {kind: toner, base: water, ph: 4.0, contains: {glycolic-acid: 10 %}}
  night-cream: {kind: serum, base: emulsion, contains: {retinol: 0.2 %, retinyl-palmitate: 0.3 %}}
routines:
  - {slot: evening, days: [monday], steps: [toner]}
  - {slot: evening, days: [wednesday], steps: [night-cream]}
history: []
"""
HOUSE = """\
pack house 1.0.0
uses core, substances, ACIDS

rule little-free-acid caution
  limit FREE of exfoliating-acid to at most 3 %.
  why "Asks for the measure of the acids."
"""
FREE, EQUIVALENT = "free-acid", "retinol-equivalent"


def copy_under_other_names(site: Path, package: str, label: str) -> None:
    """A first-party package as somebody else's: other distribution, package, pack, rules' measure and module names."""
    source = Path(sys.modules[package].__file__ or "").parent
    folder = site / package.replace("dermalint", "larkspur")
    folder.mkdir()
    for path in source.iterdir():
        if path.suffix in (".py", ".rules"):
            text = path.read_text(encoding="utf-8").replace(label, f"our-{label}")
            text = re.sub(r"^pack (\S+)", r"pack our-\1", text, flags=re.MULTILINE)
            (folder / path.name).write_text(text, encoding="utf-8")
    name = folder.name.replace("_", "-")
    distribute(site, name, "dermalint.packs", {"ours": folder.name})
    table = site / f"{folder.name}-1.0.dist-info" / "entry_points.txt"
    plugin = f"\n[dermalint.plugins]\nmeasures.our-{label} = {folder.name}.measures\n"
    table.write_text(table.read_text(encoding="utf-8") + plugin, encoding="utf-8")


def findings(ran: Ran, prefix: str) -> list[dict[str, object]]:
    """Findings without what must differ: the names of pack and measure, and what is derived from them."""
    assert ran.problems == []
    found = []
    for file in ran.document["files"]:
        for finding in file["findings"]:
            kept = {key: value for key, value in finding.items() if key not in ("id", "group")}
            text = json.dumps(kept).replace(f"{prefix}free acid", "free acid").replace(f"{prefix}retinol", "retinol")
            found.append(json.loads(text.replace("our-", "")))
    return found


def test_a_copy_does_the_same(tmp_path: Path, cache: Path) -> None:
    site = tmp_path / "site"
    site.mkdir()
    copy_under_other_names(site, "dermalint_acids", FREE)
    copy_under_other_names(site, "dermalint_retinoids", EQUIVALENT)
    (tmp_path / "x.regimen.yaml").write_text(REGIMEN, encoding="utf-8")
    (tmp_path / "house.rules").write_text(HOUSE.replace("ACIDS", "acids").replace("FREE", FREE), encoding="utf-8")
    ours = HOUSE.replace("ACIDS", "our-acids").replace("FREE", f"our-{FREE}").replace("pack house", "pack our-house")
    (tmp_path / "ours.rules").write_text(ours, encoding="utf-8")
    packs = ("--packs", tmp_path / "house.rules", "--packs", tmp_path / "ours.rules")
    call = ("review", tmp_path / "x.regimen.yaml", *packs, "--as", "json", "--as-of", "2027-06-01")
    chosen = ("house", "acids", "retinoids", "retinol-limits")
    theirs = run_apart(site, cache, *call, *(word for pack in chosen for word in ("--only", pack)))
    copied = run_apart(site, cache, *call, *(word for pack in chosen for word in ("--only", f"our-{pack}")))
    assert {"house.little-free-acid", "retinol-limits.eu-retinol"} <= set(theirs.rules())
    assert findings(copied, "our ") == findings(theirs, "")
    assert (copied.status, theirs.status) == (1, 1)


def test_first_party_plugins_import_only_what_is_public() -> None:
    seen = set()
    for package in (dermalint_acids, dermalint_retinoids):
        for path in Path(package.__file__ or "").parent.glob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                names = [node.module] if isinstance(node, ast.ImportFrom) else []
                names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                seen |= {name for name in names if name and name.startswith("dermalint")}
    assert seen == {"dermalint.plugins.specification"}
