"""docs/plugins.md: the package that it writes is installed as it stands there, and every command says what is pasted."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from fake_distributions import Ran, distribute, run_apart

GUIDE = (Path(__file__).resolve().parents[2] / "docs" / "plugins.md").read_text(encoding="utf-8")

_FILE = re.compile(r"`(?P<name>[\w./-]+\.(?:rules|py|yaml|csv))`[^`\n]*\n\n```\w+\n(?P<text>.*?)```", re.DOTALL)
_TABLE = re.compile(r'```toml\n\[project\.entry-points\."(?P<group>[\w.]+)"\]\n(?P<lines>.*?)```', re.DOTALL)
_CALL = re.compile(r"```text\n\$ dermalint (?P<call>[^\n]*)\n(?P<said>.*?)```", re.DOTALL)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """The package of the guide, laid down; its two data files lie beside it."""
    site = tmp_path / "site"
    (site / "larkspur_house").mkdir(parents=True)
    for found in _FILE.finditer(GUIDE):
        folder = site if found["name"].endswith((".py", ".rules")) else tmp_path
        (folder / found["name"]).write_text(found["text"], encoding="utf-8")
    points: dict[str, dict[str, str]] = {}
    for found in _TABLE.finditer(GUIDE):
        lines = (line.replace('"', "").split(" = ") for line in found["lines"].splitlines())
        points.setdefault(found["group"], {}).update(lines)
    distribute(site, "larkspur", "dermalint.packs", points["dermalint.packs"])
    table = site / "larkspur-1.0.dist-info" / "entry_points.txt"
    more = "".join(f"{name} = {value}\n" for name, value in points["dermalint.plugins"].items())
    table.write_text(f"{table.read_text(encoding='utf-8')}\n[dermalint.plugins]\n{more}", encoding="utf-8")
    return site


def run(site: Path, cache: Path, call: str) -> Ran:
    return run_apart(site, cache, *call.split(), cwd=site.parent)


def calls() -> list[tuple[str, str]]:
    return [(found["call"], found["said"]) for found in _CALL.finditer(GUIDE)]


@pytest.mark.parametrize(("call", "said"), calls(), ids=[call for call, _ in calls()])
def test_every_command_says_what_is_pasted(site: Path, cache: Path, call: str, said: str) -> None:
    ran = run(site, cache, call)
    out = ran.out.replace("\r\n", "\n").rstrip("\n") + "\n"
    pasted = said.removeprefix("…\n")
    assert len(pasted.splitlines()) >= 2
    assert ran.err == ""
    if said == pasted:
        assert out.startswith(pasted)
    else:
        assert out.endswith(pasted)


def test_the_guide_shows_all_three_kinds() -> None:
    assert len(calls()) == 4
    assert {Path(found["name"]).suffix for found in _FILE.finditer(GUIDE)} == {".rules", ".py", ".yaml", ".csv"}


def test_the_tests_of_the_guide_pass(site: Path) -> None:
    """The rules' own examples, and the snippet of a test, over the regimen that the guide shows."""
    (snippet,) = re.findall(r"```python\n(from dermalint.testing.*?)```", GUIDE, re.DOTALL)
    evenings = (site.parent / "evenings.regimen.yaml").read_text(encoding="utf-8")
    (site / "test_evenings.py").write_text(f"{snippet}\nEVENINGS = {evenings!r}\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "dermalint.testing.pytest_plugin", "-p", "no:cacheprovider"],
        cwd=site,
        env={**os.environ, "PYTHONPATH": str(site)},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert "6 passed" in done.stdout, done.stdout + done.stderr
