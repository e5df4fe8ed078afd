"""What `dermalint start pack` and `start plugin` write is a whole distribution: installed, tested, used, taken out again."""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from dermalint.start.write import write_start

Run = Callable[..., str]
needs_sh = pytest.mark.skipif(os.name == "nt", reason="check.sh is for a POSIX shell")


def test_every_part_is_named_for_the_distribution(tmp_path: Path) -> None:
    write_start("plugin", "larkspur-actives", tmp_path)
    folder = tmp_path / "larkspur-actives"
    settings = tomllib.loads((folder / "pyproject.toml").read_text(encoding="utf-8"))
    assert settings["project"]["name"] == "larkspur-actives"
    assert settings["project"]["entry-points"] == {
        "dermalint.packs": {"larkspur-actives": "larkspur_actives"},
        "dermalint.plugins": {"measures.larkspur-actives-count": "larkspur_actives.measures"},
    }
    for path in folder.rglob("*"):
        assert "§" not in str(path)
        assert path.is_dir() or "§" not in path.read_text(encoding="utf-8")


def reviewed(run: Run, folder: Path) -> tuple[list[str], list[str], list[dict[str, object]]]:
    """The packs in force, the rules that find something, and problems of no file."""
    review = json.loads(run("dermalint", "review", folder, "--as", "json", "--fail-at", "never", cwd=folder.parent))
    found = [finding["rule"] for file in review["files"] for finding in file["findings"]]
    return [f"{pack['name']} {pack['version']}" for pack in review["packs"]], found, review["problems"]


def test_a_pack_installs_passes_its_tests_shows_up_at_once_and_goes_again(tmp_path: Path, run: Run) -> None:
    write_start("pack", "larkspur-house", tmp_path)
    folder = tmp_path / "larkspur-house"
    run("python", "-m", "pip", "install", "--quiet", "--no-deps", "--no-build-isolation", ".", cwd=folder)
    try:
        assert "larkspur-house.evenings-of-rest" in run("dermalint", "rules", "larkspur-house", cwd=tmp_path)
        packs, found, problems = reviewed(run, folder)
        assert "larkspur-house 1.0.0" in packs
        assert "larkspur-house.evenings-of-rest" in found
        assert problems == []
        assert " passed" in run("python", "-m", "pytest", "-p", "no:cacheprovider", cwd=folder)
    finally:
        run("python", "-m", "pip", "uninstall", "--quiet", "--yes", "larkspur-house", cwd=tmp_path)
    packs, found, problems = reviewed(run, folder)
    assert "larkspur-house 1.0.0" not in packs
    assert not any(rule.startswith("larkspur-house.") for rule in found)
    assert problems == []


@needs_sh
def test_a_plugin_passes_what_a_service_runs_on_each_change(tmp_path: Path, run: Run) -> None:
    """``check.sh`` installs it to be worked on, so that a change of its rules counts at once."""
    write_start("plugin", "larkspur-actives", tmp_path)
    folder = tmp_path / "larkspur-actives"
    try:
        assert "measures.larkspur-actives-count" in run("sh", "larkspur-actives/check.sh", cwd=tmp_path)
        packs, found, problems = reviewed(run, folder)
        assert "larkspur-actives 1.0.0" in packs
        assert "larkspur-actives.few-actives-a-product" in found
        assert problems == []
        rules = folder / "larkspur_actives" / "larkspur-actives.rules"
        rules.write_text(rules.read_text(encoding="utf-8").replace("to at most 2.", "to at most 4."), encoding="utf-8")
        assert "larkspur-actives.few-actives-a-product" not in reviewed(run, folder)[1]
        said = run("python", "-m", "pytest", "-p", "no:cacheprovider", folder / "larkspur_actives", cwd=folder, expected=1)
        assert "1 failed, 2 passed" in said
    finally:
        run("python", "-m", "pip", "uninstall", "--quiet", "--yes", "larkspur-actives", cwd=tmp_path)
