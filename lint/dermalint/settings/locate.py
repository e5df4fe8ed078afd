"""Where the settings of a run are: the nearest settings file from the first path upwards, and never beyond the project."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Sequence

OWN_FILE = "dermalint.toml"
SHARED_FILE = "pyproject.toml"

# A header or a key that can begin our table; the file is parsed only where there is one.
_TABLE = re.compile(rb"""^[ \t]*\[?[ \t]*["']?tool["']?[ \t]*(?:\.[ \t]*["']?dermalint\b|\]|=)""", re.MULTILINE)
_LARGEST = 1_000_000


def locate_settings(paths: Sequence[str]) -> str | None:
    """The path of the settings file in force, None without one.

    The search begins in the first path's folder (in the path itself where that is a folder; without paths, in the working
    directory) and goes up to the enclosing git repository's folder.  Outside of any repository it goes up to the working
    directory where that lies above, else no further than the folder it began in.
    """
    start = os.path.abspath(_first_folder(paths))  # noqa: PTH100
    here = os.getcwd()  # noqa: PTH109
    sure = {folder for folder in _upwards(start) if _is_within(folder, here)} if _is_within(start, here) else {start}
    found: str | None = None
    for folder in _upwards(start):
        found = found or _in_folder(folder)
        if found is not None and os.path.dirname(found) in sure:  # noqa: PTH120
            return found
        if os.path.exists(os.path.join(folder, ".git")):  # noqa: PTH110, PTH118
            return found
    return None


def _first_folder(paths: Sequence[str]) -> str:
    if not paths:
        return os.curdir
    return paths[0] if os.path.isdir(paths[0]) else os.path.dirname(paths[0]) or os.curdir  # noqa: PTH112, PTH120


def _upwards(folder: str) -> Iterator[str]:
    while True:
        yield folder
        above = os.path.dirname(folder)  # noqa: PTH120
        if above == folder:
            return
        folder = above


def _is_within(folder: str, other: str) -> bool:
    return folder == other or folder.startswith(other.rstrip(os.sep) + os.sep)


def _in_folder(folder: str) -> str | None:
    own = os.path.join(folder, OWN_FILE)  # noqa: PTH118
    if _is_file(own):
        return own
    shared = os.path.join(folder, SHARED_FILE)  # noqa: PTH118
    return shared if _is_file(shared) and _has_our_table(shared) else None


def _is_file(path: str) -> bool:
    try:
        return stat.S_ISREG(os.stat(path).st_mode)  # noqa: PTH116
    except OSError:
        return False


def _has_our_table(path: str) -> bool:
    try:
        with open(path, "rb") as file:  # noqa: PTH123
            data = file.read(_LARGEST)
    except OSError:
        return False
    if _TABLE.search(data) is None:
        return False
    import tomllib

    try:
        tool = tomllib.loads(data.decode("utf-8")).get("tool")
    except (ValueError, RecursionError):
        # The file is other tools' too; only where it names us is its state our business.
        return b"dermalint" in data
    return isinstance(tool, dict) and "dermalint" in tool
