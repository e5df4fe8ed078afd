"""Reading a regimen file: the one way in."""

from __future__ import annotations

from pathlib import Path

from dermalint.regimen.build import build_regimens
from dermalint.regimen.files import read_tree, tree_of
from dermalint.regimen.model import Problem, Reading, Regimen
from dermalint.regimen.notes import Notes
from dermalint.regimen.shelf import Shelf
from dermalint.regimen.tree import Node
from dermalint.spans import SourceText


def read_regimen(path: Path, *, shown: str, root: Path | None = None) -> Reading:
    """Read a regimen from a ``.yaml`` (``.yml``), ``.json`` or ``.toml`` file.

    ``shown`` is what the file is called in messages and in ``Reading.sources``.  ``root`` is the folder that files named
    under ``use`` must lie in; by default that of the enclosing git repository, without one the file's own.

    Never raises for anything a file may hold, or for its absence: what is wrong is in ``Reading.problems``, in file order,
    those of the used files last.  A value with an error is left out of the model and the rest is there.
    """
    notes = Notes()
    return _read(notes, path, shown, root, *read_tree(notes, path, shown))


def read_regimen_bytes(data: bytes, path: Path, *, shown: str, root: Path | None = None) -> tuple[Reading, Node | None]:
    """The same of bytes that are not (or not yet) in the file ``path``, and their tree.

    The path's ending says what the bytes are written in, and its folder where the files named under ``use`` are.
    """
    notes = Notes()
    source, tree = tree_of(notes, data, path, shown)
    return _read(notes, path, shown, root, source, tree), tree


def _read(notes: Notes, path: Path, shown: str, root: Path | None, source: SourceText | None, tree: Node | None) -> Reading:
    sources: dict[str, SourceText] = {}
    regimens: tuple[Regimen, ...] = ()
    if source is not None:
        sources[shown] = source
    shelf = Shelf(notes, path, shown, root)
    if tree is not None:
        regimens = build_regimens(notes, tree, shelf.products)
        sources.update(shelf.sources)
    return Reading(shown, regimens, _ordered(notes.problems) + tuple(shelf.problems), sources)


def _ordered(problems: list[Problem]) -> tuple[Problem, ...]:
    """Problems in file order, each once: what several people share is looked at once for each of them."""
    return tuple(sorted(dict.fromkeys(problems), key=_offset)) if len(problems) > 1 else tuple(problems)


def _offset(problem: Problem) -> tuple[int, int]:
    return (-1, -1) if problem.place is None else (problem.place.start, problem.place.end)
