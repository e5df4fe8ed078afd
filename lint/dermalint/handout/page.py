"""The hand-out as one page of HTML that asks for nothing over a network."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from hashlib import sha256
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from dermalint.handout.sheet import Sheet

_HERE = Path(__file__).parent
PAPERS = {"a4": "A4", "letter": "letter"}


def write_page(sheet: Sheet, *, large: bool = False, paper: str = "a4") -> str:
    """The page; ``large`` for large print, ``paper`` (``a4`` or ``letter``) for when it is printed."""
    style = _style(large, paper)
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
def _style(large: bool, paper: str) -> str:
    size = "1.5rem" if large else "1.0625rem"
    page = f"@page {{ size: {PAPERS[paper]}; margin: 14mm; }}\n:root {{ --size: {size}; }}\n"
    printed = "@media print { :root { --size: 16pt; } }\n" if large else ""
    return page + (_HERE / "page.css").read_text(encoding="utf-8") + printed


def _digest(text: str) -> str:
    return b64encode(sha256(text.encode()).digest()).decode()
