"""The README's first regimen and first pack do what the README says of them."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from dermalint.review import Asked, review_paths

README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
COMMAND = (sys.executable, "-c", "import sys; from dermalint.cli.main import run; sys.exit(run())")


def block(language: str, beginning: str) -> str:
    """The text between two fences that begins so."""
    (found,) = (text for text in re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL) if text.startswith(beginning))
    return found


def review(folder: Path, *options: str, expected: int) -> dict[str, Any]:
    done = subprocess.run(
        [*COMMAND, "review", "--as", "json", "--as-of", "2026-03-02", *options, "first.regimen.yaml"],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == expected, done.stdout + done.stderr
    return json.loads(done.stdout)  # type: ignore[no-any-return]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "first.regimen.yaml").write_text(block("yaml", "regimen: "), encoding="utf-8")
    (tmp_path / "house.rules").write_text(block("text", "pack house"), encoding="utf-8")
    return tmp_path


def test_first_regimen_gives_the_finding_that_is_shown(folder: Path) -> None:
    (finding,) = review(folder, expected=1)["files"][0]["findings"]
    shown = " ".join(block("text", "My first evening").replace("│", " ").split())
    assert finding["rule"] in shown
    assert finding["severity"].capitalize() + " " + finding["message"] in shown
    assert f"line {finding['where']['line']} " in shown


def test_first_pack_loads_and_finds_what_is_said(folder: Path) -> None:
    report = review(folder, "--packs", "house.rules", "--only", "house", expected=0)
    assert report["problems"] == []
    assert [finding["rule"] for finding in report["files"][0]["findings"]] == ["house.dry-skin-before-retinol"]


def test_every_option_that_is_named_exists() -> None:
    named = set(re.findall(r"--[a-z][a-z-]+", README)) - {"--help"}
    offered: set[str] = set()
    for command in ("review", "rules", "mend", "proof", "impact"):
        done = subprocess.run([*COMMAND, command, "--help"], capture_output=True, encoding="utf-8", check=True)
        offered |= set(re.findall(r"--[a-z][a-z-]+", done.stdout))
    assert named
    assert named <= offered


def test_the_two_sisters_are_judged_each_alone(tmp_path: Path) -> None:
    path = tmp_path / "two-sisters.regimen.yaml"
    path.write_text(block("yaml", "# two-sisters"), encoding="utf-8")
    result = review_paths([str(path)], Asked(as_of=date(2026, 3, 2), cache=False))
    found = [(file.person, {name for one in file.findings for name in one.products}) for file in result.files]
    assert found == [("ada", set()), ("bea", {"night-cream"})]
    assert not any(problem.level == "error" for file in result.files for problem in file.problems)
