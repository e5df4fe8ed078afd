"""``dermalint pairings`` as it is called: what it prints, what it writes, and how it ends."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest

from dermalint.cli.main import run
from dermalint.report.remarks import CARE

HOUSE = """\
pack house 1.0.0
uses core, substances

rule apart caution
  separate retinol from glycolic-acid by day.
  why "Two at once <b>sting</b> & dry."
  source practice "Class notes of Larkspur Row"

rule first advice
  apply niacinamide before retinol.
  why "Taught so."
  source practice "Class notes of Larkspur Row"
"""
NAMES = ("retinol", "glycolic-acid", "niacinamide", "urea")
PLAN = """\
regimen: Two & <i>more</i>
products:
  r: {name: "<script>alert(1)</script>", contains: {retinol: 0.3 %}}
  g: {contains: {glycolic-acid: 7 %}}
routines:
  - {slot: evening, steps: [r]}
  - {slot: morning, steps: [g]}
"""


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    pack = tmp_path / "house.rules"
    pack.write_text(HOUSE, encoding="utf-8")
    (tmp_path / "x.regimen.yaml").write_text(PLAN, encoding="utf-8")
    return pack


def call(house: Path, *arguments: str) -> int:
    return run(["pairings", "--packs", str(house), "--only", "house", "--as-of", "2026-03-02", *arguments])


def words(text: str) -> str:
    return " ".join(text.replace("│", " ").split())


def test_the_grid_and_the_reasons(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(house, *NAMES) == 0
    out = capsys.readouterr().out
    assert re.search(r"^ 1 Retinol +d  <  ·$", out, re.MULTILINE)
    assert re.search(r"^ 3 Niacinamide +>  ·     ·$", out, re.MULTILINE)
    assert "Caution Retinol and Glycolic Acid: on different days." in words(out)
    assert "in one routine, Niacinamide before Retinol." in words(out)
    assert "2 of 6 pairs have a rule between them." in words(out)
    assert words(out).endswith(words(CARE))


def test_the_document_fits_its_schema(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(house, *NAMES, "--as", "json") == 0
    document = json.loads(capsys.readouterr().out)
    schema = json.loads(files("dermalint.report").joinpath("pairings.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker()).validate(document)
    (apart,) = (found for found in document["pairings"] if found["other"] == "glycolic-acid")
    assert apart["ruling"]["kind"] == "day"
    assert [reason["rule"] for reason in apart["ruling"]["reasons"]] == ["house.apart"]


def test_the_page_lets_no_text_become_markup(house: Path) -> None:
    assert call(house, "--regimen", "x.regimen.yaml", "--as", "html", "--to", "page.html") == 0
    page = (house.parent / "page.html").read_text(encoding="utf-8")
    assert "<script" not in page
    assert "<b>sting" not in page
    assert "<i>more" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert not re.search(r"(?:src|href)=\"(?!#)", page)
    assert CARE.split(". ")[0] in page


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("retinoll",), "There is no family or substance “retinoll”. Did you mean retinol?"),
        (("retinol", "--regimen", "x.regimen.yaml"), "exclude each other"),
        (("--regimen", "no.regimen.yaml"), "no.regimen.yaml"),
        (("--regimen", "x.regimen.yaml", "--person", "ada"), "no person “ada”"),
        (("--region", "atlantis"), "no region “atlantis”"),
    ],
)
def test_a_wrong_call_is_explained(
    house: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], said: str
) -> None:
    assert call(house, *arguments) == 2
    assert said in words(capsys.readouterr().err)


def test_the_page_of_documentation_shows_what_comes(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = (Path(__file__).resolve().parents[2] / "docs" / "pairings.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"```console\n(.*?)```", page, re.DOTALL)
    command, _, shown = block.partition("\n")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    assert run(command.removeprefix("$ dermalint ").split()) == 0
    assert capsys.readouterr().out == shown
