"""The command: what it prints, writes and returns."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import dermalint.report
from dermalint.cli.main import run

CHECK = Draft202012Validator(
    json.loads((Path(dermalint.report.__file__).parent / "plan.schema.json").read_text(encoding="utf-8"))
)
DAY = ("--as-of", "2026-03-02")
WISHES = """
regimen: Wished
products:
  retinol: {kind: serum, base: emulsion, contains: {retinol: 0.3 %}}
  shield: {kind: sunscreen, base: emulsion, spf: 50, filters: both, broad-spectrum: true}
cycle: 7 days
wishes:
  - {product: retinol, evenings: 3 per week}
  - {product: shield, mornings: every}
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("wishes.regimen.yaml").write_text(WISHES, encoding="utf-8")
    return tmp_path


def test_what_is_written_is_reviewed_without_a_finding(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["arrange", "wishes.regimen.yaml", "--to", "plan.regimen.yaml", *DAY]) == 0
    assert "Every wish is met" in capsys.readouterr().out
    assert run(["review", "plan.regimen.yaml", *DAY]) == 0
    written = (folder / "plan.regimen.yaml").read_text(encoding="utf-8")
    assert run(["arrange", "wishes.regimen.yaml", "--to", "plan.regimen.yaml", *DAY]) == 2
    assert (folder / "plan.regimen.yaml").read_text(encoding="utf-8") == written
    capsys.readouterr()
    assert run(["arrange", "wishes.regimen.yaml", "--as", "yaml", "--near", "plan.regimen.yaml", *DAY]) == 0
    assert capsys.readouterr().out == written


@pytest.mark.usefixtures("folder")
def test_the_document_for_programs(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["arrange", "wishes.regimen.yaml", "--as", "json", *DAY]) == 0
    found = json.loads(capsys.readouterr().out)
    CHECK.validate(found)
    assert (found["format"], found["accepted"], found["proven"], found["missed"]) == ("dermalint-plan/1", True, True, [])
    assert [(why["product"], len(why["days"])) for why in found["why"]] == [("retinol", 3), ("shield", 7)]
    assert found["text"].startswith("regimen: Wished\n")


def test_a_wish_that_cannot_be_met_ends_with_one(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = WISHES.replace("evenings: 3 per week", "evenings: every") + "  - {keep-free: [evening]}\n"
    (folder / "wishes.regimen.yaml").write_text(text.replace("evenings: every", "evenings: 2 per week"), encoding="utf-8")
    assert run(["arrange", "wishes.regimen.yaml", *DAY]) == 1
    shown = capsys.readouterr().out
    assert run(["arrange", "wishes.regimen.yaml", "--as", "json", *DAY]) == 1
    clash = json.loads(capsys.readouterr().out)
    CHECK.validate(clash)
    assert clash["clashes"]
    assert clash["relaxations"]
    assert "keep free: evening" in shown
    assert "Give up “keep free: evening”." in shown


def test_without_clingo_many_wishes_ask_for_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    names = [f"cream-{number}" for number in range(9)]
    lines = ["regimen: Many", "products:", *(f"  {name}: {{kind: moisturiser, base: emulsion}}" for name in names)]
    lines += ["cycle: 7 days", "wishes:", *(f"  - {{product: {name}, evenings: 1 to 3 per week}}" for name in names)]
    (folder / "many.regimen.yaml").write_text("\n".join(lines), encoding="utf-8")
    monkeypatch.setattr("dermalint.arrange.solve.find_spec", lambda _: None)
    assert run(["arrange", "wishes.regimen.yaml", *DAY]) == 0
    assert run(["arrange", "many.regimen.yaml", *DAY]) == 2
    assert 'pip install "dermalint[solver]"' in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("regimen: [", "dermalint review"),
        ("regimen: T\nproducts: {a: {kind: toner}}\nroutines: [{slot: evening, steps: [a]}]\n", "no wishes"),
        ("regimen: T\nproducts: {a: {kind: toner}}\nwishes: [{product: a, evenings: often}]\n", "how often"),
    ],
)
def test_files_that_cannot_be_arranged(folder: Path, text: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "x.regimen.yaml").write_text(text, encoding="utf-8")
    assert run(["arrange", "x.regimen.yaml", *DAY]) == 2
    assert said in capsys.readouterr().err


def test_the_settings_file_counts_as_it_does_for_review(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rules = (
        'pack house 1.0.0\nuses core, substances\nrule few-retinoids caution\n  use retinol at most 1 day per week.\n'
        '  why "House rule."\n  source practice "House rule."\n'
    )
    (folder / "house.rules").write_text(rules, encoding="utf-8")
    assert run(["arrange", "wishes.regimen.yaml", *DAY]) == 0
    settings = folder / "dermalint.toml"
    settings.write_text('packs = ["house.rules"]\nregion = "eu"\nstance = "strict"\n', encoding="utf-8")
    capsys.readouterr()
    assert run(["arrange", "wishes.regimen.yaml", "--as", "json", *DAY]) == 1
    found = json.loads(capsys.readouterr().out)
    assert [rule["rule"] for rule in found["clashes"][0]["rules"]] == ["house.few-retinoids"]
    with settings.open("a", encoding="utf-8") as more:
        more.write('[severities]\n"house.few-retinoids" = "off"\n')
    assert run(["arrange", "wishes.regimen.yaml", *DAY]) == 0
    settings.write_text('stance = "lenient"\n', encoding="utf-8")
    assert run(["arrange", "wishes.regimen.yaml", *DAY]) == 2
    assert "dermalint.toml, line 1" in capsys.readouterr().err


def test_clocks_of_the_settings_stay_there(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "dermalint.toml").write_text('[day]\nmorning = 06:00:00\n', encoding="utf-8")
    assert run(["arrange", "wishes.regimen.yaml", "--as", "yaml", *DAY]) == 0
    assert "06:00" not in capsys.readouterr().out
