"""The project's settings on the command line: found, and what is said of those that cannot be followed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from dermalint.settings.model import Settings, SettingsError


def project_settings(paths: Sequence[str]) -> Settings | None:
    """The settings in force for these paths; None without a settings file, and then nothing that reads one is imported.

    Raises :class:`~dermalint.settings.model.SettingsError`.
    """
    from dermalint.settings.locate import locate_settings

    found = locate_settings(paths)
    if found is None:
        return None
    from dermalint.settings.read import read_settings

    return read_settings(found)


def project_packs(settings: Settings | None, more: Iterable[Path] = ()) -> tuple[Path, ...]:
    """The pack files and folders that the settings name, and those of the command line."""
    return (*(Path(path) for path in (settings.packs if settings else ())), *more)


def tell_wrong_settings(error: SettingsError) -> int:
    """Say on standard error what is wrong with a settings file, each at its place; the exit status."""
    from dermalint.cli.exit_status import UNREAD
    from dermalint.cli.writing import page_for_stderr
    from dermalint.report.text_report import problem_note
    from dermalint_grammar.record import replace

    page = page_for_stderr()
    lines = [f"The settings in {error.shown} cannot be followed, so nothing was done."]
    for problem in error.problems:
        lines.append("")
        if problem.place is not None and error.source is not None:
            at = error.source.position(problem.place.start)
            lines.append(f"{error.shown}, line {at.line}, column {at.column}:")
            problem = replace(problem, place=problem.place._replace(path=None))  # the file was just named
        sources = {error.shown: error.source} if error.source else {}
        lines += problem_note(page, problem, sources, error.shown)
    click.echo(page.finish(lines), err=True, nl=False)
    return UNREAD
