"""``dermalint layout``: bring rule files into their one layout."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from dermalint.cli.calls import WrongCall

if TYPE_CHECKING:
    from dermalint.regimen.model import Problem
    from dermalint.spans import SourceText

STDIN = "-"

HELP = """Bring rule files into their one layout: the same words and comments on lines that show how they belong together.

PATH is a rule file, or a folder that is searched for files named *.rules; they are written in place. With - the text comes
from standard input and goes to standard output.

\b
    dermalint layout house-rules/
    dermalint layout house.rules --dry-run
    dermalint layout - < house.rules

A file with a mistake stays as it is; the mistake is told, and the other files are laid out.

\b
Exit status: 0 all is laid out, 1 --dry-run found what would change, 2 something could not be read or written, or the
call was wrong.
"""


class _Text(NamedTuple):
    """A rule file read: its text, the bytes it was, and the bytes it should be (the same ones where it has mistakes)."""

    source: SourceText
    data: bytes
    laid: bytes
    problems: tuple[Problem, ...]


@click.command("layout", help=HELP, short_help="Bring rule files into their one layout.")
@click.argument("paths", metavar="PATH...", nargs=-1)
@click.option("--dry-run", is_flag=True, help="Write nothing; show what would change.")
def command(paths: Sequence[str], dry_run: bool) -> int:
    """Lay out the files and return the exit status."""
    if not paths:
        raise WrongCall(
            "Which rule file or folder is to be laid out?",
            "For instance: dermalint layout house-rules/",
            click.get_current_context(),
        )
    if STDIN in paths and len(paths) > 1:
        raise WrongCall(
            "“-” stands for standard input and goes alone.",
            "For instance: dermalint layout - < house.rules",
            click.get_current_context(),
        )
    return _lay_out_stdin(dry_run) if STDIN in paths else _lay_out_files(paths, dry_run)


def _lay_out_stdin(dry_run: bool) -> int:
    """A text with mistakes comes out as it went in, so that a pipe never empties a file."""
    from dermalint.cli.writing import write_bytes, write_text

    text = _read("standard input", sys.stdin.buffer.read())
    if isinstance(text, list):
        _tell(text, {})
        return 2
    if dry_run:
        write_text("".join(_differences(text)))
    else:
        write_bytes(text.laid)
    _tell(text.problems, {text.source.path: text.source})
    return 2 if text.problems else int(dry_run and text.laid != text.data)


def _lay_out_files(paths: Sequence[str], dry_run: bool) -> int:
    from dermalint.cli.replacing import replace_file
    from dermalint.cli.writing import write_text
    from dermalint.packs.find import find_packs
    from dermalint.packs.load import read_files
    from dermalint.regimen.model import ERROR, Problem

    found = find_packs([Path(path) for path in paths], installed=False)
    files, unread = read_files(found.files)
    problems = [*found.problems, *unread]
    sources: dict[str, SourceText] = {}
    changed = kept = 0
    for file, data in files:
        text = _read(file.shown, data)
        if isinstance(text, list):
            problems += text
            continue
        sources[file.shown] = text.source
        problems += text.problems
        if text.laid == data:
            kept += not text.problems
            continue
        changed += 1
        if dry_run:
            write_text("".join(_differences(text)))
            continue
        try:
            replace_file(Path(file.path), text.laid)
        except OSError as error:
            changed -= 1
            problems.append(Problem(ERROR, f"{file.shown} cannot be written: {error.strerror or error}."))
            continue
        write_text(f"Laid out: {file.shown}\n")
    _tell(problems, sources)
    faulty = len({problem.place.path for problem in problems if problem.place})
    write_text(_summary(changed, kept, faulty, dry_run))
    if any(problem.level == ERROR for problem in problems):
        return 2
    return int(dry_run and changed > 0)


def _read(shown: str, data: bytes) -> _Text | list[Problem]:
    """Lay out the bytes of a file; line ends and a byte order mark stay as they were."""
    from dermalint.packs.link import decode, problem_of
    from dermalint.regimen.model import Problem
    from dermalint_grammar.layout import layout_pack, read_words

    source = decode(shown, data)
    if isinstance(source, Problem):
        return [source]
    laid = layout_pack(source.text)
    if not laid.mistakes and read_words(laid.text) != read_words(source.text):
        raise RuntimeError(f"The layout of {shown} would change its words")  # never written: told as a fault of the tool
    if laid.mistakes:
        return _Text(source, data, data, tuple(problem_of(mistake, shown) for mistake in laid.mistakes))
    text = laid.text.replace("\n", "\r\n") if _ends_lines_with_return(data) else laid.text
    return _Text(source, data, (("\ufeff" if source.bom else "") + text).encode("utf-8"), ())


def _ends_lines_with_return(data: bytes) -> bool:
    return data.count(b"\r\n") * 2 > data.count(b"\n")


def _differences(text: _Text) -> Iterator[str]:
    """What the layout would change, as lines of a unified diff, without what would upset a terminal."""
    from difflib import unified_diff

    from dermalint.report.page import tame

    old, new = ((data.decode("utf-8").removeprefix("\ufeff").splitlines()) for data in (text.data, text.laid))
    lines = list(unified_diff(old, new, text.source.path, f"{text.source.path} (laid out)", lineterm=""))
    if text.laid != text.data and not lines:
        lines = [f"{text.source.path}: only line ends would change."]
    for line in lines:
        yield tame(line) + "\n"


def _tell(problems: Sequence[Problem], sources: dict[str, SourceText]) -> None:
    """Tell on standard error what could not be laid out, as a review tells of problems with packs."""
    from dermalint.cli.writing import page_for_stderr
    from dermalint.report.text_report import problem_note

    page = page_for_stderr()
    for problem in problems:
        click.echo(page.finish([*problem_note(page, problem, sources, ""), ""]), err=True, nl=False)


def _summary(changed: int, kept: int, faulty: int, dry_run: bool) -> str:
    parts = [f"{_files(changed)} {'would change' if dry_run else 'laid out'}"] if changed else []
    parts += [f"{_files(kept)} already laid out"] if kept else []
    parts += [f"{_files(faulty)} with mistakes left alone"] if faulty else []
    return f"{', '.join(parts) or 'Nothing to lay out'}.\n"


def _files(number: int) -> str:
    return f"{number} file{'' if number == 1 else 's'}"
