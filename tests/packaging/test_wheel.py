"""The wheel as its users get it: everything inside, nothing more, and working with the sources out of reach.

The environment it is installed into sees the declared run-time dependencies and nothing else, so that a forgotten
dependency or a file that is only found beside the sources shows here.
"""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest
from fresh_environment import PROJECT, run, settings

DEMO = PROJECT / "examples" / "larkspur-row"


def packaged_folders() -> list[Path]:
    return [PROJECT / folder for folder in settings()["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]]


def source_files() -> set[str]:
    """Every file of the packaged folders, named as it must be named in the wheel."""
    return {
        path.relative_to(folder.parent).as_posix()
        for folder in packaged_folders()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


@pytest.fixture(scope="module")
def contents(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return {name for name in archive.namelist() if not name.endswith("/")}


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
    packs: dict[str, str] = settings()["project"]["entry-points"]["dermalint.packs"]
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


MEASURED = """\
regimen: Larkspur evenings
region: eu
products:
  night-cream: {kind: serum, base: emulsion, contains: {retinol: 0.2 %, retinyl-palmitate: 0.3 %}}
routines:
  - {slot: evening, days: [monday], steps: [night-cream]}
history: []
"""


def test_installed_command_computes_a_measure_of_a_plugin(scripts: Path, tmp_path: Path) -> None:
    (tmp_path / "x.regimen.yaml").write_text(MEASURED, encoding="utf-8")
    call = (
        "review",
        "x.regimen.yaml",
        "--as",
        "json",
        "--as-of",
        "2027-06-01",
        "--only",
        "retinol-limits",
        "--fail-at",
        "advice",
    )
    report = json.loads(run(scripts / "dermalint", *call, cwd=tmp_path, expected=(1,)))
    assert report["problems"] == []
    (finding,) = report["files"][0]["findings"]
    assert finding["rule"] == "retinol-limits.eu-retinol"
    assert finding["measured"]["value"] == pytest.approx(0.364, abs=0.001)


def test_installed_command_writes_a_regimen_to_begin_with(scripts: Path, tmp_path: Path) -> None:
    run(scripts / "dermalint", "start", "regimen", "calm", cwd=tmp_path)
    assert "no rule in force was broken" in run(scripts / "dermalint", "review", "calm.regimen.yaml", cwd=tmp_path)
