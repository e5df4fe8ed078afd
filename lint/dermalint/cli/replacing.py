"""Replacing a file whole: whoever reads it sees the old text or the new one, never half of one."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from pathlib import Path


def replace_file(path: Path, data: bytes) -> None:
    """Write ``data`` beside the file, to the disk, and put it in the file's place.

    The mode stays; behind a symbolic link it is the file that is replaced.  Raises OSError where that is not possible, also
    for a file that must not be written, and the file is then as it was.
    """
    target = path.resolve(strict=True)
    if not os.access(target, os.W_OK):
        raise PermissionError("it must not be written")
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
