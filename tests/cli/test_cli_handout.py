"""``dermalint handout`` on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from dermalint.cli.main import run

ROW = Path(__file__).resolve().parents[2] / "examples" / "larkspur-row"
FIRST = str(ROW / "first-retinol.regimen.yaml")
FAULTS = str(ROW / "faults-of-every-kind.regimen.yaml")
UNDATED = str(ROW / "alternating-evenings.regimen.yaml")
ON = ("--as-of", "2026-03-02")


def test_a_page_goes_to_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    to = tmp_path / "page.html"
    assert run(["handout", FIRST, *ON, "--to", str(to), "--language", "nl", "--large-print", "--paper", "letter"]) == 0
    text = to.read_text(encoding="utf-8")
    assert '<html lang="nl" dir="ltr" class="large">' in text
    assert "size: letter" in text
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(("form", "sign"), [("text", "1. "), ("markdown", "## "), ("html", "<!doctype html>")])
def test_forms_that_are_text(capsys: pytest.CaptureFixture[str], form: str, sign: str) -> None:
    assert run(["handout", FIRST, *ON, "--as", form]) == 0
    assert sign in capsys.readouterr().out


def test_a_calendar(tmp_path: Path) -> None:
    to = tmp_path / "a.ics"
    assert run(["handout", FIRST, *ON, "--as", "ics", "--to", str(to)]) == 0
    assert to.read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
    again = tmp_path / "b.ics"
    assert run(["handout", FIRST, *ON, "--as", "ics", "--to", str(again)]) == 0
    assert again.read_bytes() == to.read_bytes()


def test_a_calendar_needs_a_first_day(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["handout", UNDATED, *ON, "--as", "ics"]) == 2
    assert "--from 2026-03-02" in capsys.readouterr().err
    to = tmp_path / "a.ics"
    assert run(["handout", UNDATED, *ON, "--as", "ics", "--from", "2026-04-01", "--to", str(to)]) == 0
    assert b"DTSTART:20260401T070000" in to.read_bytes()
    assert run(["handout", FIRST, *ON, "--from", "2026-04-01"]) == 2


def test_a_pdf(tmp_path: Path) -> None:
    to = tmp_path / "a.pdf"
    assert run(["handout", FIRST, *ON, "--as", "pdf", "--to", str(to)]) == 0
    assert to.read_bytes().startswith(b"%PDF-")


def test_it_is_refused_while_something_is_to_be_avoided(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    to = tmp_path / "a.html"
    assert run(["handout", FAULTS, *ON, "--to", str(to)]) == 1
    assert not to.exists()
    said = capsys.readouterr().err
    assert "people.pregnant-retinoid" in said
    assert "--even-so" in said
    assert "stop and rinse" in said
    assert run(["handout", FAULTS, *ON, "--even-so", "--to", str(to)]) == 1
    assert "Not to be used as it stands" in to.read_text(encoding="utf-8")


def test_packages(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["handout", FIRST, *ON, "--as", "text", "--package", "day-shield=50"]) == 0
    said = capsys.readouterr().out
    assert "A package lasts: 34 days" in said
    assert "Packages to buy: 3" in said
    assert run(["handout", FIRST, *ON, "--package", "day-sheild=50"]) == 2
    assert "Did you mean day-shield?" in capsys.readouterr().err
    assert run(["handout", FIRST, *ON, "--package", "day-shield"]) == 2
    assert "--package plain-cream=50" in capsys.readouterr().err


def test_one_of_several_people(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "two.regimen.yaml"
    routine = "routines: [{slot: evening, steps: [cream]}]"
    file.write_text(
        "regimen: Two\nproducts: {cream: {kind: moisturiser, base: emulsion}}\npeople:\n"
        f"  Ada: {{{routine}}}\n  Bo: {{{routine}}}\n",
        encoding="utf-8",
    )
    assert run(["handout", str(file), *ON]) == 2
    assert "--person: Ada, Bo" in capsys.readouterr().err
    assert run(["handout", str(file), *ON, "--as", "text", "--person", "Bo"]) == 0
    assert "For Bo." in capsys.readouterr().out
    assert run(["handout", str(file), *ON, "--person", "Adda"]) == 2
    assert "The file has: Ada, Bo" in capsys.readouterr().err


def test_wrong_calls(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    broken = tmp_path / "broken.regimen.yaml"
    broken.write_text("regimen: A\nroutines: [{slot: evening, steps: [nothing]}]\n", encoding="utf-8")
    assert run(["handout", str(broken)]) == 2
    said = capsys.readouterr().err
    for part in ("line 1 │ regimen: A", "^^^^^^^^^^", "try │ Add `products:`", "No hand-out was written"):
        assert part in said
    unknown = tmp_path / "unknown.regimen.yaml"
    unknown.write_text(
        "regimen: A\nproducts: {cream: {kind: moisturizer, base: emulsion}}\nroutines: [{slot: evening, steps: [cream, it]}]\n",
        encoding="utf-8",
    )
    assert run(["handout", str(unknown)]) == 2
    said = capsys.readouterr().err
    # All of them at once: what the file gets wrong, and what no pack knows.
    for part in ("called moisturizer", "try │ moisturiser", "`it` is not declared", "line 2 │", "line 3 │"):
        assert part in said
    assert run(["handout", FIRST, "--packs", str(tmp_path / "none.rules")]) == 2
    assert "No hand-out was written" in capsys.readouterr().err
    assert run(["handout", str(ROW / "wishes-for-two-actives.regimen.yaml")]) == 2
    assert "dermalint arrange" in capsys.readouterr().err
    assert run(["handout", FIRST, "--to", FIRST]) == 2
    assert run(["handout", FIRST, "--language", "xx"]) == 2
    assert "--language takes" in capsys.readouterr().err
    assert run(["handout", str(tmp_path / "none.regimen.yaml")]) == 2


def test_missing_libraries_are_named(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    import importlib.util

    found = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name, *rest: None if name == "babel" else found(name, *rest))
    assert run(["handout", FIRST]) == 2
    assert 'pip install "dermalint[handout]"' in capsys.readouterr().err
    monkeypatch.setattr(importlib.util, "find_spec", lambda name, *rest: None if name == "weasyprint" else found(name, *rest))
    assert run(["handout", FIRST, "--as", "pdf"]) == 2
    assert 'pip install "dermalint[pdf]"' in capsys.readouterr().err
