"""Finding rule files: in installed packages, without importing any of them, and where the user points.

Packages name their packs in the entry point group ``dermalint.packs``; the value is the folder's import name.  Plugins
written in Python may name further places.
"""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from dermalint.packs.model import GIVEN, PackFile
from dermalint.plugins.catalogue import read_catalogue
from dermalint.plugins.entry_points import EntryPoint
from dermalint.plugins.faults import merge
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import ERROR, HINT, Problem

SUFFIX = ".rules"


class Found(NamedTuple):
    """Rule files in a fixed order, and what went wrong on the way."""

    files: tuple[PackFile, ...]
    problems: tuple[Problem, ...]


def find_packs(
    extra: Sequence[Path] = (),
    *,
    installed: bool = True,
    search_path: Sequence[str] | None = None,
    plugins: Installed | None = None,
) -> Found:
    """All rule files: of installed packages (unless ``installed`` is false), then of the given files and folders.

    ``search_path`` stands in for ``sys.path``; ``plugins`` are the run's own, where it has some.  A file that is reached twice
    is found once.
    """
    files: list[PackFile] = []
    problems: list[Problem] = []
    if installed:
        plugins = plugins or Installed(lambda: read_catalogue(None, search_path))
        catalogue = plugins.catalogue
        path = [entry or os.curdir for entry in (sys.path if catalogue.path is None else catalogue.path)]
        for entry in catalogue.packs:
            _add(files, problems, _installed(entry, path, ask_library=catalogue.path is None))
        problems.extend(catalogue.problems)
        _add(files, problems, _from_plugins(plugins))
    for given in extra:
        _add(files, problems, _at(given, GIVEN))
    return Found(_once_each(files), tuple(problems))


_Part = tuple[Sequence[PackFile], Sequence[Problem]]


def _add(files: list[PackFile], problems: list[Problem], part: _Part) -> None:
    files.extend(part[0])
    problems.extend(part[1])


def _installed(entry: EntryPoint, path: Sequence[str], *, ask_library: bool) -> _Part:
    folder = _locate(entry.value, path, ask_library=ask_library)
    if folder is None:
        message = (
            f"The package {entry.distribution} says that its rule pack {entry.name} is in {entry.value}, "
            "but no such folder is installed."
        )
        return [], [Problem(ERROR, message, "Install the package again, or uninstall it.", plugin=entry.origin)]
    top = entry.value.replace(".", "/")
    files = [PackFile(str(Path(folder, inner)), f"{top}/{inner}", entry.origin) for inner in sorted(_rule_files(folder))]
    if not files:
        message = (
            f"The rule pack {entry.name} of the package {entry.distribution} holds no rule file (name ending in {SUFFIX})."
        )
        return [], [Problem(HINT, message, plugin=entry.origin)]
    return files, []


def _from_plugins(plugins: Installed) -> _Part:
    files: list[PackFile] = []
    problems: list[Problem] = []
    for path, origin in plugins.packs():
        more, wrong = _at(path, origin)
        files.extend(more)
        problems.extend(Problem(problem.level, problem.message, problem.suggestion, plugin=origin) for problem in wrong)
    return files, [*merge(plugins.take_faults()), *problems]


def _once_each(files: Sequence[PackFile]) -> tuple[PackFile, ...]:
    seen: dict[str, PackFile] = {}
    for file in files:
        seen.setdefault(os.path.realpath(file.path), file)
    return tuple(seen.values())


def _at(path: Path, origin: str) -> _Part:
    try:
        mode = path.stat().st_mode
    except OSError as error:
        return [], [Problem(ERROR, f"There is no rule pack at {path}: {error.strerror or error}.")]
    if stat.S_ISREG(mode):
        return [PackFile(str(path), path.as_posix(), origin)], []
    if not stat.S_ISDIR(mode):
        return [], [Problem(ERROR, f"{path} is neither a file nor a folder.")]
    inside = [PackFile(str(path / inner), (path / inner).as_posix(), origin) for inner in sorted(_rule_files(str(path)))]
    if not inside:
        return [], [Problem(HINT, f"There is no rule file (name ending in {SUFFIX}) in the folder {path}.")]
    return inside, []


def _rule_files(folder: str) -> Iterator[str]:
    """Paths of rule files below a folder, relative to it, with forward slashes; a folder reached twice is read once."""
    waiting = [("", folder)]
    seen: set[str] = set()
    while waiting:
        prefix, at = waiting.pop()
        real = os.path.realpath(at)
        if real in seen:
            continue
        seen.add(real)
        try:
            entries = sorted(os.scandir(at), key=lambda entry: entry.name)
        except OSError:
            continue
        for entry in entries:
            if entry.name.startswith((".", "__pycache__")):
                continue
            if entry.is_dir():
                waiting.append((f"{prefix}{entry.name}/", entry.path))
            elif entry.name.endswith(SUFFIX) and entry.is_file():
                yield prefix + entry.name


def _locate(value: str, path: Sequence[str], *, ask_library: bool) -> str | None:
    """The folder of a package by its import name; one that is a package before one that is only a folder."""
    parts = value.split(".")
    if not all(part.isidentifier() for part in parts):
        return None
    folders = [folder for entry in path if os.path.isdir(folder := os.path.join(entry, *parts))]  # noqa: PTH112, PTH118
    for folder in folders:
        if os.path.exists(os.path.join(folder, "__init__.py")):  # noqa: PTH110, PTH118
            return folder
    if folders:
        return folders[0]
    return _ask_import_system(parts) if ask_library else None


def _ask_import_system(parts: Sequence[str]) -> str | None:
    from importlib.util import find_spec

    # Only the top name is asked for: looking up a dotted name would import its parents.
    try:
        spec = find_spec(parts[0])
    except (ImportError, ValueError):
        return None
    for top in (spec.submodule_search_locations or ()) if spec else ():
        folder = Path(top, *parts[1:])
        if folder.is_dir():
            return str(folder)
    return None
