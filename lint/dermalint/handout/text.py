"""The hand-out as plain text, for mail."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from dermalint.handout.sheet import Section, Sheet, Table
from dermalint.spans import cells

WIDTH = 72


def write_text(sheet: Sheet) -> str:
    """The hand-out as lines of at most 72 signs."""
    lines = [*wrap(sheet.title, WIDTH), "=" * min(WIDTH, max(len(sheet.title), 3)), ""]
    for line in sheet.lines:
        lines += wrap(line, WIDTH)
    for section in sheet.sections:
        lines += ["", *_section(section, sheet.colon)]
    lines += ["", "-" * WIDTH, *wrap(f"{sheet.care_heading}. {sheet.care}", WIDTH)]
    return "\n".join(lines) + "\n"


def _section(section: Section, colon: str) -> Iterator[str]:
    mark = "!! " if section.tone in ("stop", "avoid") else ""
    heading = mark + section.heading
    yield from wrap(heading, WIDTH)
    yield "-" * min(WIDTH, len(heading))
    for line in section.lines:
        yield from wrap(line, WIDTH)
    if section.table:
        yield from _table(section.table, colon)
    for number, item in enumerate(section.items, start=1):
        lead = f"{number}. " if section.numbered else "- "
        yield from wrap(item.text, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead))
        for detail in item.details:
            yield from wrap(detail, WIDTH, initial_indent=" " * len(lead), subsequent_indent=" " * len(lead))


def _table(table: Table, colon: str) -> Iterator[str]:
    """In columns where they fit, else each row as a list."""
    rows = (table.heads, *table.rows)
    widths = [max(map(cells, column)) for column in zip(*rows, strict=True)]
    if sum(widths) + 2 * (len(widths) - 1) <= WIDTH:
        for row in rows:
            yield "  ".join(cell + " " * (width - cells(cell)) for cell, width in zip(row, widths, strict=True)).rstrip()
        return
    for first, *rest in table.rows:
        yield from wrap(first, WIDTH)
        for head, cell in zip(table.heads[1:], rest, strict=True):
            if cell:
                yield from wrap(f"{head}{colon}{cell}", WIDTH, initial_indent="  ", subsequent_indent="    ")
