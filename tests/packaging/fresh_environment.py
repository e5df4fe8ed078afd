"""A fresh environment with the built wheel in it: what it takes to make one, and to run commands there."""

from __future__ import annotations

import importlib.metadata
import os
import subprocess
import sys
import tomllib
import venv
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

PROJECT = Path(__file__).resolve().parents[2]


def settings() -> dict[str, Any]:
    return tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))


def run(*command: object, cwd: Path, expected: tuple[int, ...] = (0,)) -> str:
    """Runs a command without any of the surrounding Python settings or caches, and gives back what it printed."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))}
    done = subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env=environment | {"PYTHONUTF8": "1", "DERMALINT_CACHE": str(cwd / "cache")},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode in expected, f"{command} gave {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def build_wheel(source: Path, folder: Path) -> Path:
    """The wheel of a distribution's folder, written into ``folder``."""
    run(sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", folder, cwd=source)
    (built,) = folder.glob("*.whl")
    return built


def pip(scripts: Path, *arguments: object) -> None:
    """Calls pip for the environment of these commands, without any network."""
    call = (sys.executable, "-m", "pip", "--python", scripts / "python", "--quiet", "--disable-pip-version-check")
    run(*call, *arguments, cwd=scripts.parent)


def runtime_distributions() -> list[importlib.metadata.Distribution]:
    """The declared dependencies and theirs, without extras."""
    waiting = list(settings()["project"]["dependencies"])
    found: dict[str, importlib.metadata.Distribution] = {}
    while waiting:
        requirement = Requirement(waiting.pop())
        name = canonicalize_name(requirement.name)
        if name in found or (requirement.marker and not requirement.marker.evaluate({"extra": ""})):
            continue
        found[name] = importlib.metadata.distribution(name)
        waiting.extend(found[name].requires or [])
    return list(found.values())


def make_environment(home: Path, wheel: Path) -> Path:
    """An environment with a wheel and its declared dependencies; gives its folder of commands."""
    venv.create(home, with_pip=False)
    scripts = home / ("Scripts" if sys.platform == "win32" else "bin")
    (site,) = (path for path in home.rglob("site-packages") if path.is_dir())
    for distribution in runtime_distributions():
        root = Path(str(distribution.locate_file("")))
        tops = {file.parts[0] for file in distribution.files or () if file.parts[0] not in ("..", "__pycache__")}
        for top in tops:
            (site / top).symlink_to(root / top)
    pip(scripts, "install", "--no-deps", "--no-index", wheel)
    return scripts
