"""What a settings file says, as plain frozen data, and what of it holds for one regimen file."""

from __future__ import annotations

import os
from collections.abc import Mapping

from dermalint.regimen.model import DayClock, Problem
from dermalint.spans import SourceText
from dermalint_grammar.record import Record, fields_of, replace

OFF = "off"
_NO_SEVERITIES: Mapping[str, str] = {}
_NO_LINES: Mapping[str, int] = {}


class SettingsError(Exception):
    """A settings file that cannot be followed; ``source`` is its text, for quoting (None: it could not be read)."""

    def __init__(self, shown: str, problems: tuple[Problem, ...], source: SourceText | None) -> None:
        super().__init__(shown)
        self.shown = shown
        self.problems = problems
        self.source = source


class Part(Record):
    """What may differ from folder to folder; None and nothing mean that it is not set.

    ``severities`` gives rules (``pack.rule``) and packs another severity, or "off".  ``day`` holds clocks for regimens that
    state none of their own.
    """

    region: str | None = None
    stance: str | None = None
    fail_at: str | None = None
    severities: Mapping[str, str] = _NO_SEVERITIES
    day: DayClock | None = None

    def severity_of(self, rule: str) -> str | None:
        """The severity set for a rule, by its own name before its pack's; None where none is set."""
        return self.severities.get(rule) or self.severities.get(rule.partition(".")[0])


NOTHING_SET = Part()


class Folder(Record):
    """What is set for one folder (``path``, relative to the settings file's) and all below it; ``line`` is where."""

    path: str
    line: int
    part: Part


class Settings(Record):
    """A settings file.

    ``shown`` is what it is called in messages, ``folder`` the absolute path of its folder.  ``packs`` and ``known`` are paths
    as a command of the working directory would name them.  ``lines`` has the line of each key that is set.
    """

    shown: str
    folder: str
    everywhere: Part = Part()
    packs: tuple[str, ...] = ()
    plugins: tuple[str, ...] | None = None
    possible: str | None = None
    exclude: tuple[str, ...] = ()
    known: str | None = None
    folders: tuple[Folder, ...] = ()
    lines: Mapping[str, int] = _NO_LINES
    source: SourceText | None = None

    def part_for(self, path: str) -> Part:
        """What is set for a file: the folders it lies in count over what is set everywhere, deeper ones over higher ones."""
        part = self.everywhere
        if not self.folders:
            return part
        inside = os.path.relpath(os.path.abspath(path), self.folder).replace(os.sep, "/")  # noqa: PTH100
        around = [folder for folder in self.folders if folder.path == "." or inside.startswith(f"{folder.path}/")]
        for folder in sorted(around, key=lambda folder: 0 if folder.path == "." else folder.path.count("/") + 1):
            part = _laid_over(part, folder.part)
        return part


def _laid_over(below: Part, above: Part) -> Part:
    changes = {name: value for name in fields_of(above) if (value := getattr(above, name))}
    if above.severities:
        # A pack named for a folder counts over single rules named above it.
        kept = {name: said for name, said in below.severities.items() if name.partition(".")[0] not in above.severities}
        changes["severities"] = {**kept, **above.severities}
    return replace(below, **changes)
