"""Known findings: an old library begins clean, what is new fails, what has gone is told."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from dermalint.cli.main import run
from dermalint.verdict.known import KnownError, read_known

HOT = """regimen: Hot
products:
  acid: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  cream: {kind: treatment, base: emulsion, contains: {retinol: 0.3 %}}
  serum: {kind: serum, base: water, ph: 3.6, contains: {lactic-acid: 8 %}}
  day: {kind: sunscreen, base: emulsion, spf: 50}
routines:
  - {slot: morning, steps: [day]}
  - {slot: evening, days: [monday], steps: [acid, cream]}
  - {slot: evening, days: [friday], steps: [serum]}
"""
WORSE = HOT.replace("steps: [serum]", "steps: [serum, cream]")
CALM = HOT.replace("steps: [acid, cream]", "steps: [cream]").replace("steps: [serum]", "steps: [serum, acid]")
REVIEW = ["review", "lib", "--as-of", "2026-03-02"]


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lib").mkdir()
    put(tmp_path, HOT)
    assert run(REVIEW) == 1
    assert run([*REVIEW, "--write-known", "known.json"]) == 0
    assert "recorded in known.json." in capsys.readouterr().out
    return tmp_path


def put(library: Path, text: str) -> None:
    (library / "lib" / "a.regimen.yaml").write_text(text)


def problems(capsys: pytest.CaptureFixture[str]) -> list[str]:
    return [problem["message"] for problem in json.loads(capsys.readouterr().out)["problems"]]


def test_the_record_is_sorted_and_says_what_it_holds(library: Path) -> None:
    record = json.loads((library / "known.json").read_text())
    assert record["format"] == "dermalint-known/1"
    found = [(entry["path"], entry["rule"]) for entry in record["findings"]]
    assert ("lib/a.regimen.yaml", "retinoids.acid-off-retinoid-routines") in found
    assert found == sorted(found)
    assert all(entry["id"] and entry["message"] for entry in record["findings"])
    before = (library / "known.json").read_bytes()
    assert run([*REVIEW, "--write-known", "known.json"]) == 0
    assert (library / "known.json").read_bytes() == before


@pytest.mark.usefixtures("library")
def test_what_is_recorded_does_not_fail_and_is_listed_briefly(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*REVIEW, "--known", "known.json", "--fail-at", "advice", "--possible", "fail"]) == 0
    said = " ".join(capsys.readouterr().out.replace("│", " ").split())
    assert "Known before: retinoids.acid-off-retinoid-routines (acid, cream), line 9." in said
    assert "what to do" not in said
    run([*REVIEW, "--known", "known.json", "--as", "json"])
    findings = json.loads(capsys.readouterr().out)["files"][0]["findings"]
    assert {finding["waived"]["reason"] for finding in findings} == {"Known before: recorded in known.json."}


def test_what_is_new_fails_and_edits_elsewhere_change_nothing(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(library, "# a remark\n\n" + HOT)
    assert run([*REVIEW, "--known", "known.json"]) == 0
    put(library, WORSE)
    assert run([*REVIEW, "--known", "known.json"]) == 1
    capsys.readouterr()


def test_what_has_gone_is_told_for_removal(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(library, CALM)
    run([*REVIEW, "--known", "known.json", "--as", "json"])
    (message,) = problems(capsys)
    assert "retinoids.acid-off-retinoid-routines in lib/a.regimen.yaml" in message
    assert "found no more" in message
    run([*REVIEW, "--known", "known.json", "--as", "json", "--only", "shelf"])
    assert problems(capsys) == []  # the rule was not asked
    (library / "lib" / "a.regimen.yaml").rename(library / "lib" / "b.regimen.yaml")
    run([*REVIEW, "--known", "known.json", "--as", "json"])
    (message,) = problems(capsys)
    assert "found no more" in message
    (library / "lib" / "a.regimen.yaml").write_text("regimen: [")
    run(["review", "lib/b.regimen.yaml", "--known", "known.json", "--as", "json"])
    assert problems(capsys) == []  # the file is there and was not reviewed


def test_settings_may_name_the_record(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (library / "dermalint.toml").write_text('known = "known.json"\n')
    assert run(REVIEW) == 0
    put(library, WORSE)
    assert run([*REVIEW, "--known", "known.json"]) == 1
    assert run([*REVIEW, "--write-known", "known.json"]) == 0
    assert run(REVIEW) == 0
    capsys.readouterr()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "cannot be read"),
        ("{", "it is no JSON"),
        ("[]", "is no record of known findings (dermalint-known/1)"),
        ('{"format": "dermalint-known/1", "findings": [{"path": "x"}]}', "finding 1 needs a path, an id, a rule and a message"),
    ],
)
def test_a_record_that_is_none(
    content: str | None, said: str, library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = library / "known.json"
    record.unlink()
    if content is not None:
        record.write_text(content)
    assert run([*REVIEW, "--known", "known.json"]) == 2
    assert said in capsys.readouterr().err


def test_no_record_over_a_regimen_and_not_both(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*REVIEW, "--write-known", "lib/a.regimen.yaml"]) == 2
    assert (library / "lib" / "a.regimen.yaml").read_text() == HOT
    assert run([*REVIEW, "--write-known", "known.json", "--known", "known.json"]) == 2
    assert "exclude each other" in capsys.readouterr().err


def test_mistakes_are_told_when_the_record_is_written(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(library, HOT.replace("steps: [acid, cream]", "steps: [acid, crem]"))
    assert run([*REVIEW, "--write-known", "known.json"]) == 2
    assert "crem" in capsys.readouterr().err


SCHEMA = json.loads(files("dermalint.verdict").joinpath("known.schema.json").read_text(encoding="utf-8"))
WHOLE = {"path": "lib/a.regimen.yaml", "rule": "acids.x", "id": "a1", "message": "m"}


def test_records_follow_the_published_schema(library: Path) -> None:
    Draft202012Validator.check_schema(SCHEMA)
    Draft202012Validator(SCHEMA).validate(json.loads((library / "known.json").read_text()))


@pytest.mark.parametrize(
    ("document", "right"),
    [
        ({"format": "dermalint-known/1", "findings": []}, True),
        ({"format": "dermalint-known/1", "findings": [WHOLE], "remark": "of ours"}, True),
        ({"format": "dermalint-known/1", "findings": [{**WHOLE, "person": "Ida"}]}, True),
        ({"format": "dermalint-known/1", "findings": [{**WHOLE, "person": None}]}, True),
        ({"format": "dermalint-known/1", "findings": [{**WHOLE, "person": 1}]}, False),
        ({"format": "dermalint-known/2", "findings": []}, False),
        ({"format": "dermalint-known/1"}, False),
        ({"format": "dermalint-known/1", "findings": {}}, False),
        ({"findings": []}, False),
        ([], False),
        *(
            ({"format": "dermalint-known/1", "findings": [{key: said for key, said in WHOLE.items() if key != left}]}, False)
            for left in WHOLE
        ),
        ({"format": "dermalint-known/1", "findings": [{**WHOLE, "id": 1}]}, False),
        ({"format": "dermalint-known/1", "findings": ["a"]}, False),
    ],
)
def test_the_schema_and_the_reader_are_of_one_mind(document: object, right: bool, tmp_path: Path) -> None:
    assert Draft202012Validator(SCHEMA).is_valid(document) is right
    record = tmp_path / "known.json"
    record.write_text(json.dumps(document))
    if right:
        read_known(record)
    else:
        with pytest.raises(KnownError):
            read_known(record)
