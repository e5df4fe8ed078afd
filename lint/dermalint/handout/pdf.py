"""The hand-out's page as a PDF: tagged, with its fonts in it."""

from __future__ import annotations

import logging
from typing import NoReturn


def write_pdf(page: str) -> bytes:
    """The page as a tagged PDF (PDF/UA-1); nothing is fetched, neither from a network nor from the disk."""
    from weasyprint import HTML  # type: ignore[import-untyped]  # an extra of its own

    # It tells of each rule that is meant for screens alone; faults are raised.
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)
    document = HTML(string=page, url_fetcher=_fetch_nothing, base_url=None)
    return bytes(document.write_pdf(pdf_variant="pdf/ua-1", full_fonts=False))


def _fetch_nothing(url: str, *_args: object, **_options: object) -> NoReturn:
    raise ValueError(f"a hand-out fetches nothing, and {url} was asked for")
