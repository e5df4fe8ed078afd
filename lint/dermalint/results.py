"""Results of regimen files kept between runs, so that a folder of which one file changed costs one file.

A result is kept under everything it follows from: the file's bytes and name, the packs, the version and the code of the tool
and of plugins, what was asked, what settings say for the file.  The files it uses are kept with it by their bytes and
compared before it counts.  Whatever is doubtful is not kept, and not used.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path

from dermalint import __version__
from dermalint.packs.cache import cache_folder, code_stamps, read_sealed, write_sealed
from dermalint.plugins.catalogue import Offer
from dermalint.regimen.decode import LARGEST, decoded
from dermalint.regimen.model import ERROR
from dermalint.regimen.shelf import project_folder
from dermalint.spans import SourceText
from dermalint.verdict.report_model import FileResult
from dermalint_grammar.record import Record

FOLDER = "results"
MOST_FILES = 20_000
MOST_BYTES = 256 * 1024 * 1024
_MAGIC = b"dermalint results 1\n"


class _Kept(Record):
    """A file's results under their name.

    ``used`` are the other files they were made from, with digests, and ``project`` is the folder that these lie in.
    """

    name: str
    results: tuple[FileResult, ...]
    used: tuple[tuple[str, bytes], ...]
    project: str


class KeptResults:
    """The results that one run may use and keep; ``run_key`` names all that its files share."""

    def __init__(self, folder: Path, run_key: bytes) -> None:
        self._folder = folder
        self._run_key = run_key
        self._prune = False

    def name(self, path: str, data: bytes, part: str) -> str:
        """The name of a file's results: ``data`` are its bytes, ``part`` what settings say for it."""
        digest = blake2b(self._run_key, digest_size=20)
        for text in (path, os.path.abspath(path), part):  # noqa: PTH100
            digest.update(_framed(text.encode("utf-8", "surrogateescape")))
        digest.update(_framed(data))
        return digest.hexdigest()

    def fetch(self, name: str) -> list[FileResult] | None:
        """The results kept under a name, None where there are none or a used file has changed."""
        kept = read_sealed(self._path(name), _MAGIC)
        if not isinstance(kept, _Kept) or kept.name != name:
            return None
        for path, digest in kept.used:
            data = read_bytes(path)
            if data is None or _digest(data) != digest:
                return None
        if kept.used and kept.project != _project(kept.results[0].path):
            return None
        return list(kept.results)

    def keep(self, name: str, path: str, data: bytes, results: Sequence[FileResult]) -> None:
        """Keep a file's results where everything they follow from is known."""
        if not results or any(not result.readable or result.plan is not None for result in results):
            return
        if any(problem.level == ERROR for result in results for problem in result.problems):
            return  # an error may come from what is not there, which no bytes stand for
        used: list[tuple[str, bytes]] = []
        for shown, source in results[0].sources.items():
            current = data if shown == path else read_bytes(shown)
            if current is None or not _is_text_of(current, source):
                return  # changed while it was read, or not where its name says
            if shown != path:
                used.append((shown, _digest(current)))
        target = self._path(name)
        kept = _Kept(name, tuple(results), tuple(used), _project(path) if used else "")
        if write_sealed(target.parent, target.name, _MAGIC, kept):
            self._prune = self._prune or name.startswith("00")

    def forget_oldest(self, *, surely: bool = False) -> None:
        """Keep the folder within its bounds; looked at once in a few hundred kept results, or ``surely``."""
        if not (self._prune or surely):
            return
        found: list[tuple[int, int, str]] = []
        with suppress(OSError):
            for part in os.scandir(self._folder):
                if part.is_dir(follow_symlinks=False):
                    for entry in os.scandir(part.path):
                        about = entry.stat(follow_symlinks=False)
                        found.append((about.st_mtime_ns, about.st_size, entry.path))
        found.sort(reverse=True)
        room = MOST_BYTES
        for number, (_, size, path) in enumerate(found):
            room -= size
            if number >= MOST_FILES or room < 0:
                with suppress(OSError):
                    os.unlink(path)  # noqa: PTH108

    def _path(self, name: str) -> Path:
        return self._folder / name[:2] / f"{name[2:]}.result"


def kept_results(packs_key: str, asked: str, offers: Iterable[Offer]) -> KeptResults | None:
    """The results that a run with these packs and this wish may use; None where nothing can be kept.

    ``asked`` says in words what was asked; ``offers`` are the plugins' in force.
    """
    folder = cache_folder()
    plugins = _stamps_of_plugins(offers)
    if folder is None or not packs_key or plugins is None:
        return None
    digest = blake2b(digest_size=20)
    code = code_stamps([str(Path(__file__).parent)])
    for text in (packs_key, __version__, sys.version, asked, *code, "", *plugins):
        digest.update(_framed(text.encode("utf-8", "surrogateescape")))
    return KeptResults(folder / FOLDER, digest.digest())


def _stamps_of_plugins(offers: Iterable[Offer]) -> list[str] | None:
    """What the plugins in force are and of which state their code is; None where some code is not found."""
    stamps: list[str] = []
    tops: dict[str, None] = {}
    for offer in offers:
        stamps.append(f"{offer.entry.origin} {offer.entry.version} {offer.entry.value}")
        tops.setdefault(offer.entry.value.partition(":")[0].partition(".")[0].strip())
    for top in tops:
        places = [os.path.join(entry or os.curdir, top) for entry in sys.path]  # noqa: PTH118
        folder = next((place for place in places if os.path.isdir(place)), None)  # noqa: PTH112
        module = next((f"{place}.py" for place in places if os.path.isfile(f"{place}.py")), None)  # noqa: PTH113
        if folder is not None:
            stamps += code_stamps([folder])
        elif module is not None:
            about = os.stat(module)  # noqa: PTH116
            stamps.append(f"{module} {about.st_size} {about.st_mtime_ns}")
        else:
            return None
    return stamps


def read_bytes(path: str) -> bytes | None:
    """A plain file's bytes, None for anything else and for what is larger than any regimen."""
    try:
        if not os.path.isfile(path):  # noqa: PTH113
            return None
        with open(path, "rb") as file:  # noqa: PTH123
            data = file.read(LARGEST + 1)
    except (OSError, ValueError):
        return None
    return data if len(data) <= LARGEST else None


def _is_text_of(data: bytes, source: SourceText) -> bool:
    current, wrong = decoded(data, source.path)
    return wrong is None and current == source


def _project(path: str) -> str:
    try:
        return str(project_folder(Path(path).resolve().parent))
    except (OSError, RuntimeError):
        return ""


def _digest(data: bytes) -> bytes:
    return blake2b(data, digest_size=20).digest()


def _framed(part: bytes) -> bytes:
    return len(part).to_bytes(8, "big") + part
