"""``dermalint layout``: files in place, mistakes, standard input, and what must stay as it was."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import pytest

from dermalint.cli import layout as layout_command
from dermalint.cli.main import run

SPREAD = """\
# On acids.
pack   house 1.0.0 title "House"
kind mask "mask"   # of clay
rule r advice never use mask. holds evening:toner
"""
LAID = """\
# On acids.
pack house 1.0.0
title "House"

kind mask "mask"  # of clay

rule r advice
  never use mask.
  holds  evening: toner
"""
WRONG = "pack house 1.0.0\nrule r advice\n  seperate mask from toner by day.\n"


@pytest.fixture(autouse=True)
def plain_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    for variable in ("NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(variable, raising=False)


def write(path: Path, text: str) -> Path:
    path.write_bytes(text.encode("utf-8"))
    return path


def test_files_are_laid_out_in_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one = write(tmp_path / "one.rules", SPREAD)
    write(tmp_path / "two.rules", LAID)
    write(tmp_path / "notes.txt", SPREAD)
    (tmp_path / "more").mkdir()
    three = write(tmp_path / "more" / "three.rules", SPREAD)
    assert run(["layout", str(tmp_path)]) == 0
    assert one.read_text(encoding="utf-8") == three.read_text(encoding="utf-8") == LAID
    assert (tmp_path / "notes.txt").read_text(encoding="utf-8") == SPREAD
    out, err = capsys.readouterr()
    assert out == f"Laid out: {three.as_posix()}\nLaid out: {one.as_posix()}\n2 files laid out, 1 file already laid out.\n"
    assert err == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == ["more", "notes.txt", "one.rules", "two.rules"]


def test_a_file_that_is_laid_out_is_not_touched(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path / "one.rules", LAID)
    before = path.stat()
    assert run(["layout", str(path)]) == 0
    after = path.stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)
    assert capsys.readouterr().out == "1 file already laid out.\n"


def test_a_dry_run_shows_the_change_and_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path / "one.rules", SPREAD)
    assert run(["layout", str(path), "--dry-run"]) == 1
    assert path.read_text(encoding="utf-8") == SPREAD
    lines = capsys.readouterr().out.splitlines()
    assert lines[:2] == [f"--- {path.as_posix()}", f"+++ {path.as_posix()} (laid out)"]
    assert '-pack   house 1.0.0 title "House"' in lines
    assert "+pack house 1.0.0" in lines
    assert "+  never use mask." in lines
    assert lines[-1] == "1 file would change."
    assert run(["layout", str(write(tmp_path / "one.rules", LAID)), "--dry-run"]) == 0
    assert capsys.readouterr().out == "1 file already laid out.\n"


def test_a_dry_run_says_when_only_line_ends_differ(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path / "one.rules", LAID.replace("\n", "\r\n", 1))
    assert run(["layout", str(path), "--dry-run"]) == 1
    assert capsys.readouterr().out == f"{path.as_posix()}: only line ends would change.\n1 file would change.\n"


def test_a_file_with_a_mistake_is_left_alone_and_the_others_are_laid_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = write(tmp_path / "a-wrong.rules", "\ufeff" + WRONG)
    right = write(tmp_path / "right.rules", SPREAD)
    assert run(["layout", str(tmp_path)]) == 2
    assert wrong.read_text(encoding="utf-8") == "\ufeff" + WRONG
    assert right.read_text(encoding="utf-8") == LAID
    out, err = capsys.readouterr()
    assert "1 file laid out, 1 file with mistakes left alone.\n" in out
    assert "   Mistake │ " in err
    assert "For example: rule acid-off-retinoid caution" in " ".join(err.replace("│", " ").split())
    lines = err.splitlines()
    (at,) = (number for number, line in enumerate(lines) if line.startswith("    line 3 │ "))
    assert lines[at] == "    line 3 │ seperate mask from toner by day."
    assert lines[at + 1] == "           │ ^^^^^^^^"
    assert "       try │ separate" in lines


def test_what_cannot_be_read_or_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "latin.rules"
    path.write_bytes(SPREAD.encode() + b"# caf\xe9\n")
    assert run(["layout", str(path), str(tmp_path / "absent.rules")]) == 2
    assert path.read_bytes() == SPREAD.encode() + b"# caf\xe9\n"
    out, err = capsys.readouterr()
    words = " ".join(err.replace("│", " ").split())
    assert "is not UTF-8 text (line 5)" in words
    assert "There is no rule pack at" in words
    assert out == "Nothing to lay out.\n"


def test_an_empty_folder_is_no_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["layout", str(tmp_path)]) == 0
    out, err = capsys.readouterr()
    assert "There is no rule file" in err
    assert out == "Nothing to lay out.\n"


def test_line_ends_and_the_byte_order_mark_stay(tmp_path: Path) -> None:
    path = write(tmp_path / "one.rules", "\ufeff" + SPREAD.replace("\n", "\r\n"))
    assert run(["layout", str(path)]) == 0
    laid = ("\ufeff" + LAID.replace("\n", "\r\n")).encode()
    assert path.read_bytes() == laid
    assert run(["layout", str(path), "--dry-run"]) == 0


@pytest.mark.skipif(os.name == "nt", reason="modes and symbolic links as other systems have them")
def test_the_mode_stays_and_a_symbolic_link_keeps_pointing(tmp_path: Path) -> None:
    target = write(tmp_path / "target.txt", SPREAD)
    target.chmod(0o640)
    link = tmp_path / "link.rules"
    link.symlink_to(target.name)
    assert run(["layout", str(link)]) == 0
    assert link.is_symlink()
    assert target.read_text(encoding="utf-8") == LAID
    assert target.stat().st_mode & 0o777 == 0o640


def test_a_file_that_must_not_be_written_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path / "one.rules", SPREAD)
    allowed = os.access
    monkeypatch.setattr(os, "access", lambda where, how: how != os.W_OK and allowed(where, how))
    assert run(["layout", str(path)]) == 2
    assert path.read_text(encoding="utf-8") == SPREAD
    out, err = capsys.readouterr()
    assert "must not be written" in " ".join(err.replace("│", " ").split())
    assert out == "Nothing to lay out.\n"


def test_a_write_that_fails_leaves_the_file_and_nothing_beside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path / "one.rules", SPREAD)

    def fail(_old: str, _new: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    assert run(["layout", str(path)]) == 2
    assert path.read_text(encoding="utf-8") == SPREAD
    assert [inside.name for inside in tmp_path.iterdir()] == ["one.rules"]


def test_a_layout_that_changed_words_would_not_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from dermalint_grammar import layout

    monkeypatch.setattr(layout, "layout_pack", lambda text: layout.Laid(text.replace("mask", "toner"), ()))
    path = write(tmp_path / "one.rules", SPREAD)
    assert run(["layout", str(path)]) == 3
    assert path.read_text(encoding="utf-8") == SPREAD
    assert "inside dermalint" in capsys.readouterr().err


class Stdin:
    """Standard input with some bytes in it."""

    def __init__(self, data: bytes) -> None:
        self.buffer = io.BytesIO(data)


@pytest.mark.parametrize(
    ("data", "status"), [(SPREAD.encode(), 0), (LAID.replace("\n", "\r\n").encode(), 0), (WRONG.encode(), 2)]
)
def test_standard_input(
    data: bytes, status: int, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    monkeypatch.setattr(sys, "stdin", Stdin(data))
    assert run(["layout", "-"]) == status
    out, err = capfdbinary.readouterr()
    assert out == (LAID.encode() if data == SPREAD.encode() else data)
    assert (b"Mistake" in err) == (status == 2)


def test_a_dry_run_of_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", Stdin(SPREAD.encode()))
    assert run(["layout", "-", "--dry-run"]) == 1
    assert capsys.readouterr().out.startswith("--- standard input\n+++ standard input (laid out)\n")
    monkeypatch.setattr(sys, "stdin", Stdin(b"\xff"))
    assert run(["layout", "-"]) == 2
    assert "is not UTF-8" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [([], "Which rule file or folder"), (["-", "house.rules"], "stands for standard input"), (["--dryrun", "x"], "--dry-run")],
)
def test_wrong_calls(arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["layout", *arguments]) == 2
    assert said in capsys.readouterr().err


def test_the_help_shows_calls_that_work() -> None:
    assert "dermalint layout - < house.rules" in layout_command.HELP
