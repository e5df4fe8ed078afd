"""Where output goes: the terminal, a pipe or a file, each with its width, its colours and its letters."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from dermalint.cli.calls import WrongCall
from dermalint.report.page import NARROWEST, USUAL, WIDEST, Page

if TYPE_CHECKING:
    from dermalint.verdict.report_model import Review


def page_for_stdout() -> Page:
    """The page that suits what standard output is connected to."""
    return _page_for(sys.stdout)


def page_for_stderr() -> Page:
    """The page that suits what standard error is connected to."""
    return _page_for(sys.stderr)


def page_for_file() -> Page:
    """The page for a file: the same wherever it is written."""
    return Page()


def write_text(text: str | Iterable[str]) -> None:
    """Print a text for people; letters that the terminal lacks become question marks, a closed pipe is no error."""
    try:
        for piece in _pieces(text):
            sys.stdout.write(piece)
        sys.stdout.flush()
    except BrokenPipeError:
        forget_stdout()
    except OSError as error:
        raise _unwritable(error) from error


def write_document(text: str | Iterable[str]) -> None:
    """Print a document for programs: UTF-8 whatever the terminal, line ends as they are."""
    _write_raw(map(encode, _pieces(text)))


def _pieces(text: str | Iterable[str]) -> Iterable[str]:
    return (text,) if isinstance(text, str) else text


def write_bytes(data: bytes) -> None:
    """Print bytes as they are; a closed pipe is no error."""
    _write_raw((data,))


def _write_raw(pieces: Iterable[bytes]) -> None:
    raw = getattr(sys.stdout, "buffer", None)
    if raw is None:  # standard output replaced by a plain text stream
        write_text(piece.decode("utf-8", "replace") for piece in pieces)
        return
    try:
        sys.stdout.flush()
        raw.writelines(pieces)
        raw.flush()
    except BrokenPipeError:
        forget_stdout()
    except OSError as error:
        raise _unwritable(error) from error


def write_file(path: Path, text: str | Iterable[str]) -> None:
    """Write a file as UTF-8.  Raises :class:`WrongCall` where that is not possible."""
    try:
        with path.open("wb") as file:
            file.writelines(map(encode, _pieces(text)))
    except OSError as error:
        raise WrongCall(f"{path} cannot be written: {error.strerror or error}.", "Give --to another name or folder.") from error


def keep_inputs(review: Review, to: Path, option: str = "--to") -> None:
    """Refuse to write a report over a file that was read, or over any rule file."""
    target = to.resolve()
    read = (path for result in review.files for path in (result.path, *result.sources))
    if target.suffix == ".rules" or any(Path(path).resolve() == target for path in read):
        raise WrongCall(f"{option} {to} would write over a regimen or a rule file.", f"Give {option} another name.")


def encode(text: str) -> bytes:
    """UTF-8; half a surrogate pair, which no UTF-8 can hold, is escaped the way JSON does."""
    return text.encode("utf-8", "backslashreplace")


def _unwritable(error: OSError) -> WrongCall:
    """What is said where standard output takes nothing: a full disk, for instance."""
    forget_stdout()
    return WrongCall(f"Standard output cannot be written to: {error.strerror or error}.", "Let it go elsewhere.")


def open_closed_streams() -> None:
    """Let standard output and standard error go nowhere where the caller closed them, and not into a file opened later."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115  (open until the end)


def forget_stdout() -> None:
    """Let nothing more be written to a pipe that nobody reads, not even when the interpreter ends."""
    try:
        number = sys.stdout.fileno()
    except (OSError, ValueError, io.UnsupportedOperation):
        return
    os.dup2(os.open(os.devnull, os.O_WRONLY), number)


def _page_for(stream: TextIO) -> Page:
    return Page(width=_width(stream), colour=_colour(stream), plain=not _draws(getattr(stream, "encoding", None)))


def _width(stream: TextIO) -> int:
    try:
        width = int(os.environ.get("COLUMNS", "")) or USUAL
    except ValueError:
        try:
            width = os.get_terminal_size(stream.fileno()).columns or USUAL
        except (OSError, ValueError, AttributeError):
            width = USUAL
    return min(max(width, NARROWEST), WIDEST)


def _colour(stream: TextIO) -> bool:
    """Colours only on a terminal; NO_COLOR turns them off and FORCE_COLOR on."""
    if os.environ.get("NO_COLOR"):
        return False
    forced = os.environ.get("FORCE_COLOR")
    if forced:
        return forced != "0"
    old_console = sys.platform == "win32" and not os.environ.get("WT_SESSION")
    return stream.isatty() and os.environ.get("TERM") != "dumb" and not old_console


def _draws(encoding: str | None) -> bool:
    """Whether the encoding has the signs that the page is drawn with."""
    try:
        "│─·…“”’–".encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
