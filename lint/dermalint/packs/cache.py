"""Linked packs kept between runs, as one file in the user's cache folder.

A cache can only ever save time: whatever is doubtful about a file (another owner, writable by others, cut short, changed,
of another version) means that it is not used, and what cannot be written is not kept.  Files hold pickles, so they are
trusted only where nobody but the user could have written them, and only when their checksum fits.
"""

from __future__ import annotations

import os
import pickle
import stat
import sys
from collections.abc import Iterable, Sequence
from contextlib import suppress
from hashlib import blake2b
from pathlib import Path

from dermalint.packs.model import PackFile, PackSet

FOLDER_VARIABLE = "DERMALINT_CACHE"
KEPT = 16

_MAGIC = b"dermalint packs 1\n"
_DIGEST = 32
_LARGEST = 64 * 1024 * 1024
_OTHERS_WRITE = stat.S_IWGRP | stat.S_IWOTH


def cache_folder() -> Path | None:
    """Where linked packs are kept: ``DERMALINT_CACHE`` (empty: nowhere), else the user's cache folder, None without one."""
    chosen = os.environ.get(FOLDER_VARIABLE)
    if chosen is not None:
        return Path(chosen) if chosen else None
    if sys.platform == "win32":
        local = os.environ.get("LOCALAPPDATA", "")
        return Path(local, "dermalint", "cache") if local else None
    base = os.environ.get("XDG_CACHE_HOME", "")
    if not os.path.isabs(base):  # noqa: PTH117  (a relative one is to be ignored, says the XDG specification)
        home = os.path.expanduser("~")  # noqa: PTH111
        if not os.path.isabs(home):  # noqa: PTH117
            return None
        base = os.path.join(home, ".cache")  # noqa: PTH118
    return Path(base, "dermalint")


def cache_key(files: Iterable[tuple[PackFile, bytes]], version: str) -> str:
    """The name under which a set of packs is kept.

    It covers every file's content and how it is called, the version, the running Python, and the code that reads and links
    packs (sizes and times of its files), so that working on that code never shows yesterday's result.
    """
    digest = blake2b(digest_size=20)

    def add(part: bytes) -> None:
        digest.update(len(part).to_bytes(8, "big"))
        digest.update(part)

    add(f"{version} {sys.implementation.cache_tag} {sys.version}".encode())
    for stamp in _code_stamps():
        add(stamp.encode())
    for file, data in files:
        for text in (file.path, file.shown, file.origin):
            add(text.encode("utf-8", "surrogateescape"))
        add(data)
    return digest.hexdigest()


def _code_stamps() -> list[str]:
    import dermalint_grammar

    room = Path(__file__).parent
    return code_stamps([str(room), str(room.parent / "vocabulary"), *dermalint_grammar.__path__])


def code_stamps(folders: Iterable[str]) -> list[str]:
    """Names, sizes and times of the files of code below some folders."""
    waiting = list(folders)
    stamps: list[str] = []
    while waiting:
        with suppress(OSError):
            for entry in os.scandir(waiting.pop()):
                if entry.name.endswith((".py", ".lark")):
                    about = entry.stat()
                    stamps.append(f"{entry.name} {about.st_size} {about.st_mtime_ns}")
                elif entry.name != "__pycache__" and entry.is_dir():
                    waiting.append(entry.path)
    return sorted(stamps)


def fetch(folder: Path, key: str) -> PackSet | None:
    """The set kept under a key, or None."""
    kept = read_sealed(folder / f"{key}.packs", _MAGIC)
    return kept if isinstance(kept, PackSet) else None


def keep(folder: Path, key: str, packs: PackSet) -> None:
    """Keep a set under a key."""
    if write_sealed(folder, f"{key}.packs", _MAGIC, packs):
        with suppress(OSError):
            _forget_oldest(folder)


def read_sealed(path: Path, magic: bytes) -> object:
    """What :func:`write_sealed` wrote, or None for whatever is doubtful about the file."""
    data = _read_own(path)
    if data is None or not data.startswith(magic):
        return None
    start = len(magic) + _DIGEST
    payload = memoryview(data)[start:]
    if blake2b(payload, digest_size=_DIGEST).digest() != data[len(magic) : start]:
        return None
    try:
        kept: object = pickle.loads(payload)
    except Exception:  # whatever an odd pickle raises, it only means that nothing is kept
        return None
    return kept


def write_sealed(folder: Path, name: str, magic: bytes, value: object) -> bool:
    """Keep a value as a file of the user's own, and say whether that was possible.

    Written beside and renamed, so that no reader ever sees half a file.
    """
    import tempfile  # only a run that found nothing kept needs it

    payload = pickle.dumps(value, protocol=5)
    data = magic + blake2b(payload, digest_size=_DIGEST).digest() + payload
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=".writing-", dir=folder)  # readable and writable by the user alone
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(temporary).replace(folder / name)
        except OSError:
            with suppress(OSError):
                Path(temporary).unlink()
            raise
    except OSError:
        return False
    return True


def _forget_oldest(folder: Path) -> None:
    kept: Sequence[Path] = sorted(folder.glob("*.packs"), key=lambda path: path.stat().st_mtime_ns, reverse=True)
    for path in kept[KEPT:]:
        path.unlink(missing_ok=True)


def _read_own(path: Path) -> bytes | None:
    """A file's bytes when it is a plain file of this user that nobody else may write."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        handle = os.open(path, flags)
    except OSError:
        return None
    try:
        about = os.fstat(handle)
        if not stat.S_ISREG(about.st_mode) or about.st_size > _LARGEST:
            return None
        if hasattr(os, "getuid") and (about.st_uid != os.getuid() or about.st_mode & _OTHERS_WRITE):
            return None
        with open(handle, "rb", closefd=False) as file:
            return file.read()
    except OSError:
        return None
    finally:
        os.close(handle)
