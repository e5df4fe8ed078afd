"""What was started: the files that were written, and what to call next."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path

from dermalint.report.page import Page
from dermalint.report.text_report import care, ruled
from dermalint.start.names import PACK, PLUGIN, REGIMEN

_ON_INSTALLING = 'python -m pip install --editable . "dermalint[testing]"'


def as_text(page: Page, kind: str, name: str, written: Sequence[Path]) -> str:
    """The report of ``dermalint start``, ending with the caution."""
    lines = [page.paint(f"The {kind} {name}", "title"), *ruled(page)]
    for number, path in enumerate(written):
        lines += page.note("" if number else "Written", path.as_posix())
    for number, call in enumerate(_next(kind, name, written)):
        lines.append(page.row("" if number else "next", call))
    return page.finish([*lines, "", *care(page)])


def _next(kind: str, name: str, written: Sequence[Path]) -> tuple[str, ...]:
    """Calls to type as they stand, so they are never wrapped."""
    if kind == REGIMEN:
        return (f"dermalint review {shlex.quote(written[0].as_posix())}",)
    top = min((path.parent for path in written), key=lambda folder: len(folder.parts)).as_posix()
    enter = f"cd {shlex.quote(top)}"
    if kind in (PACK, PLUGIN):
        more = ("dermalint rules --plugins",) if kind == PLUGIN else ()
        review = f"dermalint review example.regimen.yaml --only {name}"
        return enter, _ON_INSTALLING, f"dermalint rules {name}", *more, review, "python -m pytest"
    return enter, "dermalint review courses", "dermalint rules --settings"
