"""The wheel as its users get it: everything inside, nothing more, and working with the sources out of reach.

The environment it is installed into sees the declared run-time dependencies and nothing else, so that a forgotten
dependency or a file that is only found beside the sources shows here.
"""

from __future__ import annotations

import importlib.metadata
import json
import os
import subprocess
import sys
import tomllib
import venv
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

PROJECT = Path(__file__).resolve().parents[2]
DEMO = PROJECT / "examples" / "larkspur-row"


def settings() -> dict[str, object]:
    return tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))


def packaged_folders() -> list[Path]:
    return [PROJECT / folder for folder in settings()["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]]  # type: ignore[index]


def source_files() -> set[str]:
    """Every file of the packaged folders, named as it must be named in the wheel."""
    return {
        path.relative_to(folder.parent).as_posix()
        for folder in packaged_folders()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


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


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", folder, cwd=PROJECT)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def contents(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return {name for name in archive.namelist() if not name.endswith("/")}


def runtime_distributions() -> list[importlib.metadata.Distribution]:
    """The declared dependencies and theirs, without extras."""
    waiting = list(settings()["project"]["dependencies"])  # type: ignore[index]
    found: dict[str, importlib.metadata.Distribution] = {}
    while waiting:
        requirement = Requirement(waiting.pop())
        name = canonicalize_name(requirement.name)
        if name in found or (requirement.marker and not requirement.marker.evaluate({"extra": ""})):
            continue
        found[name] = importlib.metadata.distribution(name)
        waiting.extend(found[name].requires or [])
    return list(found.values())


@pytest.fixture(scope="module")
def scripts(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of commands of a new environment that holds the wheel and its declared dependencies."""
    home = tmp_path_factory.mktemp("installed")
    venv.create(home, with_pip=False)
    scripts = home / ("Scripts" if sys.platform == "win32" else "bin")
    (site,) = (path for path in home.rglob("site-packages") if path.is_dir())
    for distribution in runtime_distributions():
        root = Path(str(distribution.locate_file("")))
        tops = {file.parts[0] for file in distribution.files or () if file.parts[0] not in ("..", "__pycache__")}
        for top in tops:
            (site / top).symlink_to(root / top)
    python = scripts / "python"
    run(
        *(sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps", "--no-index", wheel),
        cwd=home,
    )
    return scripts


def test_wheel_holds_every_file_of_every_package(contents: set[str]) -> None:
    assert source_files() - contents == set()


def test_wheel_holds_nothing_else(contents: set[str]) -> None:
    beyond = {name for name in contents - source_files() if ".dist-info/" not in name}
    assert beyond == set()


def test_wheel_holds_the_data_that_the_tool_reads(contents: set[str]) -> None:
    assert {Path(name).suffix for name in contents} >= {".py", ".lark", ".rules", ".json"}
    assert any(name.endswith(".schema.json") for name in contents)
    assert {"dermalint/py.typed", "dermalint_grammar/py.typed"} <= contents


def test_every_packaged_folder_exists_and_is_listed() -> None:
    roots = [PROJECT / name for name in ("grammar", "lint", "rulesets", "plugins")]
    present = {
        folder
        for root in roots
        for folder in root.iterdir()
        if folder.is_dir() and folder.name.startswith("dermalint") and any(folder.rglob("*.*"))
    }
    assert set(packaged_folders()) == present


def test_packs_point_at_packaged_folders(contents: set[str]) -> None:
    packs: dict[str, str] = settings()["project"]["entry-points"]["dermalint.packs"]  # type: ignore[index]
    for folder in packs.values():
        assert any(name.startswith(f"{folder}/") and name.endswith(".rules") for name in contents), folder


def test_licence_travels_with_the_wheel(contents: set[str]) -> None:
    assert any(name.endswith(".dist-info/licenses/LICENSE") for name in contents)


def test_installed_command_names_its_version(scripts: Path, tmp_path: Path) -> None:
    from dermalint import __version__

    assert __version__ in run(scripts / "dermalint", "--version", cwd=tmp_path)


def test_installed_command_uses_no_file_of_the_sources(scripts: Path, tmp_path: Path) -> None:
    printed = run(scripts / "python", "-c", "import dermalint, sys; print(dermalint.__file__, *sys.path)", cwd=tmp_path)
    assert str(PROJECT) not in printed


def test_installed_command_reviews_a_regimen(scripts: Path, tmp_path: Path) -> None:
    for file in DEMO.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    printed = run(
        *(scripts / "dermalint", "review", "--as", "json", "--as-of", "2026-03-02"),
        "faults-of-every-kind.regimen.yaml",
        cwd=tmp_path,
        expected=(1,),
    )
    report = json.loads(printed)
    assert report["format"] == "dermalint-findings/1"
    assert report["problems"] == []
    assert {finding["topic"] for finding in report["files"][0]["findings"]} >= {"separation", "sun", "strength"}
