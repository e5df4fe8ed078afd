"""What every file of the project must and must not say."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[1]
NOT_OURS = {".git", ".venv", "venv", "build", "dist", "__pycache__"}
LONGEST_MODULE = 500  # lines; a longer one is two modules

# Written in two halves, so that this file does not find itself.
MACHINE_PATHS = ("/wo" + "rk/", "/tmp/" + "venv", "/ro" + "ot/", "/ho" + "me/")
REGISTRY_HOSTS = ("py" + "pi.org", "python" + "hosted.org", "npm" + "js.org", "npm" + "js.com", "conda." + "anaconda")


def own_files() -> Iterator[Path]:
    """Every file under the project's folder that people wrote: no caches, no environment, no build products."""
    for folder, below, files in os.walk(PROJECT):
        below[:] = sorted(name for name in below if name not in NOT_OURS and not name.endswith(("_cache", ".egg-info")))
        below[:] = [name for name in below if name != ".hypothesis"]
        yield from (Path(folder) / name for name in sorted(files) if name != ".coverage")


def text_of(path: Path) -> str:
    return path.read_bytes().decode("utf-8", errors="replace")


def saying(words: tuple[str, ...], files: Iterator[Path]) -> list[str]:
    """The places, as ``file:line: word``, where one of the words stands."""
    return [
        f"{path.relative_to(PROJECT)}:{number}: {word}"
        for path in files
        for number, line in enumerate(text_of(path).splitlines(), start=1)
        for word in words
        if word in line
    ]


@pytest.mark.parametrize("words", [MACHINE_PATHS, REGISTRY_HOSTS], ids=["paths of one machine", "hosts of a registry"])
def test_no_file_names(words: tuple[str, ...]) -> None:
    assert saying(words, own_files()) == []


def test_sources_of_rules_are_documents_and_no_web_addresses() -> None:
    rules = (path for path in own_files() if path.suffix == ".rules")
    assert saying(("http:" + "//", "https:" + "//", "www" + "."), rules) == []


def test_no_module_is_too_long() -> None:
    lengths = {path.relative_to(PROJECT).as_posix(): text_of(path).count("\n") for path in own_files() if path.suffix == ".py"}
    assert len(lengths) > 10
    assert {name: length for name, length in lengths.items() if length > LONGEST_MODULE} == {}
