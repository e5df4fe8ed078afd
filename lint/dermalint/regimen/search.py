"""Finding regimen files: paths as given, folders searched."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence

ENDINGS = (".regimen.yaml", ".regimen.yml", ".regimen.json", ".regimen.toml")

LeftOut = Callable[[str, bool], bool]
"""Whether a path that a search comes upon is left out; also given whether it is a folder."""


def find_files(paths: Sequence[str], endings: tuple[str, ...] = ENDINGS, left_out: LeftOut | None = None) -> list[str]:
    """The files to review, each once: files as given, folders searched for regimens in the order of their names.

    What is given itself is always taken.  Hidden folders are passed over, and one that is reached twice (by a link) is
    searched once.  A folder that cannot be searched, or in which nothing is found, is among the files: its reader says so.
    """
    found: dict[str, None] = {}
    for path in paths:
        if os.path.isdir(path):  # noqa: PTH112  (paths stay as the user wrote them)
            inside = list(_walk(path, set(), endings, left_out))
            found.update(dict.fromkeys(inside or [path]))
        else:
            found[path] = None
    return list(found)


def _walk(folder: str, seen: set[tuple[int, int]], endings: tuple[str, ...], left_out: LeftOut | None) -> Iterator[str]:
    try:
        status = os.stat(folder)  # noqa: PTH116
        with os.scandir(folder) as scanned:
            entries = sorted(scanned, key=lambda entry: entry.name)
    except OSError:
        yield folder  # the reader says why it cannot be read
        return
    if (status.st_dev, status.st_ino) in seen:
        return
    seen.add((status.st_dev, status.st_ino))
    for entry in entries:
        is_folder = _is_folder(entry)
        if not is_folder and not entry.name.endswith(endings):
            continue
        if (is_folder and entry.name.startswith(".")) or (left_out is not None and left_out(entry.path, is_folder)):
            continue
        if is_folder:
            yield from _walk(entry.path, seen, endings, left_out)
        else:
            yield entry.path


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link that leads back to itself
        return False
