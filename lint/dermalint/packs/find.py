"""Finding rule files: in installed packages, without importing any of them, and where the user points.

Packages name their packs in the entry point group ``dermalint.packs``; the value is the folder's import name.  The tables
of entry points are read directly from the metadata folders on ``sys.path``: the standard library's reader costs more time
than everything else in a review of a small file.  It is asked only when the direct way finds nothing.
"""

from __future__ import annotations

import os
import re
import stat
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from dermalint.packs.model import GIVEN, PackFile
from dermalint.regimen.model import ERROR, HINT, Problem

GROUP = "dermalint.packs"
SUFFIX = ".rules"

_SEPARATORS = re.compile(r"[-_.]+")


class PackEntry(NamedTuple):
    """One line of an entry point table: ``acids = dermalint_acids``."""

    distribution: str
    name: str
    value: str

    @property
    def origin(self) -> str:
        """The distribution and the entry point, for messages."""
        return f"{self.distribution}: {self.name}"


class Found(NamedTuple):
    """Rule files in a fixed order, and what went wrong on the way."""

    files: tuple[PackFile, ...]
    problems: tuple[Problem, ...]


def find_packs(extra: Sequence[Path] = (), *, installed: bool = True, search_path: Sequence[str] | None = None) -> Found:
    """All rule files: of installed packages (unless ``installed`` is false), then of the given files and folders.

    ``search_path`` stands in for ``sys.path``.  A file that is reached twice is found once.
    """
    files: list[PackFile] = []
    problems: list[Problem] = []
    if installed:
        path = [entry or os.curdir for entry in (sys.path if search_path is None else search_path)]
        for entry in _pack_entries(path, ask_library=search_path is None):
            folder = _locate(entry.value, path, ask_library=search_path is None)
            if folder is None:
                problems.append(
                    Problem(
                        ERROR,
                        f"The package {entry.distribution} says that its rule pack {entry.name} is in {entry.value}, "
                        "but no such folder is installed.",
                        suggestion="Install the package again, or uninstall it.",
                        plugin=entry.distribution,
                    )
                )
                continue
            top = entry.value.replace(".", "/")
            files.extend(
                PackFile(str(Path(folder, inner)), f"{top}/{inner}", entry.origin) for inner in sorted(_rule_files(folder))
            )
    for given in extra:
        more, trouble = _given(given)
        files.extend(more)
        problems.extend(trouble)
    return Found(_once_each(files), tuple(problems))


def _once_each(files: Sequence[PackFile]) -> tuple[PackFile, ...]:
    seen: dict[str, PackFile] = {}
    for file in files:
        seen.setdefault(os.path.realpath(file.path), file)
    return tuple(seen.values())


def _given(path: Path) -> tuple[list[PackFile], list[Problem]]:
    try:
        mode = path.stat().st_mode
    except OSError as error:
        return [], [Problem(ERROR, f"There is no rule pack at {path}: {error.strerror or error}.")]
    if stat.S_ISREG(mode):
        return [PackFile(str(path), path.as_posix(), GIVEN)], []
    if not stat.S_ISDIR(mode):
        return [], [Problem(ERROR, f"{path} is neither a file nor a folder.")]
    inside = [PackFile(str(path / inner), (path / inner).as_posix(), GIVEN) for inner in sorted(_rule_files(str(path)))]
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


def _pack_entries(path: Sequence[str], *, ask_library: bool) -> list[PackEntry]:
    """Entry points of the group, by distribution and name; the first distribution of a name on the path is meant."""
    found: dict[str, list[PackEntry]] = {}
    for folder in path:
        try:
            names = sorted(name for name in os.listdir(folder) if name.endswith((".dist-info", ".egg-info")))  # noqa: PTH208
        except OSError:
            continue  # an archive, or gone
        for name in names:
            distribution = _SEPARATORS.sub("-", name.rpartition(".")[0].partition("-")[0]).lower()
            if distribution not in found:
                found[distribution] = _read_table(os.path.join(folder, name, "entry_points.txt"), distribution)  # noqa: PTH118
    entries = [entry for entries in found.values() for entry in entries]
    if not entries and ask_library:
        entries = _ask_library()
    return sorted(entries, key=lambda entry: (entry.distribution, entry.name))


def _read_table(path: str, distribution: str) -> list[PackEntry]:
    try:
        with open(path, "rb") as file:  # noqa: PTH123  (one Path per installed package is what takes the time here)
            data = file.read()
    except OSError:
        return []
    if GROUP.encode() not in data:
        return []
    entries: list[PackEntry] = []
    inside = False
    for line in data.decode("utf-8", "replace").splitlines():
        line = line.strip()
        if line.startswith("["):
            inside = line == f"[{GROUP}]"
        elif inside and "=" in line and not line.startswith(("#", ";")):
            name, _, value = line.partition("=")
            entries.append(PackEntry(distribution, name.strip(), value.strip()))
    return entries


def _ask_library() -> list[PackEntry]:
    from importlib.metadata import entry_points

    return [
        PackEntry(_SEPARATORS.sub("-", point.dist.name).lower() if point.dist else "unnamed", point.name, point.value)
        for point in entry_points(group=GROUP)
    ]


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
