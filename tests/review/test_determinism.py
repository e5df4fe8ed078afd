"""The same files and packs give the same bytes: under any hash seed, number of processes and order of files."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from dermalint.regimen.search import ENDINGS, find_files
from dermalint.review import FILES_THAT_PAY_FOR_A_PROCESS

DEMO = Path(__file__).parents[2] / "examples" / "larkspur-row"


def review(*arguments: str, seed: str = "0") -> str:
    command = [sys.executable, "-c", "from dermalint.cli.main import run; run()", "review", "--as", "json"]
    done = subprocess.run(
        [*command, "--as-of", "2026-03-02", "--fail-at", "never", *arguments],
        capture_output=True,
        env={**os.environ, "PYTHONHASHSEED": seed},
        check=True,
    )
    return done.stdout.decode()


def test_hash_seeds_change_no_byte() -> None:
    assert review(str(DEMO), seed="1") == review(str(DEMO), seed="2")


def test_processes_change_no_byte(tmp_path: Path) -> None:
    for number in range(FILES_THAT_PAY_FOR_A_PROCESS // 8 + 1):
        shutil.copytree(DEMO, tmp_path / f"copy-{number}")
    assert len(find_files([str(tmp_path)])) >= FILES_THAT_PAY_FOR_A_PROCESS
    assert review(str(tmp_path), "--jobs", "1") == review(str(tmp_path), "--jobs", "3")


def test_the_order_of_files_changes_only_their_order() -> None:
    paths = [str(path) for path in sorted(DEMO.iterdir()) if path.name.endswith(ENDINGS)]
    forwards, backwards = (json.loads(review(*order)) for order in (paths, paths[::-1]))
    assert forwards["files"] == backwards["files"][::-1]
    assert {key: forwards[key] for key in forwards if key != "files"} == {
        key: backwards[key] for key in backwards if key != "files"
    }


def test_a_folder_gives_each_regimen_once_in_the_order_of_names(tmp_path: Path) -> None:
    for name in ("b.regimen.yaml", "a.regimen.toml", "c.yaml", ".hidden/d.regimen.yaml", "deep/e.regimen.json"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("")
    (tmp_path / "deep" / "loop").symlink_to(tmp_path)
    found = [Path(path).relative_to(tmp_path).as_posix() for path in find_files([str(tmp_path), str(tmp_path / "c.yaml")])]
    assert found == ["a.regimen.toml", "b.regimen.yaml", "deep/e.regimen.json", "c.yaml"]


@pytest.mark.parametrize("given", [["x.regimen.yaml", "x.regimen.yaml"], ["missing.yaml"]])
def test_a_path_as_given_is_always_taken_once(given: list[str]) -> None:
    assert find_files(given) == given[:1]
