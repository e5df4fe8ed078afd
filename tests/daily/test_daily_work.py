"""What docs/daily-work.md shows is what the program prints."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from dermalint.cli.main import run
from dermalint.settings.read import KEYS, PART_KEYS

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "daily-work.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)


def block(language: str, beginning: str) -> str:
    (found,) = (text for text in blocks(language) if text.startswith(beginning))
    return found


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("COLUMNS", raising=False)
    (tmp_path / "courses").mkdir()
    (tmp_path / "courses" / "calm.regimen.yaml").write_text(block("yaml", "regimen: "), encoding="utf-8")
    (tmp_path / "new-conflicts.rules").write_text(block("text", "pack house"), encoding="utf-8")
    settings = [re.sub(r" +#.*", "", line) for line in block("toml", "region").splitlines()]
    kept = [line for line in settings if not line.startswith(("packs", "known"))]
    (tmp_path / "dermalint.toml").write_text("\n".join(kept) + "\n", encoding="utf-8")
    return tmp_path


def fits(shown: str, printed: str) -> bool:
    """Whether the lines shown were printed; a line `…` stands for any."""
    parts = [re.escape(part) for part in re.split(r"^…\n", shown, flags=re.MULTILINE)]
    return re.fullmatch("(?:.*\n)*?".join(parts), printed) is not None


def test_what_is_shown_is_printed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert folder.is_dir()
    pattern = r"^\$ dermalint (.*)\n((?:(?!\$ ).*\n)*)"
    calls = [call for text in blocks("console") for call in re.findall(pattern, text, re.MULTILINE)]
    assert len(calls) == 4
    for call, shown in calls:
        run(shlex.split(call))
        printed = capsys.readouterr().out
        assert fits(shown, printed), printed


def test_the_wrong_settings_that_are_shown(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "dermalint.toml").write_text('\n\n\n[severities]\nlayering = "advise"\n')
    assert run(["review", "courses"]) == 2
    assert capsys.readouterr().err == block("text", "The settings in")


def test_all_keys_are_shown() -> None:
    shown = block("toml", "region")
    for key in KEYS:
        assert re.search(rf"^(?:{key} = |\[\[?{key}\])", shown, re.MULTILINE), key
    for key in PART_KEYS:
        assert key in shown.partition("[[folder]]")[2]
