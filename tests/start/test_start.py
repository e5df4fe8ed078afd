"""`dermalint start`: what is written, what is never touched, and what a call that cannot be followed is answered."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from dermalint.cli.main import run
from dermalint.review import Asked, review_paths
from dermalint.start import write
from dermalint.start.names import CannotStart, check_name, nearest_name
from dermalint.start.write import write_start
from dermalint_grammar.layout import layout_pack

Said = Callable[..., tuple[int, str]]
PROJECT = Path(__file__).resolve().parents[2]


@pytest.fixture
def start(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Said:
    """Calls ``dermalint start`` in an empty folder; gives the exit status and all that was said."""
    monkeypatch.chdir(tmp_path)

    def call(*arguments: str) -> tuple[int, str]:
        status = run(["start", *arguments])
        captured = capsys.readouterr()
        return status, captured.out + captured.err

    return call


@pytest.mark.parametrize("stance", ["usual", "strict"])
@pytest.mark.parametrize("region", [None, "eu", "us", "uk"])
def test_the_regimen_reviews_without_a_finding(tmp_path: Path, stance: str, region: str | None) -> None:
    (path,) = write_start("regimen", "calm-evenings", tmp_path)
    assert path == tmp_path / "calm-evenings.regimen.yaml"
    for as_of in (date(2025, 4, 1), date(2026, 3, 2), date(2031, 12, 31)):
        review = review_paths([str(path)], Asked(stance=stance, region=region, as_of=as_of, cache=False))
        (result,) = review.files
        assert result.regimen == "Calm evenings"
        assert (result.problems, result.findings, review.problems) == ((), (), ())


def test_the_regimen_says_what_to_call(start: Said) -> None:
    status, said = start("regimen", "calm")
    assert status == 0
    assert "dermalint review calm.regimen.yaml" in said
    assert "dermalint review calm.regimen.yaml" in Path("calm.regimen.yaml").read_text(encoding="utf-8")
    assert said.rstrip().endswith("local law.")


def test_into_another_folder(start: Said, tmp_path: Path) -> None:
    (tmp_path / "our courses").mkdir()
    status, said = start("regimen", "calm", "--to", "our courses")
    assert status == 0
    assert "dermalint review 'our courses/calm.regimen.yaml'" in said
    assert [path.name for path in tmp_path.rglob("*.yaml")] == ["calm.regimen.yaml"]


@pytest.mark.parametrize("kind", ["pack", "plugin"])
def test_rules_are_written_in_their_one_layout(kind: str, tmp_path: Path) -> None:
    for name in ("larkspur-house", "a", "larkspur-row-and-a-name-that-is-long-enough-to-wrap-lines"):
        rules = [path for path in write_start(kind, name, tmp_path) if path.suffix == ".rules"]
        for path in rules:
            text = path.read_text(encoding="utf-8")
            assert layout_pack(text).text == text
        assert len(rules) == 1


def test_the_project_is_reviewed_by_its_settings(start: Said, capsys: pytest.CaptureFixture[str]) -> None:
    status, said = start("project", "larkspur-row")
    assert status == 0
    assert "cd larkspur-row" in said
    assert run(["review", "larkspur-row/courses", "--as", "json"]) == 0
    review = json.loads(capsys.readouterr().out)
    assert [file["regimen"] for file in review["files"]] == ["First regimen of larkspur-row"]
    assert [file["findings"] for file in review["files"]] == [[]]
    os.chdir("larkspur-row")
    assert run(["rules", "--settings"]) == 0
    assert re.search(r"stance │ usual \(dermalint.toml, line \d+\)", capsys.readouterr().out)
    drafts = Path("courses", "drafts")
    drafts.mkdir()
    drafts.joinpath("x.regimen.yaml").write_text("nonsense", encoding="utf-8")
    assert run(["review", "courses"]) == 0


def test_the_settings_that_are_not_in_force_can_be_taken_into_force(tmp_path: Path) -> None:
    """Every line behind a sign of comment is a setting that is understood."""
    write_start("project", "larkspur-row", tmp_path)
    settings = tmp_path / "larkspur-row" / "dermalint.toml"
    (tmp_path / "larkspur-row" / "house-rules").mkdir()
    text = settings.read_text(encoding="utf-8")
    settings.write_text(re.sub(r"^# (?=[\w-]+ = )", "", text, flags=re.MULTILINE), encoding="utf-8")
    assert settings.read_text(encoding="utf-8").count("\n# ") < text.count("\n# ") - 3
    assert run(["review", str(tmp_path / "larkspur-row" / "courses")]) == 0


def test_the_hooks_are_those_that_the_project_offers(tmp_path: Path) -> None:
    write_start("project", "larkspur-row", tmp_path)
    (local,) = yaml.safe_load((tmp_path / "larkspur-row" / ".pre-commit-config.yaml").read_text(encoding="utf-8"))["repos"]
    offered = yaml.safe_load((PROJECT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert local["repo"] == "local"
    alike = ("id", "name", "entry", "files", "require_serial")
    assert [[hook[key] for key in alike] for hook in local["hooks"]] == [[hook[key] for key in alike] for hook in offered]


@pytest.mark.parametrize("kind", ["regimen", "pack", "plugin", "project"])
def test_nothing_is_written_over(kind: str, start: Said, tmp_path: Path) -> None:
    assert start(kind, "calm")[0] == 0
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    status, said = start(kind, "calm")
    assert status == 2
    assert "is there already, and nothing is ever written over." in said
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


@pytest.mark.skipif(os.name == "nt", reason="links need a right of their own on Windows")
def test_a_link_that_leads_nowhere_is_not_followed(start: Said, tmp_path: Path) -> None:
    for name in ("calm.regimen.yaml", "calm"):
        (tmp_path / name).symlink_to(tmp_path / "elsewhere")
    assert start("regimen", "calm")[0] == 2
    assert start("pack", "calm")[0] == 2
    assert not (tmp_path / "elsewhere").exists()


def test_what_cannot_be_written_whole_is_taken_away_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written: list[str] = []

    def full(path: Path, text: str) -> Path:
        if written:
            raise OSError(28, "No space left on device")
        written.append(text)
        return path

    monkeypatch.setattr(write, "_write_new", full)
    with pytest.raises(CannotStart, match="cannot be written to: No space left on device"):
        write_start("pack", "larkspur-house", tmp_path)
    assert list(tmp_path.iterdir()) == []


WRONG = {
    (): ("What is to be started?", "dermalint start pack larkspur-house"),
    ("regimen",): ("What is the regimen to be called?", "dermalint start regimen calm-evenings"),
    ("pluggin", "x"): ("What can be started is a regimen, pack, plugin or project, and “pluggin” is none.", "plugin?"),
    ("pack", "Larkspur House"): ("“Larkspur House” cannot be the name of a pack", "dermalint start pack larkspur-house"),
    ("regimen", "calm.regimen.yaml"): ("cannot be the name of a regimen", "dermalint start regimen calm"),
    ("regimen", "../calm"): ("cannot be the name of a regimen", "dermalint start regimen calm"),
    ("project", "Über-Reihe"): ("cannot be the name of a project", "dermalint start project uber-reihe"),
    ("pack", "7-evenings"): ("cannot be the name of a pack", "dermalint start pack evenings"),
    ("pack", "漢"): ("cannot be the name of a pack", "dermalint start pack larkspur-row"),
    ("pack", "a" * 61): ("This name has 61 letters; 60 are the most.", f"dermalint start pack {'a' * 60}"),
    ("pack", "acids"): ("A pack called acids is installed already (dermalint_acids/acids.rules).", "house-acids"),
    ("plugin", "json"): ("“json” is a name that Python or dermalint has itself", "house-json"),
    ("plugin", "class"): ("“class” is a name that Python or dermalint has itself", "house-class"),
    ("pack", "pyyaml"): ("A distribution called pyyaml is installed already", "house-pyyaml"),
    ("pack", "yaml"): ("A Python package called yaml is installed already", "house-yaml"),
    ("regimen", "calm", "--to", "nowhere"): ("nowhere does not exist", "mkdir nowhere"),
    ("regimen", "calm", "--into", "x"): ("There is no option --into.", "dermalint start --help"),
}


@pytest.mark.parametrize(("call", "told"), WRONG.items(), ids=[" ".join(call)[:40] or "nothing" for call in WRONG])
def test_a_wrong_call_is_answered(call: tuple[str, ...], told: tuple[str, str], start: Said, tmp_path: Path) -> None:
    status, said = start(*call)
    assert status == 2
    for words in told:
        assert words in said
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_no_folder(start: Said, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    assert start("pack", "calm", "--to", "file") == (2, start("pack", "calm", "--to", "file")[1])
    assert "file is no folder" in start("pack", "calm", "--to", "file")[1]


@given(st.text(max_size=80))
def test_the_name_that_is_proposed_will_do(text: str) -> None:
    check_name("regimen", nearest_name(text))
