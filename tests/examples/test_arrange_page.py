"""The page on arranging shows what the tool really prints."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from dermalint.cli.main import run

PROJECT = Path(__file__).resolve().parents[2]
PAGE = (PROJECT / "docs" / "arrange.md").read_text(encoding="utf-8")
WISHES = "wishes-for-two-actives.regimen.yaml"


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)


@pytest.fixture(autouse=True)
def _in_the_studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    for name in ("products.yaml", WISHES):
        shutil.copy(PROJECT / "examples" / "larkspur-row" / name, name)
    Path("clash.regimen.yaml").write_text(blocks("yaml")[2], encoding="utf-8")


@pytest.mark.parametrize(("number", "status"), [(0, 0), (1, 1)])
def test_what_is_shown_is_what_comes(number: int, status: int, capsys: pytest.CaptureFixture[str]) -> None:
    call, _, shown = blocks("console")[number].partition("\n")
    assert run(call.removeprefix("$ dermalint ").split()) == status
    assert capsys.readouterr().out == shown


def test_the_page_quotes_the_example_and_its_plan(capsys: pytest.CaptureFixture[str]) -> None:
    wishes, timetable, _ = blocks("yaml")
    assert Path(WISHES).read_text(encoding="utf-8").endswith(wishes)
    assert run(["arrange", WISHES, "--as-of", "2026-03-02", "--as", "yaml"]) == 0
    assert timetable in capsys.readouterr().out
