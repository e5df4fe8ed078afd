"""Writing: whole or not at all, mode and links kept, and no change of somebody else's lost."""

from __future__ import annotations

import os
import random
import signal
import threading
from pathlib import Path

import pytest

from dermalint.cli.replacing import ChangedMeanwhile, replace_file


def test_mode_and_link_stay(tmp_path: Path) -> None:
    target = tmp_path / "plan.regimen.yaml"
    target.write_bytes(b"old")
    target.chmod(0o640)
    link = tmp_path / "link.regimen.yaml"
    link.symlink_to(target)
    replace_file(link, b"new", expected=b"old")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.regimen.yaml", "plan.regimen.yaml"]


def test_a_file_that_changed_meanwhile_is_not_written(tmp_path: Path) -> None:
    target = tmp_path / "plan"
    target.write_bytes(b"somebody else's")
    with pytest.raises(ChangedMeanwhile):
        replace_file(target, b"new", expected=b"old")
    assert target.read_bytes() == b"somebody else's"
    assert [path.name for path in tmp_path.iterdir()] == ["plan"]


def test_of_many_writers_at_once_none_is_lost(tmp_path: Path) -> None:
    """Each adds its letter to what it read, and begins anew where somebody came in between."""
    target = tmp_path / "plan"
    target.write_bytes(b"")

    def add(letter: bytes) -> None:
        while True:
            data = target.read_bytes()
            try:
                replace_file(target, data + letter, expected=data)
            except ChangedMeanwhile:
                continue
            return

    writers = [threading.Thread(target=add, args=(bytes([65 + number]),)) for number in range(12)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert sorted(target.read_bytes()) == list(range(65, 77))


def test_whoever_is_killed_while_writing_leaves_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    target = tmp_path / "plan"
    old, new = b"old" * 50_000, b"new" * 50_000
    chance = random.Random(4)
    seen = set()
    for _ in range(40):
        target.write_bytes(old)
        ready, tell = os.pipe()
        child = os.fork()
        if child == 0:
            os.write(tell, b"1")
            replace_file(target, new, expected=old)
            os._exit(0)
        os.read(ready, 1)
        for _ in range(chance.randrange(4000)):
            pass
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(ready)
        os.close(tell)
        assert target.read_bytes() in (old, new)
        seen.add(target.read_bytes()[:3])
    assert seen
