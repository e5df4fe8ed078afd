"""The page on mending shows what the tool really prints."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from dermalint.cli.main import run

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "mend.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)


@pytest.mark.parametrize("number", [0, 1])
def test_what_is_shown_is_what_comes(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    for name, text in zip(("both.regimen.yaml", "stuck.regimen.yaml"), blocks("yaml"), strict=True):
        Path(name).write_text(text, encoding="utf-8")
    Path("house.rules").write_text(blocks("text")[0], encoding="utf-8")
    call, _, shown = blocks("console")[number].partition("\n")
    assert run(call.removeprefix("$ dermalint ").split()) == 1
    assert capsys.readouterr().out == shown.rstrip("\n") + "\n"
