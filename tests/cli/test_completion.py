"""Completion in shells, by click's own protocol."""

from __future__ import annotations

import pytest

from dermalint.cli.main import COMMANDS, run


def complete(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: str) -> list[str]:
    monkeypatch.setenv("_DERMALINT_COMPLETE", "bash_complete")
    monkeypatch.setenv("COMP_WORDS", words)
    monkeypatch.setenv("COMP_CWORD", str(len(words.split(" ")) - 1))
    run([])
    return [line.partition(",")[2] for line in capsys.readouterr().out.splitlines()]


def test_commands_and_options(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert set(complete(monkeypatch, capsys, "dermalint ")) == set(COMMANDS)
    assert complete(monkeypatch, capsys, "dermalint rev") == ["review"]
    assert complete(monkeypatch, capsys, "dermalint review --as-") == ["--as-of"]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_for_a_shell(shell: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("_DERMALINT_COMPLETE", f"{shell}_source")
    assert run([]) == 0
    assert "dermalint" in capsys.readouterr().out
