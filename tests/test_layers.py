"""The rooms of the engine use one another in one direction only; the contracts stand in pyproject.toml."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[1]

RUN = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"


def test_imports_keep_to_the_layers() -> None:
    # A process of its own: reading the contracts puts folders on sys.path and keeps the graph of imports in memory.
    done = subprocess.run(
        [sys.executable, "-c", RUN], cwd=PROJECT, capture_output=True, encoding="utf-8", env=None, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_every_room_has_its_place_in_the_layers() -> None:
    rooms = {
        path.stem
        for path in (PROJECT / "lint" / "dermalint").iterdir()
        if path.name != "__init__.py" and (path.suffix == ".py" or (path / "__init__.py").exists())
    }
    contracts = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
    placed = set(re.findall(r"dermalint\.(\w+)", " ".join(" ".join(contract.get("layers", ())) for contract in contracts)))
    assert rooms - placed == set()
