"""The grid of pairings for reading: as text, and as a document for programs."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from dermalint.pairings.grid import Grid, Pairing
from dermalint.pairings.probe import STRICTNESS, TOGETHER
from dermalint.report.page import Page
from dermalint.report.text_report import care, ruled
from dermalint.spans import cells

FORMAT = "dermalint-pairings/1"
SIGNS = (
    ("+", "in one routine, in either order"),
    ("1. 2.", "in one routine, the row (1.) or the column (2.) first"),
    ("10m", "in one routine, with a wait of so many minutes"),
    ("R", "in different routines, on one day or not"),
    ("4h", "so many hours apart"),
    ("D 3D", "on different days, or so many days apart"),
    ("never", "objected to however far apart"),
    ("?", "behind a sign: it depends on what is not stated"),
)


def sign_at(grid: Grid, row: str, column: str) -> str:
    """The sign of a cell: an order is seen from its row."""
    found = grid.find(row, column)
    if found is None:
        return ""
    pairing, turned = found
    sign = pairing.sign
    if turned and sign[:2] in ("1.", "2."):
        sign = ("2." if sign[0] == "1" else "1.") + sign[2:]
    return sign


def as_text(page: Page, grid: Grid) -> str:
    """The grid where it fits the page, then everything that is not simply together, in sentences with rule and reason."""
    lines: list[str] = []
    lines += list(_table(page, grid))
    lines += [""]
    for sign, words in SIGNS:
        lines += page.note(sign, words)
    lines += [""]
    titles = {subject.key: subject.title for subject in grid.subjects}
    for pairing in sorted(grid.pairings, key=lambda one: -STRICTNESS.index(one.apart.how)):
        if pairing.apart.how != TOGETHER:
            lines += [*_pairing(page, pairing, titles), ""]
    together = sum(pairing.apart.how == TOGETHER for pairing in grid.pairings)
    lines += page.note(
        "",
        f"{together} of {len(grid.pairings)} pairs: no rule about two products objects to them in one routine.",
        body="title",
    )
    lines += page.note("", "That no rule objects does not say that it does any good.")
    lines += ["", *care(page)]
    return page.finish(lines)


def _table(page: Page, grid: Grid) -> Iterator[str]:
    """Rows by name, columns by number, in as many blocks as the width asks for."""
    label = min(max((cells(subject.key) for subject in grid.subjects), default=0), 24) + 4
    width = 6
    columns = max((page.width - label) // width, 1)
    numbers = list(range(len(grid.subjects)))
    for begin in range(0, len(numbers), columns):
        block = numbers[begin : begin + columns]
        yield " " * label + "".join(str(number + 1).rjust(width) for number in block)
        for row, subject in enumerate(grid.subjects):
            signs = []
            for number in block:
                sign = "-" if number == row else sign_at(grid, subject.key, grid.subjects[number].key)
                signs.append(sign.rjust(width))
            name = f"{row + 1:>2} {subject.key}"[: label - 1]
            yield name.ljust(label) + "".join(signs)
        yield from ruled(page)


def _pairing(page: Page, pairing: Pairing, titles: dict[str, str]) -> Iterator[str]:
    one, two = titles[pairing.first], titles[pairing.second]
    gravest = pairing.reasons[0].severity if pairing.reasons else ""
    yield from page.note(gravest.capitalize() or "", pairing.sentence(one, two), gravest, "title")
    shown = " with ".join(pairing.example)
    yield from page.note("for example", shown + (" (others of them may be nearer)" if pairing.differs else ""))
    for reason in pairing.reasons:
        yield from page.note("rule", f"{reason.rule}: {reason.message}")
        if reason.why:
            yield from page.note("why", reason.why)
        if reason.disputed:
            yield from page.note("other view", reason.disputed)


def as_json(grid: Grid, version: str, about: dict[str, Any]) -> str:
    """One document, ``dermalint-pairings/1``."""
    titles = {subject.key: subject.title for subject in grid.subjects}
    document = {
        "format": FORMAT,
        "tool": {"version": version},
        "asked": about,
        "subjects": [{"name": subject.key, "title": subject.title} for subject in grid.subjects],
        "pairings": [
            {
                "first": pairing.first,
                "second": pairing.second,
                "how": pairing.apart.how,
                "number": pairing.apart.number,
                "first_comes": (pairing.apart.number > 0) if pairing.apart.how == "order" else None,
                "endless": pairing.apart.endless,
                "certain": pairing.apart.certain,
                "sign": pairing.sign,
                "say": pairing.sentence(titles[pairing.first], titles[pairing.second]),
                "example": list(pairing.example),
                "differs": pairing.differs,
                "reasons": [
                    {
                        "rule": reason.rule,
                        "severity": reason.severity,
                        "message": reason.message,
                        "why": reason.why,
                        "advise": reason.advise,
                        "sources": list(reason.sources),
                        "disputed": reason.disputed,
                    }
                    for reason in pairing.reasons
                ],
            }
            for pairing in grid.pairings
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
