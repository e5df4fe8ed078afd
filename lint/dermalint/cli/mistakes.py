"""Mistakes in a file, as every command shows them: their place, the line with a caret, and how to write it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from dermalint.regimen.model import Problem
    from dermalint.spans import SourceText


def tell_mistakes(problems: Iterable[Problem], sources: Mapping[str, SourceText], shown: str) -> int:
    """Say the mistakes among problems on standard error; the exit status that they ask for.

    ``sources`` are the texts that their places point into, by path, and ``shown`` is the path of the file that is spoken of.
    """
    from dermalint.cli.exit_status import FAULT, UNREAD, WELL
    from dermalint.cli.writing import page_for_stderr
    from dermalint.regimen.model import ERROR
    from dermalint.report.text_report import problem_note

    page = page_for_stderr()
    errors = [problem for problem in problems if problem.level == ERROR]
    for problem in errors:
        click.echo(page.finish(list(problem_note(page, problem, sources, shown))), err=True, nl=False)
    if any(problem.plugin for problem in errors):
        return FAULT
    return UNREAD if errors else WELL
