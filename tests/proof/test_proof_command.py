"""The command `proof`: what it prints, its documents, its exit statuses."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from dermalint.cli.main import run

HEAD = "pack house 1.0.0\nuses core, substances\n"
SOUND = (
    HEAD
    + """rule one caution
  never use urea in the morning.
  why "A test."
  source practice "Common practice, no published source."
  source practice "Another."
  breaks morning: urea 10 %
  holds  evening: urea 10 %
"""
)
CLASHING = SOUND + 'rule two caution\n  expect urea in every morning.\n  why "A test."\n  breaks evening: urea 10 %\n'


def write(tmp_path: Path, text: str, name: str = "house.rules") -> Path:
    path = tmp_path / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def call(capfd: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    status = run(["proof", *map(str, words), "--as-of", "2026-03-02"])
    out, err = capfd.readouterr()
    return status, out, err


def test_a_sound_pack_is_said_to_be(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    status, out, _ = call(capfd, write(tmp_path, SOUND))
    assert status == 0
    assert "No fault in 1 rule of 1 pack." in out
    assert "For education" in out


def test_a_clash_is_told_with_both_places(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    status, out, _ = call(capfd, write(tmp_path, CLASHING))
    assert status == 1
    assert "cannot hold together" in " ".join(out.split())
    assert "line 4" in out
    assert "line 11" in out


def test_the_document_is_of_its_schema(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, CLASHING)
    status, out, _ = call(capfd, path, "--as", "json")
    document = json.loads(out)
    schema = json.loads(files("dermalint.report").joinpath("proof.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(document)
    assert status == 1
    assert document["packs"] == ["house"]
    (clash,) = [flaw for flaw in document["flaws"] if flaw["kind"] == "clash"]
    assert {*clash["rules"]} == {"house.one", "house.two"}
    assert {clash["where"]["line"], clash["related"][0]["line"]} == {4, 11}


def test_a_mistake_gives_status_two(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    status, out, _ = call(capfd, write(tmp_path, SOUND.replace("use urea", "use ureaa")))
    assert status == 2
    assert "ureaa" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--witness", "house.nobody"], "no rule or pack"),
        (["--coverage", "--before", "x"], "Give one of them"),
        (["--as", "sarif"], "text or json"),
    ],
)
def test_wrong_calls_are_answered(words: list[str], said: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    status, _, err = call(capfd, write(tmp_path, SOUND), *words)
    assert status == 2
    assert said in err


def test_a_folder_without_packs_is_a_wrong_call(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    status, _, _ = call(capfd, tmp_path)
    assert status == 2


def test_witness_files_are_confirmed_by_review(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, SOUND)
    status, _, _ = call(capfd, path, "--witness", "house.one", "--to", tmp_path / "w")
    assert status == 0
    for word, expected in (("breaks", {"house.one"}), ("holds", set())):
        file = tmp_path / "w" / f"house.one.{word}.regimen.yaml"
        run(["review", str(file), "--packs", str(path), "--as-of", "2026-03-02", "--as", "json", "--no-cache"])
        document = json.loads(capfd.readouterr().out)
        assert {finding["rule"] for finding in document["files"][0]["findings"]} == expected


def test_coverage_and_missing(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    text = HEAD + "rule one caution\n  limit strength of urea to at most 10 %.\n  breaks evening: urea 40 %\n"
    status, out, _ = call(capfd, write(tmp_path, text), "--missing")
    assert status == 1
    assert "breaks evening: urea 11 %" in out
    assert "holds evening: urea 10 %" in " ".join(out.split())
    shown = text + "  breaks evening: urea 11 %\n  holds  evening: urea 10 %\n"
    status, out, _ = call(capfd, write(tmp_path, shown), "--coverage", "--as", "json")
    assert status == 0
    assert json.loads(out)["rules"][0]["boundary"] == {"shown": 2, "of": 2}


def test_missing_examples_of_clauses_are_asked_for(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, HEAD + "rule one caution\n  never use urea if skin is damp.\n")
    status, out, _ = call(capfd, path, "--missing")
    assert status == 0  # there is no boundary
    assert "to write" not in out
    _, out, _ = call(capfd, path, "--missing", "--clauses")
    assert "holds evening: urea" in out
    status, _, err = call(capfd, path, "--clauses")
    assert status == 2
    assert "Give --missing too" in err


def test_missing_examples_in_files_come_with_their_text(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, HEAD + "rule one caution\n  in daylight expect sunscreen every 2 hours.\n")
    _, out, _ = call(capfd, path, "--missing", "--as", "json")
    (rule,) = json.loads(out)["rules"]
    lines = [line for line in rule["to_write"] if " file " in line]
    assert len(lines) == len(rule["files"]) > 0
    _, told, _ = call(capfd, path, "--missing")
    for name, text in rule["files"].items():
        assert name in told
        assert text.splitlines()[1] in told
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    path.write_text(path.read_text(encoding="utf-8") + "".join(f"  {line}\n" for line in rule["to_write"]), encoding="utf-8")
    status, out, _ = call(capfd, path, "--coverage", "--as", "json")
    (rule,) = json.loads(out)["rules"]
    assert status == 0
    assert rule["boundary"] == {"shown": 2, "of": 2}


def test_before_names_a_regimen_on_which_versions_disagree(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    old = write(tmp_path, SOUND, "old/house.rules")
    new = write(tmp_path, SOUND.replace("morning.", "evening.").replace("breaks morning", "breaks evening"), "new/house.rules")
    status, out, _ = call(capfd, "--before", old, new)
    assert status == 1
    assert "The versions disagree on 1 rule." in out
    status, out, _ = call(capfd, "--before", old, old)
    assert status == 0
    assert "No difference found within bounds" in " ".join(out.split())
