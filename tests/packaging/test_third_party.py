"""Somebody else's distribution through its whole life: built, installed beside the wheel, used, upgraded, broken, uninstalled.

``tests/plugins/larkspur-scalp`` is that distribution: a pack of scalp care, a measure that is computed, a format of tables.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from fresh_environment import PROJECT, build_wheel, make_environment, pip, run

SOURCE = PROJECT / "tests" / "plugins" / "larkspur-scalp"
TABLE = """\
day,slot,product,kind,contains,per cent,ph
1,evening,strong-tonic,scalp-tonic,salicylic-acid,5,3.0
3,evening,mild-tonic,scalp-tonic,salicylic-acid,4,3.5
5,evening,odd-tonic,scalp-tonic,salicylic-acid,4,
6,morning,wash,shampoo
"""
EVENINGS = """\
regimen: Evenings
products:
  toner: {kind: toner, base: water, ph: 5.5, contains: {niacinamide: 5 %}}
  night-cream: {kind: moisturiser, base: emulsion, contains: {retinol: 0.3 %}}
routines:
  - {slot: evening, days: [monday], steps: [toner, night-cream]}
history: []
"""
STINGS = "larkspur-scalp.tonic-stings"
ORIGIN = "larkspur-scalp: measures.larkspur-sting"


class Studio:
    """A folder with regimens, the environment they are reviewed in, and what third parties publish."""

    def __init__(self, folder: Path, scripts: Path) -> None:
        self.folder = folder
        self.scripts = scripts
        (folder / "wash-days.regimen.csv").write_text(TABLE, encoding="utf-8")
        (folder / "evenings.regimen.yaml").write_text(EVENINGS, encoding="utf-8")

    def publish(self, version: str, *changes: tuple[str, str, str]) -> Path:
        """Builds a version with other words in some files."""
        source = self.folder / f"source-{version}"
        shutil.copytree(SOURCE, source, ignore=shutil.ignore_patterns("__pycache__"))
        self._change(source / "pyproject.toml", "1.0.0", version)
        for name, old, new in changes:
            self._change(source / "larkspur_scalp" / name, old, new)
        built = build_wheel(source, self.folder / f"dist-{version}")
        shutil.rmtree(source)
        return built

    @staticmethod
    def _change(path: Path, old: str, new: str) -> None:
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")

    def install(self, wheel: Path) -> None:
        pip(self.scripts, "install", "--no-deps", "--no-index", "--upgrade", wheel)

    def review(self, *paths: str, status: int) -> Review:
        call = ("review", *(paths or (".",)), "--as", "json", "--as-of", "2026-03-02")
        return Review(json.loads(run(self.scripts / "dermalint", *call, cwd=self.folder, expected=(status,))))

    def health(self, status: int = 0) -> dict[str, dict[str, Any]]:
        told = json.loads(
            run(self.scripts / "dermalint", "rules", "--plugins", "--as", "json", cwd=self.folder, expected=(status,))
        )
        return {plugin["entry_point"]: plugin for plugin in told["plugins"] if plugin["distribution"] == "larkspur-scalp"}


class Review:
    def __init__(self, document: dict[str, Any]) -> None:
        self.document = document
        self.packs = {pack["name"]: pack["version"] for pack in document["packs"]}
        self.problems = [problem["message"] for problem in document["problems"]]
        self.files = {Path(file["path"]).name: file for file in document["files"]}

    def findings(self, path: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.files[path]["findings"]
        return found

    def stinging(self) -> list[tuple[str, str]]:
        found = (finding for finding in self.findings("wash-days.regimen.csv") if finding["rule"] == STINGS)
        return sorted((finding["products"][0], finding["certainty"]) for finding in found)


def test_its_whole_life(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    home = tmp_path_factory.mktemp("studio")
    studio = Studio(tmp_path_factory.mktemp("regimens"), make_environment(home, wheel))
    before = studio.review(status=1)
    assert list(before.files) == ["evenings.regimen.yaml"]
    assert "larkspur-scalp" not in before.packs

    def unaffected(review: Review) -> None:
        assert review.findings("evenings.regimen.yaml") == before.findings("evenings.regimen.yaml") != []

    # Installed and used: the pack, the measure with its unknowns, the table with its mistake.
    studio.install(studio.publish("1.0.0"))
    used = studio.review(status=2)
    assert used.packs["larkspur-scalp"] == "1.0.0"
    assert used.stinging() == [("odd-tonic", "possible"), ("strong-tonic", "certain")]
    (mistake,) = (each for each in used.files["wash-days.regimen.csv"]["problems"] if each["level"] == "error")
    assert mistake["message"].startswith("This row cannot be read")
    assert mistake["where"]["line"] == 5
    unaffected(used)
    assert used.problems == []
    assert {name: entry["in_order"] for name, entry in studio.health().items()} == {
        "larkspur-scalp": True,
        "measures.larkspur-sting": True,
        "regimen_formats.csv": True,
    }

    # Upgraded: the limit of the rule is another, and so is the finding, though compiled packs and results are kept.
    studio.install(
        studio.publish(
            "1.1.0", ("larkspur-scalp.rules", "1.0.0", "1.1.0"), ("larkspur-scalp.rules", "to at most 10.", "to at most 7.")
        )
    )
    upgraded = studio.review(status=2)
    assert upgraded.packs["larkspur-scalp"] == "1.1.0"
    assert upgraded.stinging() == [("mild-tonic", "certain"), ("odd-tonic", "possible"), ("strong-tonic", "certain")]
    assert {entry["version"] for entry in studio.health().values()} == {"1.1.0"}
    unaffected(upgraded)

    # The code of the measure alone is changed: results of the version before are not shown again.
    studio.install(studio.publish("1.1.1", ("measures.py", "SCALP = 5_500_000_000", "SCALP = 3_200_000_000")))
    assert studio.review(status=2).stinging() == [("odd-tonic", "possible")]

    # Broken on purpose, once in each step: named, with status 3 where it was needed, and nothing else is touched.
    for version, change, told in BROKEN:
        studio.install(studio.publish(version, change))
        broken = studio.review(status=3)
        (problem,) = broken.problems
        assert problem.startswith(f"The plugin {ORIGIN} ")
        assert told in problem
        assert problem.endswith(f"Not judged where larkspur-sting is asked for: {STINGS}.")
        assert broken.stinging() == []
        unaffected(broken)
        assert studio.review("evenings.regimen.yaml", status=1).problems == []  # has no acid, so nobody needs the measure
        loads = "when it measured" in told  # whoever only lists what is installed measures nothing
        health = studio.health(status=0 if loads else 3)
        assert health["measures.larkspur-sting"]["in_order"] is loads
        assert health["regimen_formats.csv"]["in_order"]

    # Half gone: a file that its installation should have left is missing.
    (module,) = home.rglob("larkspur_scalp/table.py")
    module.unlink()
    lost = studio.review("wash-days.regimen.csv", status=3)
    assert any("regimen_formats.csv cannot be imported: it raised ModuleNotFoundError" in told for told in lost.problems)

    # Uninstalled: all is as before.
    pip(studio.scripts, "uninstall", "--yes", "larkspur-scalp")
    after = studio.review(status=1)
    assert after.document == before.document
    assert studio.health() == {}


BROKEN = [
    (
        "1.2.0",
        ("measures.py", "BILLION =", "raise RuntimeError('out of order')\nBILLION ="),
        "it raised RuntimeError: out of order",
    ),
    ("1.3.0", ("measures.py", "DERMALINT_INTERFACE = 1", "DERMALINT_INTERFACE = 2"), "is too new: written for interface 2"),
    (
        "1.4.0",
        ("measures.py", "    if product.ph", "    raise KeyError(low)\n    if product.ph"),
        "when it measured strong-tonic",
    ),
]
