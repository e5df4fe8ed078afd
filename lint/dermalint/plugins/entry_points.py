"""Reading the entry points of installed packages without importing anything.

The tables are read directly from the metadata folders on ``sys.path``: the standard library's reader costs more time than
everything else in a review of a small file.  It is asked only when the direct way finds nothing.
"""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from typing import NamedTuple

PACKS = "dermalint.packs"
PLUGINS = "dermalint.plugins"

_GROUPS = frozenset({PACKS, PLUGINS})
_OURS = b"dermalint."
_SEPARATORS = re.compile(r"[-_.]+")


class EntryPoint(NamedTuple):
    """One line of a table: ``acids = dermalint_acids``, in the group ``dermalint.packs``."""

    group: str
    distribution: str
    name: str
    value: str
    version: str = ""

    @property
    def origin(self) -> str:
        """The distribution and the entry point, for messages."""
        return f"{self.distribution}: {self.name}"


def read_entry_points(path: Sequence[str], *, ask_library: bool) -> tuple[EntryPoint, ...]:
    """Our entry points by distribution and name; the first distribution of a name on the path is meant.

    With ``ask_library``, the standard library is asked when the folders on ``path`` hold none: a package may be installed
    in a way that only a finder of its own knows.
    """
    found: dict[str, list[EntryPoint]] = {}
    for folder in path:
        try:
            names = sorted(name for name in os.listdir(folder) if name.endswith((".dist-info", ".egg-info")))  # noqa: PTH208
        except OSError:
            continue  # an archive, or gone
        for name in names:
            written, _, version = name.rpartition(".")[0].partition("-")
            distribution = _normalise(written)
            if distribution not in found:
                found[distribution] = _read_table(f"{folder}{os.sep}{name}{os.sep}entry_points.txt", distribution, version)
    entries = [entry for table in found.values() for entry in table]
    if not entries and ask_library:
        entries = _ask_library()
    return tuple(sorted(entries, key=lambda entry: (entry.distribution, entry.name, entry.group)))


def _normalise(distribution: str) -> str:
    return _SEPARATORS.sub("-", distribution).lower()


def _read_table(path: str, distribution: str, version: str) -> list[EntryPoint]:
    try:
        with open(path, "rb") as file:  # noqa: PTH123  (one Path per installed package is what takes the time here)
            data = file.read()
    except OSError:
        return []
    if _OURS not in data:
        return []
    entries: list[EntryPoint] = []
    group = ""
    for line in data.decode("utf-8", "replace").splitlines():
        line = line.strip()
        if line.startswith("["):
            group = line.strip("[]").strip()
        elif group in _GROUPS and "=" in line and not line.startswith(("#", ";")):
            name, _, value = line.partition("=")
            entries.append(EntryPoint(group, distribution, name.strip(), value.strip(), version))
    return entries


def _ask_library() -> list[EntryPoint]:
    from importlib.metadata import entry_points

    return [
        EntryPoint(
            group,
            _normalise(point.dist.name) if point.dist else "unnamed",
            point.name,
            point.value,
            point.dist.version if point.dist else "",
        )
        for group in sorted(_GROUPS)
        for point in entry_points(group=group)
    ]
