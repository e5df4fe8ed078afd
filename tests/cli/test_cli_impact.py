"""``dermalint impact``: which regimens gain, lose or keep findings when packs change."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from dermalint.cli.main import run

PLAN = """regimen: TITLE
history: []
products:
  cream: {kind: treatment, base: emulsion, contains: {CONTENT: 0.3 %}}
routines:
  - {slot: evening, days: [monday], steps: [cream]}
"""
RULES = """pack house VERSION
uses core, substances

rule calm SEVERITY
  never use SUBSTANCE.
  why "House."
  advise "House."
  source practice "House rule."
  breaks  evening: SUBSTANCE 0.3 %
  holds   evening: moisturiser
"""
RULE = "house.calm"


def rules(path: Path, version: str, severity: str, substance: str) -> Path:
    text = RULES.replace("VERSION", version).replace("SEVERITY", severity).replace("SUBSTANCE", substance)
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, substance in (("a", "retinol"), ("b", "niacinamide"), ("c", "squalane")):
        text = PLAN.replace("TITLE", f"Plan {name}").replace("CONTENT", substance)
        (tmp_path / f"{name}.regimen.yaml").write_text(text, encoding="utf-8")
    rules(tmp_path / "old.rules", "1.0.0", "caution", "retinol")
    return tmp_path


def impact(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict[str, dict[str, list[str]]]]:
    """The status, and by regimen the rules of our own pack that it gains, loses or has changed."""
    status = run(["impact", ".", "--as-of", "2026-03-02", "--as", "json", *arguments])
    document = json.loads(capsys.readouterr().out)
    assert document["format"] == "dermalint-impact/1"
    told: dict[str, dict[str, list[str]]] = {}
    for file in document["files"]:
        found = {kind: [finding["rule"] for finding in file[kind]] for kind in ("gained", "lost")}
        found["changed"] = [change["after"]["rule"] for change in file["changed"]]
        told[file["regimen"]] = {kind: names for kind, names in found.items() if names}
    numbers = document["summary"]
    assert numbers["affected"] == sum(bool(found) for found in told.values())
    assert numbers["regimens"] == len(told)
    return status, {title: found for title, found in told.items() if found}


def test_the_same_packs_change_nothing(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert impact(capsys, "--before", "old.rules", "--after", "old.rules") == (0, {})
    assert library.is_dir()


def test_gained_and_lost(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules(library / "new.rules", "1.1.0", "caution", "niacinamide")
    both = {"Plan a": {"lost": [RULE]}, "Plan b": {"gained": [RULE]}}
    assert impact(capsys, "--before", "old.rules", "--after", "new.rules") == (1, both)
    assert impact(capsys, "--before", "old.rules", "--after", "new.rules", "--fail-at", "avoid") == (0, both)
    assert impact(capsys, "--after", "old.rules") == (1, {"Plan a": {"gained": [RULE]}})
    assert impact(capsys, "--before", "old.rules") == (0, {"Plan a": {"lost": [RULE]}})


@pytest.mark.parametrize(("severity", "status"), [("avoid", 1), ("advice", 0)])
def test_what_becomes_graver_fails(severity: str, status: int, library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules(library / "new.rules", "1.0.1", severity, "retinol")
    changed = {"Plan a": {"changed": [RULE]}}
    assert impact(capsys, "--before", "old.rules", "--after", "new.rules") == (status, changed)


def test_the_page(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules(library / "new.rules", "1.1.0", "avoid", "niacinamide")
    assert run(["impact", ".", "--before", "old.rules", "--after", "new.rules"]) == 1
    said = capsys.readouterr().out
    assert "    Gained │ Avoid: cream" in said
    assert "      Lost │ Caution: cream" in said
    assert "3 regimens, of which 2 with differences: 1 gained, 1 lost, 0 changed." in said
    assert "Packs: house 1.0.0 to 1.1.0" in said
    assert "Plan c" not in said
    assert "For education, no medical advice." in said


def test_a_pack_with_a_mistake_is_told_and_its_silence_is_no_loss(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules(library / "new.rules", "1.1.0", "caution", "retynol")
    assert run(["impact", ".", "--before", "old.rules", "--after", "new.rules"]) == 2
    said = capsys.readouterr().out
    assert "With the packs after" in said
    assert "retynol" in said


def test_settings_count_and_their_packs_where_none_are_given(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules(library / "new.rules", "1.1.0", "caution", "niacinamide")
    (library / "dermalint.toml").write_text('packs = ["old.rules"]\n')
    gained = {"Plan a": {"lost": [RULE]}, "Plan b": {"gained": [RULE]}}
    assert impact(capsys, "--after", "new.rules") == (1, gained)
    (library / "dermalint.toml").write_text('exclude = ["b.*"]\n')
    assert impact(capsys, "--before", "old.rules", "--after", "new.rules") == (0, {"Plan a": {"lost": [RULE]}})


@pytest.mark.parametrize("arguments", [["impact"], ["impact", "."], ["impact", "--after", "x.rules"]])
def test_calls_that_lack_something(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(arguments) == 2
    assert "For instance: dermalint impact --after" in capsys.readouterr().err


def test_a_page_for_colleagues_goes_to_a_file_or_to_standard_output(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call = ["impact", ".", "--after", "old.rules", "--as-of", "2026-03-02", "--as", "html"]
    assert run(call) == 1
    page = capsys.readouterr().out
    assert page.startswith("<!doctype html>")
    assert run([*call, "--to", "changes.html"]) == 1
    assert (library / "changes.html").read_text(encoding="utf-8") == page
    said = " ".join(capsys.readouterr().out.split())
    assert said.startswith("The report is in changes.html. 3 regimens, of which 1 with differences: 1 gained")
    assert "For education, no medical advice." in said


@pytest.mark.parametrize("target", ["a.regimen.yaml", "old.rules"])
def test_no_report_is_written_over_what_was_read(target: str, library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (library / target).read_bytes()
    assert run(["impact", ".", "--after", "old.rules", "--to", target]) == 2
    assert "would write over" in capsys.readouterr().err
    assert (library / target).read_bytes() == before
