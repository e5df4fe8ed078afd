"""Replacing a file whole: whoever reads it sees the old text or the new one, never half of one."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path


class ChangedMeanwhile(Exception):
    """The file no longer holds what the new text was made from."""


def replace_file(path: Path, data: bytes, *, expected: bytes | None = None) -> None:
    """Write ``data`` beside the file, to the disk, and put it in the file's place.

    The mode stays; behind a symbolic link it is the file that is replaced.  With ``expected`` the file must still hold these
    bytes, and no other process that asks the same can come in between.  Raises :class:`ChangedMeanwhile` where it does not, and
    OSError where writing is not possible, also for a file that must not be written; the file is then as it was.
    """
    target = path.resolve(strict=True)
    if not os.access(target, os.W_OK):
        raise PermissionError("it must not be written")
    with contextlib.ExitStack() as stack:
        if expected is not None:
            stack.enter_context(_locked(target))
            if target.read_bytes() != expected:
                raise ChangedMeanwhile
        _replace(target, data)


def _replace(target: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".new")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        shutil.copymode(target, name)
        os.replace(name, target)  # noqa: PTH105
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)  # noqa: PTH108
        raise


@contextlib.contextmanager
def _locked(target: Path) -> Iterator[None]:
    """Hold the lock of the file that is at ``target`` now.

    Who waited for it may have got that of a file which was replaced meanwhile, and asks again.
    """
    try:
        import fcntl
    except ImportError:  # without such locks the comparison alone has to do
        yield
        return
    while True:
        with target.open("rb") as file:
            fcntl.flock(file.fileno(), fcntl.LOCK_EX)
            if os.path.samestat(os.fstat(file.fileno()), target.stat()):
                yield
                return
