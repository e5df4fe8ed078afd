"""The page of documentation shows what the program writes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from dermalint.cli.main import run

PROJECT = Path(__file__).resolve().parents[2]
ROW = PROJECT / "examples" / "larkspur-row"
HANDOUTS = PROJECT / "docs" / "handouts"
DOCS = (PROJECT / "docs" / "handout.md").read_text(encoding="utf-8")


def written(capsys: pytest.CaptureFixture[str], name: str, *options: str) -> str:
    assert run(["handout", str(ROW / name), "--as-of", "2026-03-02", *options]) == 0
    return capsys.readouterr().out


def test_the_text_that_is_pasted_is_the_one_that_is_written(capsys: pytest.CaptureFixture[str]) -> None:
    said = written(capsys, "every-second-evening.regimen.yaml", "--as", "text")
    assert f"$ dermalint handout every-second-evening.regimen.yaml --as text --as-of 2026-03-02\n{said}```" in DOCS
    (shown,) = re.findall(
        r"every-second-evening.regimen.yaml --as text` says:\n\n```text\n(.*?)```",
        (PROJECT / "README.md").read_text(encoding="utf-8"),
        re.DOTALL,
    )
    assert shown in said


@pytest.mark.parametrize(
    ("name", "shown", "options"),
    [
        ("first-retinol.regimen.yaml", "first-retinol.html", ["--as", "html"]),
        ("first-retinol.regimen.yaml", "first-retinol.nl.large.html", ["--language", "nl", "--large-print"]),
        ("alternating-evenings.regimen.yaml", "alternating-evenings.de.html", ["--language", "de"]),
        ("pregnancy.regimen.yaml", "pregnancy.fr.html", ["--language", "fr"]),
        ("every-second-evening.regimen.yaml", "every-second-evening.es.md", ["--language", "es", "--as", "markdown"]),
    ],
)
def test_the_examples_are_as_the_program_writes_them(
    capsys: pytest.CaptureFixture[str], name: str, shown: str, options: list[str]
) -> None:
    assert written(capsys, name, *options) == (HANDOUTS / shown).read_text(encoding="utf-8")


def test_every_option_is_explained() -> None:
    from dermalint.cli.handout import command

    table = DOCS[DOCS.index("| option | for |") : DOCS.index("The exit status is")]
    named = set(re.findall(r"--[a-z-]+", table))
    real = {name for parameter in command.params for name in parameter.opts if name.startswith("--")}
    assert real - {"--help"} <= named
