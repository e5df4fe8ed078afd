"""docs/start.md: every command says what is pasted."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from dermalint.cli.main import run

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "start.md").read_text(encoding="utf-8")
CALLS = re.findall(r"```console\n\$ dermalint ([^\n]*)\n(.*?)```", PAGE, re.DOTALL)


@pytest.mark.parametrize(("call", "said"), CALLS, ids=[call for call, _ in CALLS])
def test_every_command_says_what_is_pasted(
    call: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    run(call.split())
    captured = capsys.readouterr()
    shown, _, cut = said.partition("…\n")
    out = captured.out + captured.err
    assert len(shown.splitlines()) >= 3
    assert out.startswith(shown) if "…\n" in said else out == shown
    assert cut == ""


def test_the_page_shows_calls() -> None:
    assert len(CALLS) == 3
