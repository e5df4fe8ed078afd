"""The tutorial: each command, run on the files as they are at that point of the page, says what is pasted below it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

TUTORIAL = (Path(__file__).resolve().parents[2] / "docs" / "tutorial.md").read_text(encoding="utf-8")
COMMAND = (sys.executable, "-c", "import sys; from dermalint.cli.main import run; sys.exit(run())")

_STEP = re.compile(
    r"`(?P<file>[\w.-]+)`:\n\n```(?:rules|yaml)\n(?P<text>.*?)```"
    r"|<!-- change: (?P<old>.*?) -> (?P<new>[^\n]*) -->"
    r"|```text\n\$ dermalint (?P<call>[^\n]*)\n(?P<said>.*?)```",
    re.DOTALL,
)


def change(folder: Path, old: str, new: str) -> None:
    """Change what the page tells the reader to change; the text stands in one file, once."""
    (path,) = [path for path in folder.iterdir() if old in path.read_text(encoding="utf-8")]
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new.replace("\\n", "\n")), encoding="utf-8")


@pytest.fixture(scope="module")
def pasted_calls(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, str, str]]:
    """Each command of the page, with what is pasted and what it said."""
    folder = tmp_path_factory.mktemp("studio")
    said: list[tuple[str, str, str]] = []
    for step in _STEP.finditer(TUTORIAL):
        if step["file"]:
            (folder / step["file"]).write_text(step["text"], encoding="utf-8")
        elif step["old"]:
            change(folder, step["old"], step["new"])
        else:
            done = subprocess.run(
                [*COMMAND, *step["call"].split()], cwd=folder, capture_output=True, encoding="utf-8", check=False
            )
            said.append((step["call"], step["said"], done.stdout + done.stderr))
    return said


def test_every_command_says_what_is_pasted(pasted_calls: list[tuple[str, str, str]]) -> None:
    assert len(pasted_calls) == 5
    for call, pasted, said in pasted_calls:
        assert pasted.strip()
        assert said.startswith(pasted), f"dermalint {call}\n{said}"


def test_the_page_shows_a_finding_a_possible_one_and_a_mistake(pasted_calls: list[tuple[str, str, str]]) -> None:
    shown = "".join(pasted for _, pasted, _ in pasted_calls)
    assert "│ Possibly" in shown
    assert "Mistake │" in shown
    assert "no rule in force was broken" in shown
