"""What the demonstration regimens teach, held to what the tool says of them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

PROJECT = Path(__file__).resolve().parents[2]
DEMO = PROJECT / "examples" / "larkspur-row"

COMMAND = (sys.executable, "-c", "import sys; from dermalint.cli.main import run; sys.exit(run())")
TOPICS = {"separation", "order", "timing", "frequency", "strength", "sun", "person", "companion", "shelf"}


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The report on the whole folder, on the day on which its regimens begin."""
    target = tmp_path_factory.mktemp("report") / "report.json"
    done = subprocess.run(
        [
            *(*COMMAND, "review", "--as", "json", "--as-of", "2026-03-02"),
            *("--fail-at", "never", "--to", str(target), "examples/larkspur-row"),
        ],
        cwd=PROJECT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads(target.read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def of_file(report: dict[str, Any], name: str) -> dict[str, Any]:
    (entry,) = (entry for entry in report["files"] if Path(entry["path"]).name == name)
    return entry  # type: ignore[no-any-return]


def regimen_files() -> list[str]:
    return sorted(path.name for path in DEMO.glob("*.regimen.*"))


def test_every_regimen_of_the_folder_is_in_the_report(report: dict[str, Any]) -> None:
    assert sorted(Path(entry["path"]).name for entry in report["files"]) == regimen_files()
    assert len(regimen_files()) >= 8
    assert {Path(name).suffix for name in regimen_files()} == {".yaml", ".json", ".toml"}


@pytest.mark.parametrize("name", regimen_files())
def test_no_regimen_has_mistakes_of_writing(report: dict[str, Any], name: str) -> None:
    errors = [problem for problem in of_file(report, name)["problems"] if problem["level"] == "error"]
    assert errors == []


@pytest.mark.parametrize(
    "name",
    [
        "alternating-evenings.regimen.yaml",
        "every-second-evening.regimen.yaml",
        "first-retinol.regimen.yaml",
        "five-nights.regimen.toml",
        "pregnancy.regimen.yaml",
    ],
)
def test_careful_plans_give_nothing_above_advice(report: dict[str, Any], name: str) -> None:
    loud = [finding for finding in of_file(report, name)["findings"] if finding["severity"] != "advice"]
    assert [(finding["rule"], finding["severity"]) for finding in loud] == []


def test_the_gentle_plan_gives_no_finding_at_all(report: dict[str, Any]) -> None:
    assert of_file(report, "sensitive-skin.regimen.json")["findings"] == []


def test_the_faulty_plan_has_a_finding_of_every_topic(report: dict[str, Any]) -> None:
    findings = of_file(report, "faults-of-every-kind.regimen.yaml")["findings"]
    assert TOPICS - {finding["topic"] for finding in findings} == set()
    assert {finding["severity"] for finding in findings} == {"avoid", "caution", "advice"}


def test_the_faulty_plan_names_the_strength_that_nobody_stated(report: dict[str, Any]) -> None:
    findings = of_file(report, "faults-of-every-kind.regimen.yaml")["findings"]
    possible = [finding for finding in findings if finding["certainty"] == "possible"]
    assert any(any("willow-gel" in unknown for unknown in finding["unknown"]) for finding in possible)


def test_four_fixed_weekdays_are_not_every_second_evening(report: dict[str, Any]) -> None:
    """Only the days differ, and what the fixed weekdays add lies on the evenings of the week's seam."""
    fixed = of_file(report, "monday-wednesday-friday-sunday.regimen.yaml")["findings"]
    alternating = {finding["rule"] for finding in of_file(report, "every-second-evening.regimen.yaml")["findings"]}
    added = [finding for finding in fixed if finding["rule"] not in alternating]
    assert added
    for finding in added:
        assert {place["weekday"] for place in finding["occurs"]} <= {"sunday", "monday"}
