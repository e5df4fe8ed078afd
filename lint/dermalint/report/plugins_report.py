"""Installed packs and plugins for reading: distribution, version, entry point, kind, what it gives, and how it is."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from itertools import groupby

from dermalint.packs.health import WELL, Health
from dermalint.report.page import Page
from dermalint.report.text_report import ruled

FORMAT = "dermalint-plugins/1"


def as_json(found: Sequence[Health], version: str) -> str:
    """One document, ``dermalint-plugins/1``."""
    document = {
        "format": FORMAT,
        "tool": {"version": version},
        "plugins": [
            {
                "distribution": health.entry.distribution,
                "version": health.entry.version or None,
                "group": health.entry.group,
                "entry_point": health.entry.name,
                "value": health.entry.value,
                "kind": health.kind,
                "gives": health.gives,
                "in_order": not health.remarks,
                "remarks": [
                    {"level": "error" if remark.grave else "hint", "message": remark.text, "suggestion": remark.todo}
                    for remark in health.remarks
                ],
            }
            for health in found
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def as_text(page: Page, found: Sequence[Health]) -> str:
    """By distribution: its entry points with their kind, what they give, and their health."""
    lines: list[str] = []
    for named, entries in groupby(found, key=lambda health: f"{health.entry.distribution} {health.entry.version}".rstrip()):
        lines += [page.paint(named, "title"), *ruled(page)]
        for health in entries:
            lines += _entry(page, health)
        lines.append("")
    if not found:
        lines += ["No pack and no plugin is installed.", ""]
    return page.finish(lines)


def _entry(page: Page, health: Health) -> Iterator[str]:
    yield from page.note(health.kind, f"{health.entry.name}, gives {health.gives}", body="title")
    if not health.remarks:
        yield from page.note("", WELL, body="faint")
    for remark in health.remarks:
        yield from page.note("at fault" if remark.grave else "note", _sentence(remark.text), "avoid" if remark.grave else "")
        if remark.todo:
            yield from page.note("try", remark.todo)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
