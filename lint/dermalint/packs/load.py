"""Loading packs: find the files, then take the linked result from the cache or parse and link them now."""

from __future__ import annotations

import os
import stat
from collections.abc import Sequence
from pathlib import Path

from dermalint import __version__
from dermalint.packs.cache import cache_folder, cache_key, fetch, keep
from dermalint.packs.find import find_packs
from dermalint.packs.model import PackFile, PackSet
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import ERROR, Problem
from dermalint_grammar.record import replace

LARGEST = 4 * 1024 * 1024


def load_packs(
    extra: Sequence[Path] = (),
    *,
    cache: bool = True,
    installed: bool = True,
    search_path: Sequence[str] | None = None,
    plugins: Installed | None = None,
) -> PackSet:
    """The packs of installed packages and of the files and folders ``extra``, linked into one world.

    Never raises for what is wrong with a pack: that is among the problems.  ``cache=False`` neither reads nor writes the
    cache; ``installed=False`` leaves installed packages out; ``search_path`` stands in for ``sys.path``; ``plugins`` are the
    run's own plugins, where it has some.
    """
    found = find_packs(extra, installed=installed, search_path=search_path, plugins=plugins)
    files, unread = read_files(found.files)
    problems = (*found.problems, *unread)
    if not files:
        nothing = "No rule pack was found, so nothing can be checked."
        problems = (*problems, Problem(ERROR, nothing, "Install one, or give --packs."))
    linked = _linked(files, cache)
    return replace(linked, problems=(*problems, *linked.problems)) if problems else linked


def _linked(files: Sequence[tuple[PackFile, bytes]], cache: bool) -> PackSet:
    folder = cache_folder() if cache else None
    key = ""
    if folder is not None:
        key = cache_key(files, __version__)
        kept = fetch(folder, key)
        if kept is not None:
            return replace(kept, key=key)
    from dermalint.packs.link import link_files  # brings the parser, which the cached form does without

    packs = link_files(files)
    if folder is not None:
        keep(folder, key, packs)
    return replace(packs, key=key)


def read_files(files: Sequence[PackFile]) -> tuple[list[tuple[PackFile, bytes]], list[Problem]]:
    """The bytes of rule files, and why some could not be read: never a device, a pipe or more than 4 MiB."""
    contents: list[tuple[PackFile, bytes]] = []
    problems: list[Problem] = []
    for file in files:
        try:
            with open(file.path, "rb") as opened:  # noqa: PTH123
                about = os.fstat(opened.fileno())
                if not stat.S_ISREG(about.st_mode) or about.st_size > LARGEST:
                    problems.append(Problem(ERROR, f"{file.shown} is larger than any rule pack may be (4 MiB)."))
                    continue
                contents.append((file, opened.read()))
        except OSError as error:
            problems.append(Problem(ERROR, f"{file.shown} cannot be read: {error.strerror or error}."))
    return contents, problems
