"""The hand-out as Markdown, for mail programs and notes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from dermalint.handout.sheet import Section, Sheet

# Whatever could begin markup: signs that mark anywhere, those at a line's beginning, and addresses that link themselves.
_SIGNS = re.compile(r"([\\`*_{}\[\]<>&|~#!@$^=])")
_BEGINNING = re.compile(r"^([-+])|^([0-9]+)([.)])")
_ADDRESS = re.compile(r"(?i)(www)(\.)|(:)(?=//)")


def write_markdown(sheet: Sheet) -> str:
    """The hand-out as CommonMark with tables; texts out of files stand for themselves and mark nothing."""
    lines = [f"# {escape(sheet.title)}", ""]
    for line in sheet.lines:
        lines += [escape(line), ""]
    for section in sheet.sections:
        lines += _section(section)
    lines += ["---", "", f"**{escape(sheet.care_heading)}.** {escape(sheet.care)}"]
    return "\n".join(lines) + "\n"


def escape(text: str) -> str:
    """A text that Markdown shows as it is."""
    said = _SIGNS.sub(r"\\\1", text)
    said = _ADDRESS.sub(lambda found: f"{found[1]}\\." if found[1] else "\\:", said)
    return _BEGINNING.sub(lambda found: f"\\{found[1]}" if found[1] else f"{found[2]}\\{found[3]}", said)


def _section(section: Section) -> Iterator[str]:
    mark = "⚠ " if section.tone in ("stop", "avoid") else ""
    yield from (f"## {mark}{escape(section.heading)}", "")
    for line in section.lines:
        yield from (escape(line), "")
    if section.table:
        yield _row(section.table.heads)
        yield _row(["---"] * len(section.table.heads), raw=True)
        yield from map(_row, section.table.rows)
        yield ""
    for number, item in enumerate(section.items, start=1):
        lead = f"{number}. " if section.numbered else "- "
        yield f"{lead}**{escape(item.text)}**" if item.details else f"{lead}{escape(item.text)}"
        indent = " " * len(lead)
        yield from (f"{indent}- {escape(detail)}" for detail in item.details)
    if section.items:
        yield ""


def _row(cells: tuple[str, ...] | list[str], raw: bool = False) -> str:
    return f"| {' | '.join(cell if raw else escape(cell) for cell in cells)} |"
