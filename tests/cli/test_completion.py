"""Completion in shells, by click's own protocol: commands, options, and the values that they take."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from dermalint.cli.main import COMMANDS, build, run

SHELLS = ["bash", "zsh", "fish"]
RULES = """pack larkspur 1.0.0
uses core, substances
region moon "the moon"

rule calm caution
  never use retinol.
  why "House."
  advise "House."
  source practice "House rule."
  breaks  evening: retinol 0.3 %
  holds   evening: moisturiser
"""


Complete = Callable[[str], list[str]]


@pytest.fixture(params=SHELLS)
def complete(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Complete:
    """What a shell is offered for the last word of a call; never a message."""
    shell = request.param

    def offered(words: str) -> list[str]:
        monkeypatch.setenv("_DERMALINT_COMPLETE", f"{shell}_complete")
        monkeypatch.setenv("COMP_WORDS", words)
        last = words.rpartition(" ")[2]
        monkeypatch.setenv("COMP_CWORD", last if shell == "fish" else str(len(words.split(" ")) - 1))
        run([])
        said = capsys.readouterr()
        assert said.err == ""
        lines = [line for line in said.out.splitlines() if line]
        # The protocol has three lines (type, value, help) for zsh, else one: "type,value", and for fish help behind a tab.
        return lines[1::3] if shell == "zsh" else [line.partition(",")[2].partition("\t")[0] for line in lines]

    return offered


def test_commands_and_options(complete: Complete) -> None:
    assert set(complete("dermalint ")) == set(COMMANDS)
    assert complete("dermalint rev") == ["review"]
    assert complete("dermalint review --as-") == ["--as-of"]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("dermalint review --as ", ["text", "json", "sarif", "html", "fhir"]),
        ("dermalint review --as s", ["sarif"]),
        ("dermalint review --fail-at a", ["avoid", "advice"]),
        ("dermalint review --possible ", ["show", "hide", "fail"]),
        ("dermalint review --jobs ", ["auto"]),
        ("dermalint review --stance ", ["usual", "strict"]),
        ("dermalint review --region e", ["eu"]),
        ("dermalint impact --as ", ["text", "json", "html"]),
        ("dermalint rules --as ", ["text", "json"]),
        ("dermalint rules layer", ["layering"]),
        ("dermalint review --without retinoids.acid-off", ["retinoids.acid-off-retinoid-routines"]),
        ("dermalint review --only acids --only copper-pep", ["copper-peptides"]),
        ("dermalint review --as-of ", []),
    ],
)
def test_values(words: str, expected: list[str], complete: Complete) -> None:
    found = complete(words)
    if words.endswith((" layer", "copper-pep")):
        found = [name for name in found if "." not in name]
    assert found == expected


def test_packs_given_before_and_packs_of_the_settings_count(
    complete: Complete, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "house.rules").write_text(RULES)
    assert complete("dermalint review --only larkspur") == []
    assert complete("dermalint review --packs house.rules --only larkspur") == ["larkspur", "larkspur.calm"]
    assert complete("dermalint review --packs house.rules --region mo") == ["moon"]
    (tmp_path / "dermalint.toml").write_text('packs = ["house.rules"]\n')
    assert complete("dermalint review --only larkspur") == ["larkspur", "larkspur.calm"]


def test_what_goes_wrong_offers_nothing_and_says_nothing(
    complete: Complete, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "dermalint.toml").write_text("regon = 1\n")
    assert complete("dermalint review --region e") == ["eu"]
    assert complete("dermalint review --packs nowhere/ --only larkspur") == []


def test_every_choice_and_every_path_of_every_command_is_completed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("_DERMALINT_COMPLETE", "bash_complete")
    group = build()
    completed = 0
    for name in COMMANDS:
        command = group.get_command(click.Context(group), name)
        assert command is not None
        context = click.Context(command)
        for param in command.params:
            metavar = getattr(param, "metavar", None) or ""
            offered = [(item.type, item.value) for item in param.shell_complete(context, "")]
            if metavar.strip("[].") in ("PATH", "FILE", "FOLDER"):
                assert offered in ([("file", "")], [("dir", "")]), (name, param.name)
                completed += 1
            elif "|" in metavar:
                assert offered, (name, param.name)
                completed += 1
    assert completed > 20


def test_in_a_real_bash(tmp_path: Path) -> None:
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("there is no bash")
    command = tmp_path / "dermalint"
    command.write_text(f"#!{sys.executable}\nimport sys\nfrom dermalint.cli.main import run\nsys.exit(run())\n")
    command.chmod(0o755)
    script = (
        'eval "$(_DERMALINT_COMPLETE=bash_source dermalint)"\n'
        "COMP_WORDS=(dermalint review --as js) COMP_CWORD=3\n"
        '_dermalint_completion dermalint\necho "${COMPREPLY[@]}"\ncomplete -p dermalint\n'
    )
    environment = os.environ | {
        "PATH": f"{tmp_path}{os.pathsep}{os.environ['PATH']}",
        "DERMALINT_CACHE": str(tmp_path / "cache"),
    }
    done = subprocess.run([bash, "-c", script], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[0] == "json"
    assert "_dermalint_completion" in done.stdout.splitlines()[1]


@pytest.mark.parametrize("shell", SHELLS)
def test_the_script_for_a_shell(shell: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("_DERMALINT_COMPLETE", f"{shell}_source")
    assert run([]) == 0
    assert "dermalint" in capsys.readouterr().out
