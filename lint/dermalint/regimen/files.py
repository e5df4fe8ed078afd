"""From a path to a tree: the file's bytes, its text, and the reader that its ending asks for."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from dermalint.regimen.decode import LARGEST, decoded
from dermalint.regimen.model import ERROR, Problem
from dermalint.regimen.notes import Notes
from dermalint.regimen.tree import Node, TextError
from dermalint.spans import SourceText

ENDINGS = (".yaml", ".yml", ".json", ".toml")


def read_tree(notes: Notes, path: Path, shown: str) -> tuple[SourceText | None, Node | None]:
    """A file's text and tree, as far as there are any; what is wrong is noted, never raised."""
    data = _bytes(path, shown)
    if isinstance(data, Problem):
        notes.problems.append(data)
        return None, None
    return tree_of(notes, data, path, shown)


def tree_of(notes: Notes, data: bytes, path: Path, shown: str) -> tuple[SourceText, Node | None]:
    """The same of bytes at hand; the path's ending says what they are written in."""
    source, error = decoded(data, shown)
    if error is not None:
        notes.stop(error)
        return source, None
    try:
        return source, _tree(notes, path.suffix.lower(), source.text)
    except TextError as stopped:
        notes.stop(stopped)
        return source, None


def _tree(notes: Notes, ending: str, text: str) -> Node:
    if ending == ".json":
        from dermalint.regimen.json_text import read_json

        return read_json(text, notes)
    if ending == ".toml":
        from dermalint.regimen.toml_text import read_toml

        return read_toml(text)
    from dermalint.regimen.yaml_text import read_yaml

    return read_yaml(text, notes)


def _bytes(path: Path, shown: str) -> bytes | Problem:
    if path.suffix.lower() not in ENDINGS:
        if path.is_dir():
            return _of_folder(path, shown)
        return _unread(f"{shown} is no regimen file.", "Its name ends in `.regimen.yaml`, `.regimen.json` or `.regimen.toml`.")
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            return _of_folder(path, shown)
        if not stat.S_ISREG(mode):  # a pipe or a socket would be waited for
            return _unread(f"{shown} is no ordinary file.", "Save the regimen in a file.")
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except FileNotFoundError:
        return _unread(f"There is no file {shown}.", "Look at the spelling, and at the folder you are in.")
    except PermissionError:
        return _unread(f"{shown} may not be read.", "Ask for the right to read it.")
    except (OSError, ValueError):
        return _unread(f"{shown} cannot be read.", "Look whether it is a file that other programs can open.")


def _of_folder(path: Path, shown: str) -> Problem:
    if not os.access(path, os.R_OK | os.X_OK):
        return _unread(f"The folder {shown} may not be read.", "Ask for the right to read it.")
    return _unread(
        f"{shown} is a folder, not a file.",
        "Name a file in it; a search of the folder finds only names that end like `.regimen.yaml`.",
    )


def _unread(message: str, suggestion: str) -> Problem:
    return Problem(ERROR, message, suggestion)
