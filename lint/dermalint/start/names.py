"""Names for what is started: which will do, and the nearest one that would."""

from __future__ import annotations

import keyword
import re
import sys
import unicodedata

REGIMEN, PACK, PLUGIN, PROJECT = "regimen", "pack", "plugin", "project"
KINDS = (REGIMEN, PACK, PLUGIN, PROJECT)
LONGEST = 60

_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_OURS = ("dermalint", "dermalint-grammar", "dermalint-rulesets")


class CannotStart(Exception):
    """Nothing was written; ``hint`` says what would do."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


def check_name(kind: str, name: str) -> None:
    """Raise :class:`CannotStart` for a name that cannot be that of a regimen file, a pack, a plugin or a project's folder.

    Names of packs and plugins become those of a distribution, a Python package and a pack, so none of these may have them.
    """
    likely = nearest_name(name)
    for_instance = f"For instance: dermalint start {kind} {likely}"
    if not _NAME.fullmatch(name):
        raise CannotStart(
            f"“{name}” cannot be the name of a {kind}: names have small letters from a to z, digits and single hyphens, and "
            "begin with a letter.",
            for_instance,
        )
    if len(name) > LONGEST:
        raise CannotStart(f"This name has {len(name)} letters; {LONGEST} are the most.", for_instance)
    if kind in (PACK, PLUGIN):
        _check_is_free(kind, name)


def nearest_name(name: str) -> str:
    """The name that is written most like this text: ``Calm Evenings!`` gives ``calm-evenings``."""
    for ending in (".regimen.yaml", ".rules", ".yaml", ".yml"):
        name = name.removesuffix(ending)
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = re.findall(r"[a-z0-9]+", plain)
    while words and not words[0][0].isalpha():
        words[0] = words[0].lstrip("0123456789")
        words = [word for word in words if word]
    return "-".join(words)[:LONGEST].rstrip("-") or "larkspur-row"


def package_of(name: str) -> str:
    """The Python package of a distribution of this name."""
    return name.replace("-", "_")


def title_of(name: str) -> str:
    """The name as words: ``calm-evenings`` gives ``Calm evenings``."""
    return name.replace("-", " ").capitalize()


def _check_is_free(kind: str, name: str) -> None:
    from dermalint.packs.load import load_packs

    other = f"For instance: dermalint start {kind} house-{name}"
    package = package_of(name)
    if name in _OURS or package in sys.stdlib_module_names or package in ("test", "tests") or keyword.iskeyword(package):
        raise CannotStart(f"“{name}” is a name that Python or dermalint has itself, and the new package would hide it.", other)
    pack = next((pack for pack in load_packs().packs if pack.name == name), None)
    if pack is not None:
        raise CannotStart(f"A pack called {name} is installed already ({pack.path}).", other)
    if _is_distributed(name):
        raise CannotStart(f"A distribution called {name} is installed already, and the new one would replace it.", other)
    if _is_importable(package):
        raise CannotStart(f"A Python package called {package} is installed already, and the two would hide each other.", other)


def _is_distributed(name: str) -> bool:
    from importlib.metadata import PackageNotFoundError, distribution

    try:
        distribution(name)
    except PackageNotFoundError:
        return False
    return True


def _is_importable(package: str) -> bool:
    from importlib.util import find_spec

    try:
        spec = find_spec(package)
    except (ImportError, ValueError):
        return False
    return spec is not None and spec.origin is not None  # a folder without Python may only happen to bear the name
