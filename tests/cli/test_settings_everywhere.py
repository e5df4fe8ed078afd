"""What a project's settings name is in force in every command that judges."""

from __future__ import annotations

from pathlib import Path

import pytest

from dermalint.cli.main import run

HOUSE = """pack house-rules 1.0.0
  title "House rules"
uses core, substances

rule soothing-by-night caution
  use niacinamide only in the evening.
  why "This house keeps the morning short."
"""
MORNING = """regimen: A short morning
products:
  soother: {kind: serum, base: water, contains: {niacinamide: 4 %}}
  shield: {kind: sunscreen, base: emulsion, spf: 50}
"""
ROUTINES = "routines:\n  - {slot: morning, steps: [soother, shield]}\n"
WISHES = "wishes:\n  - {product: soother, mornings: every}\n  - {product: shield, mornings: every}\n"


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DERMALINT_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("COLUMNS", "100")
    (tmp_path / "house.rules").write_text(HOUSE, encoding="utf-8")
    (tmp_path / "dermalint.toml").write_text('packs = ["house.rules"]\nplugins = []\n', encoding="utf-8")
    (tmp_path / "calm.regimen.yaml").write_text(MORNING + ROUTINES, encoding="utf-8")
    (tmp_path / "wishes.regimen.yaml").write_text(MORNING + WISHES, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("call", "sign"),
    [
        (["review", "calm.regimen.yaml", "--fail-at", "never"], "house-rules.soothing-by-night"),
        (["mend", "calm.regimen.yaml"], "house-rules.soothing-by-night"),
        (["handout", "calm.regimen.yaml", "--as", "text"], "it belongs only in the"),
        (["arrange", "wishes.regimen.yaml"], "house-rules.soothing-by-night"),
        (["rules"], "House rules"),
        (["proof", "--witness", "house-rules"], "house-rules.soothing-by-night"),
    ],
    ids=lambda part: part[0] if isinstance(part, list) else "",
)
def test_packs_of_the_settings_are_in_force(
    project: Path, capsys: pytest.CaptureFixture[str], call: list[str], sign: str
) -> None:
    for settings, expected in (('packs = ["house.rules"]\nplugins = []\n', True), ("plugins = []\n", False)):
        (project / "dermalint.toml").write_text(settings, encoding="utf-8")
        assert run(call) in ((0, 1) if expected else (0, 1, 2))
        assert (sign in capsys.readouterr().out) == expected


@pytest.mark.parametrize(
    "call",
    [
        ["review", "calm.regimen.yaml", "--fail-at", "never"],
        ["mend", "calm.regimen.yaml"],
        ["handout", "calm.regimen.yaml", "--as", "text"],
        ["arrange", "wishes.regimen.yaml"],
        ["pairings", "niacinamide", "retinol"],
        ["rules"],
        ["proof", "house.rules"],
        ["impact", "--after", "house.rules", "calm.regimen.yaml"],
    ],
    ids=lambda call: call[0],
)
def test_every_command_that_judges_lets_plugins_be_chosen(
    project: Path, capsys: pytest.CaptureFixture[str], call: list[str]
) -> None:
    (project / "dermalint.toml").write_text("", encoding="utf-8")
    assert run([*call, "--without-plugins"]) in (0, 1)
    assert run([*call, "--only-plugins", "no-such-plugin"]) == 2
    assert "no plugin “no-such-plugin” is installed" in capsys.readouterr().err


def test_a_wrong_setting_is_told_by_every_command(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (project / "dermalint.toml").write_text('[severities]\nno-such-pack = "off"\n', encoding="utf-8")
    for call in (["review"], ["mend"], ["handout"]):
        assert run([*call, "calm.regimen.yaml"]) == 2
        assert "no-such-pack" in capsys.readouterr().err
