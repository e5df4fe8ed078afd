"""The hand-out as one page of HTML that asks for nothing over a network."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from hashlib import sha256
from math import ceil
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from dermalint.handout.sheet import Section, Sheet

_HERE = Path(__file__).parent
PAPERS = {"a4": "A4", "letter": "letter"}
SIZES = (11.0, 10.5, 10.0, 9.5, 9.0, 8.5)  # points of printed letters
LARGE = 16.0
COLUMN = 42  # signs of a line in one of two columns, at ten points
# Lines by squared points of two pages: measured with the demonstration's hand-outs in five languages and on both papers.
ROOM = 19_000


def write_page(sheet: Sheet, *, large: bool = False, paper: str = "a4") -> str:
    """The page; ``large`` for large print, ``paper`` (``a4`` or ``letter``) for when it is printed."""
    style = _style(large, paper, LARGE if large else print_size(sheet))
    policy = f"default-src 'none'; style-src 'sha256-{_digest(style)}'; base-uri 'none'; form-action 'none'"
    return _template().render(sheet=sheet, style=style, policy=policy, large=large)


@cache
def _template() -> Template:
    loader = FileSystemLoader(_HERE)
    # Everything is escaped unless the template itself says otherwise, and it says so of the style alone.
    environment = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, auto_reload=False
    )
    return environment.get_template("page.html.jinja")


@cache
def _style(large: bool, paper: str, points: float) -> str:
    page = f"@page {{ size: {PAPERS[paper]}; margin: 12mm; }}\n"
    size = f":root {{ --size: {'1.5rem' if large else '1.0625rem'}; }}\n@media print {{ :root {{ --size: {points:g}pt; }} }}\n"
    style = (_HERE / "page.css").read_text(encoding="utf-8")
    # Large letters need the narrow layout on wider screens.
    return page + size + (style.replace("max-width: 34rem", "max-width: 52rem") if large else style)


def print_size(sheet: Sheet) -> float:
    """The largest letters, in points, with which a hand-out should fit on two pages."""
    return next((size for size in SIZES if size * size * _lines(sheet) <= ROOM), SIZES[-1])


def _lines(sheet: Sheet) -> float:
    """About how many lines a hand-out takes in one of two columns, at ten points."""
    return sum(map(_lines_of, sheet.sections)) + 2 * (sum(map(_wrapped, (*sheet.lines, sheet.care))) / 2 + 3)


def _lines_of(section: Section) -> float:
    lines = 3.0 + sum(map(_wrapped, section.lines))
    if section.table:
        share = COLUMN / len(section.table.heads)
        lines += sum(1.3 * max(_wrapped(cell, share) for cell in row) for row in (section.table.heads, *section.table.rows))
    return lines + sum(_wrapped(item.text) + _wrapped(" ".join(item.details)) + 0.2 for item in section.items)


def _wrapped(text: str, width: float = 0) -> int:
    return ceil(len(text) / (width or COLUMN))


def _digest(text: str) -> str:
    return b64encode(sha256(text.encode()).digest()).decode()
