"""Finding packs without importing them."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from dermalint.packs.find import find_packs

BOMB = 'raise RuntimeError("a package of packs was imported")\n'


def distribute(site: Path, name: str, version: str, table: str, metadata: str = "dist-info") -> None:
    """Lay down a distribution's entry points as an installer does."""
    folder = site / f"{name}-{version}.{metadata}"
    folder.mkdir(parents=True)
    (folder / "entry_points.txt").write_text(table, encoding="utf-8")


def package(site: Path, name: str, *files: str, init: bool = True) -> Path:
    """Lay down a package that must not be imported, with rule files in it."""
    folder = site.joinpath(*name.split("."))
    folder.mkdir(parents=True, exist_ok=True)
    if init:
        (folder / "__init__.py").write_text(BOMB, encoding="utf-8")
    for file in files:
        path = folder / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("pack x 1.0.0\n", encoding="utf-8")
    return folder


def shown(*site: Path, extra: tuple[Path, ...] = ()) -> list[tuple[str, str]]:
    found = find_packs(extra, search_path=[str(path) for path in site])
    assert found.problems == ()
    return [(file.shown, file.origin) for file in found.files]


def test_packs_of_a_distribution_are_found_and_nothing_is_imported(tmp_path: Path) -> None:
    distribute(
        tmp_path,
        "Larkspur.Row_packs",
        "1.0",
        "[console_scripts]\nx = y:z\n\n[dermalint.packs]\n# a remark\nlarkspur = larkspur_packs\n\n[other]\na = b\n",
    )
    package(
        tmp_path, "larkspur_packs", "b.rules", "a.rules", "more/c.rules", "notes.txt", "__pycache__/d.rules", ".hidden/e.rules"
    )
    origin = "larkspur-row-packs: larkspur"
    assert shown(tmp_path) == [
        ("larkspur_packs/a.rules", origin),
        ("larkspur_packs/b.rules", origin),
        ("larkspur_packs/more/c.rules", origin),
    ]
    assert "larkspur_packs" not in sys.modules


def test_a_dotted_name_is_a_folder_inside_a_package(tmp_path: Path) -> None:
    distribute(tmp_path, "packs", "1.0", "[dermalint.packs]\ninner = outer.inner\n", metadata="egg-info")
    package(tmp_path, "outer")
    package(tmp_path, "outer.inner", "a.rules")
    assert shown(tmp_path) == [("outer/inner/a.rules", "packs: inner")]


def test_the_package_may_be_elsewhere_on_the_path(tmp_path: Path) -> None:
    site, source, bystander = tmp_path / "site", tmp_path / "source", tmp_path / "bystander"
    distribute(site, "packs", "1.0", "[dermalint.packs]\np = some_packs\n")
    package(bystander, "some_packs", "wrong.rules", init=False)
    package(source, "some_packs", "a.rules")
    assert shown(bystander, site, source) == [("some_packs/a.rules", "packs: p")]


def test_a_folder_without_python_will_do(tmp_path: Path) -> None:
    distribute(tmp_path, "packs", "1.0", "[dermalint.packs]\np = some_packs\n")
    package(tmp_path, "some_packs", "a.rules", init=False)
    assert shown(tmp_path) == [("some_packs/a.rules", "packs: p")]


