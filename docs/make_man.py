"""Write `build/man/`: a manual page for `dermalint` and for each of its commands, made from their help.  Run by `make docs`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click
from click_man.man import ManPage

from dermalint import __version__
from dermalint.cli.main import COMMANDS, build
from dermalint.report.remarks import CARE

FOLDER = Path(__file__).resolve().parents[1] / "build" / "man"
_AS_WRITTEN = "\b"  # click's sign before a paragraph whose lines stay as they are


def pages() -> dict[str, str]:
    """The text of every page by its file name; its date is today's, or that of SOURCE_DATE_EPOCH."""
    group = build()
    context = click.Context(group, info_name="dermalint")
    shown = {"dermalint.1": _page(context)}
    for name in COMMANDS:
        command = group.get_command(context, name)
        assert command is not None
        shown[f"dermalint-{name}.1"] = _page(click.Context(command, info_name=name, parent=context))
    return shown


def _page(context: click.Context) -> str:
    command = context.command
    page = ManPage(context.command_path)
    page.version = __version__
    help_ = command.help or ""
    page.short_help = _plain((command.short_help or help_.partition("\n")[0]).rstrip("."))
    page.synopsis = " ".join(command.collect_usage_pieces(context))
    page.description = "\n".join(_description(help_))
    records = (param.get_help_record(context) for param in command.get_params(context) if isinstance(param, click.Option))
    page.options = [(names.replace("\\", "\\e"), _plain(said)) for names, said in filter(None, records)]
    if isinstance(command, click.Group):
        page.commands = [(name, _plain(said)) for name, said in COMMANDS.items()]
    return f"{page}.SH PLEASE NOTE\n{_plain(CARE)}\n"


def _description(text: str) -> Iterator[str]:
    """Paragraphs; those that click leaves as they are, with their line ends."""
    for number, paragraph in enumerate(text.strip().split("\n\n")):
        lines = paragraph.split("\n")
        if number:
            yield ".PP"
        if lines[0] == _AS_WRITTEN:
            yield ".nf"
            yield from map(_plain, lines[1:])
            yield ".fi"
        else:
            yield _plain(" ".join(line.strip() for line in lines))


def _plain(text: str) -> str:
    """A text in which nothing is a sign of the language of manual pages."""
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{text}" if text.startswith((".", "'")) else text


def main() -> None:
    """Writes the pages."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in pages().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    print(f"Manual pages in {FOLDER}; to read one: man -l {FOLDER / 'dermalint-review.1'}")


if __name__ == "__main__":
    main()
