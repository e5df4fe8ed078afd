"""The settings in force for reading: each value beside where it comes from."""

from __future__ import annotations

import json
from collections.abc import Sequence

from dermalint.report.page import Page
from dermalint.report.text_report import care, ruled
from dermalint.settings.effective import BUILT_IN, Row

FORMAT = "dermalint-settings/1"


def as_text(page: Page, rows: Sequence[Row], file: str | None) -> str:
    """One note a setting; what is set stands out from what is as usual."""
    title = f"Settings of {file}" if file else "No settings file is in force"
    lines = [page.paint(title, "title"), *ruled(page)]
    for row in rows:
        where = "" if row.folder is None else f" in {row.folder}"
        own = row.origin != BUILT_IN
        lines += page.note(row.key, f"{row.value}{where} ({row.origin})", "title" if own else "faint", "" if own else "faint")
    return page.finish([*lines, "", *care(page)])


def as_json(rows: Sequence[Row], file: str | None, version: str) -> str:
    """One document, ``dermalint-settings/1``."""
    document = {
        "format": FORMAT,
        "tool": {"version": version},
        "file": file,
        "settings": [{"key": row.key, "folder": row.folder, "value": row.value, "origin": row.origin} for row in rows],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