def test_the_first_of_two_distributions_of_one_name_is_meant(tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    distribute(first, "some_packs", "2.0", "[dermalint.packs]\nnew = new_packs\n")
    distribute(second, "some.packs", "1.0", "[dermalint.packs]\nold = old_packs\n")
    package(first, "new_packs", "a.rules")
    package(second, "old_packs", "a.rules")
    assert shown(first, second) == [("new_packs/a.rules", "some-packs: new")]


def test_a_later_version_without_packs_hides_an_earlier_one_with(tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    (first / "some_packs-2.0.dist-info").mkdir(parents=True)
    distribute(second, "some_packs", "1.0", "[dermalint.packs]\nold = old_packs\n")
    package(second, "old_packs", "a.rules")
    assert shown(first, second) == []


def test_distributions_come_in_the_order_of_their_names(tmp_path: Path) -> None:
    for name in ("zinc", "acid"):
        distribute(tmp_path, name, "1.0", f"[dermalint.packs]\np = {name}_packs\n")
        package(tmp_path, f"{name}_packs", "a.rules")
    assert [file for file, _ in shown(tmp_path)] == ["acid_packs/a.rules", "zinc_packs/a.rules"]


@pytest.mark.parametrize("value", ["gone_packs", "not a name", "../up", ""])
def test_a_folder_that_is_not_there_is_a_problem_with_its_distribution(tmp_path: Path, value: str) -> None:
    distribute(tmp_path, "packs", "1.0", f"[dermalint.packs]\np = {value}\n")
    found = find_packs(search_path=[str(tmp_path)])
    assert found.files == ()
    (problem,) = found.problems
    assert (problem.level, problem.plugin) == ("error", "packs: p")


def test_an_installed_folder_without_rule_files_is_told(tmp_path: Path) -> None:
    distribute(tmp_path, "packs", "1.0", "[dermalint.packs]\np = some_packs\n")
    package(tmp_path, "some_packs")
    (problem,) = find_packs(search_path=[str(tmp_path)]).problems
    assert (problem.level, problem.plugin) == ("hint", "packs: p")


def test_paths_that_are_no_folders_are_passed_over(tmp_path: Path) -> None:
    archive = tmp_path / "packs.zip"
    archive.write_bytes(b"PK")
    assert shown(archive, tmp_path / "nowhere") == []


def test_given_files_and_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package(tmp_path, "mine", "b.rules", "a.rules", init=False)
    (tmp_path / "one.txt").write_text("pack x 1.0.0\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    found = find_packs([Path("one.txt"), Path("mine"), Path("mine/a.rules"), tmp_path / "mine"], installed=False)
    assert [(file.shown, file.origin) for file in found.files] == [
        ("one.txt", "given"),
        ("mine/a.rules", "given"),
        ("mine/b.rules", "given"),
    ]
    assert found.problems == ()


def test_given_paths_that_hold_nothing(tmp_path: Path) -> None:
    found = find_packs([tmp_path / "nowhere", tmp_path], installed=False)
    assert [problem.level for problem in found.problems] == ["error", "hint"]
    assert "There is no rule pack at" in found.problems[0].message


def test_folders_that_lead_into_each_other_are_read_once(tmp_path: Path) -> None:
    package(tmp_path, "mine", "a.rules", init=False)
    try:
        (tmp_path / "mine" / "again").symlink_to(tmp_path / "mine", target_is_directory=True)
    except OSError:
        pytest.skip("this system lets nobody make links")
    found = find_packs([tmp_path / "mine"], installed=False)
    assert [Path(file.path).name for file in found.files] == ["a.rules"]


def test_a_line_of_the_running_path_may_be_empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    distribute(tmp_path, "packs", "1.0", "[dermalint.packs]\np = some_packs\n")
    package(tmp_path, "some_packs", "a.rules")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "path", [""])
    assert [file.shown for file in find_packs().files] == ["some_packs/a.rules"]


def test_what_only_the_import_system_knows_is_asked_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An editable install may map a package to its folder by a finder of its own, and put nothing on the path."""
    from importlib.machinery import ModuleSpec

    site = tmp_path / "site"
    distribute(site, "packs", "1.0", "[dermalint.packs]\np = mapped_packs.inner\n")
    folder = package(tmp_path / "elsewhere", "mapped_packs")
    package(folder, "inner", "a.rules")

    class Mapping:
        @staticmethod
        def find_spec(name: str, *_: object) -> ModuleSpec | None:
            if name != "mapped_packs":
                return None
            spec = ModuleSpec(name, None, is_package=True)
            spec.submodule_search_locations = [str(folder)]
            return spec

    monkeypatch.setattr(sys, "path", [str(site)])
    monkeypatch.setattr(sys, "meta_path", [*sys.meta_path, Mapping])
    (file,) = find_packs().files
    assert Path(file.path) == folder / "inner" / "a.rules"
    assert not {"mapped_packs", "mapped_packs.inner"} & sys.modules.keys()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with names")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.rules")
    found = find_packs([tmp_path / "pipe.rules"], installed=False)
    assert found.files == ()
    assert "neither a file nor a folder" in found.problems[0].message
