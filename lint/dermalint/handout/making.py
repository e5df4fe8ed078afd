"""A planned hand-out in the form that is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from dermalint.handout.language import Language
from dermalint.handout.plan import HandOut
from dermalint.handout.telling import tell

_NONE: Mapping[str, int] = MappingProxyType({})


def make(
    plan: HandOut,
    form: str,
    language: str = "en",
    *,
    large: bool = False,
    paper: str = "a4",
    packages: Mapping[str, int] = _NONE,
) -> str | bytes:
    """The hand-out as ``html``, ``text`` or ``markdown`` (text), ``pdf`` or ``ics`` (bytes).

    ``packages`` are contents in milligrams by product.  Raises ValueError for the calendar of a regimen without a first day.
    """
    speaks = Language(language)
    sheet = tell(plan, speaks, packages)
    if form == "ics":
        from dermalint.handout.calendar import write_calendar

        return write_calendar(plan, sheet, speaks)
    if form == "text":
        from dermalint.handout.text import write_text

        return write_text(sheet)
    if form == "markdown":
        from dermalint.handout.markdown import write_markdown

        return write_markdown(sheet)
    from dermalint.handout.page import write_page

    page = write_page(sheet, large=large, paper=paper)
    if form == "html":
        return page
    from dermalint.handout.pdf import write_pdf

    return write_pdf(page)
