"""Writing what is started from its templates; what is there already is never touched."""

from __future__ import annotations

import shutil
import string
from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from dermalint import __version__
from dermalint.start.names import PACK, PLUGIN, PROJECT, REGIMEN, CannotStart, check_name, package_of, title_of

_SUFFIX = ".template"
_FOLDERS = {REGIMEN: ("regimen",), PACK: ("distribution", "pack"), PLUGIN: ("distribution", "plugin"), PROJECT: ("project",)}


class _Text(string.Template):
    """A template whose places to fill stand as ``§{name}``: no language of the files in it writes that sign."""

    delimiter = "§"


def write_start(kind: str, name: str, folder: Path) -> tuple[Path, ...]:
    """Write a small regimen, pack, plugin or project called ``name`` into ``folder``; gives the files that were written.

    A regimen is one file, all else a folder of its own.  Raises :class:`~dermalint.start.names.CannotStart`, and has then
    written nothing, where the name will not do, something of that name is there, or the place cannot be written to.
    """
    check_name(kind, name)
    if not folder.is_dir():
        what = "is no folder" if folder.exists() else "does not exist"
        raise CannotStart(f"{folder} {what}, so nothing can be written into it.", f"To make it: mkdir {folder}")
    filled = _fill(kind, name)
    try:
        if kind == REGIMEN:
            ((inner, text),) = filled.items()
            return (_write_new(folder / inner, text),)
        return _write_folder(folder / name, filled)
    except FileExistsError as there:
        taken = Path(there.filename)
        hint = f"Choose another name, or another folder: dermalint start {kind} {name} --to FOLDER"
        raise CannotStart(f"{taken} is there already, and nothing is ever written over.", hint) from None
    except OSError as error:
        raise CannotStart(f"{folder} cannot be written to: {error.strerror or error}.", "Give --to another folder.") from error


def _write_new(path: Path, text: str) -> Path:
    with path.open("x", encoding="utf-8", newline="\n") as file:
        file.write(text)
    return path


def _write_folder(target: Path, filled: dict[str, str]) -> tuple[Path, ...]:
    """All files or none: a folder that could not be filled is taken away again."""
    target.mkdir()
    try:
        written = []
        for inner, text in filled.items():
            path = target / inner
            path.parent.mkdir(parents=True, exist_ok=True)
            written.append(_write_new(path, text))
        return tuple(written)
    except BaseException:
        shutil.rmtree(target, ignore_errors=True)
        raise


def _fill(kind: str, name: str) -> dict[str, str]:
    """The texts of a kind's files by their paths, in the order of these."""
    words = {
        "name": name,
        "package": package_of(name),
        "title": title_of(name),
        "version": __version__,
    }
    templates = files("dermalint.start") / "templates"
    filled = {
        _path(inner, words): _Text(template.read_text(encoding="utf-8")).substitute(words)
        for below in _FOLDERS[kind]
        for inner, template in _below(templates / below, "")
    }
    return dict(sorted(filled.items()))


def _path(inner: str, words: dict[str, str]) -> str:
    return inner.removesuffix(_SUFFIX).replace("PACKAGE", words["package"]).replace("NAME", words["name"])


def _below(folder: Traversable, prefix: str) -> Iterator[tuple[str, Traversable]]:
    for entry in folder.iterdir():
        if entry.is_dir():
            yield from _below(entry, f"{prefix}{entry.name}/")
        elif entry.name.endswith(_SUFFIX):
            yield prefix + entry.name, entry
