"""A proof for reading, and as a document for programs."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from dermalint.proof.flaws import FAULT, KINDS, Flaw
from dermalint.proof.prove import Proof
from dermalint.report.page import Page
from dermalint.report.quotes import ALSO, HERE, Mark, quote
from dermalint.report.text_report import care
from dermalint.spans import Place, SourceText

FORMAT = "dermalint-proof/1"
_COLOURS = {FAULT: "avoid"}


def as_text(page: Page, proof: Proof, sources: Mapping[str, SourceText], *, remarks: bool) -> str:
    """Every fault with its places; remarks only where they are asked for, else their number."""
    lines: list[str] = []
    shown = [flaw for flaw in proof.flaws if remarks or flaw.level == FAULT]
    for flaw in shown:
        lines += [*_flaw(page, flaw, sources), ""]
    for one in proof.undecided:
        lines += [*page.note("not decided", f"{one.question}: {one.why}.".replace("..", ".")), ""]
    lines += [*page.note("", _summary(proof), body="title")]
    left = len(proof.flaws) - len(shown)
    if left:
        lines += page.note("", f"{left} remark{'s' if left > 1 else ''} on sources: --remarks shows them.")
    lines += ["", *care(page)]
    return page.finish(lines)


def _flaw(page: Page, flaw: Flaw, sources: Mapping[str, SourceText]) -> Iterator[str]:
    yield from page.note(flaw.level, flaw.message, _COLOURS.get(flaw.level, "advice"), "title")
    own = flaw.where.path or ""
    if flaw.where.path is not None or flaw.where.end:
        yield from page.note("in", own)
        marks = [Mark(flaw.where, HERE), *(Mark(spot.place, ALSO, spot.note) for spot in flaw.related)]
        yield from quote(page, marks, sources, own)
    if flaw.suggestion:
        yield from page.note("what to do", flaw.suggestion)


def _summary(proof: Proof) -> str:
    number = len(proof.faults)
    rules = f"{proof.rules} rule{'' if proof.rules == 1 else 's'}"
    packs = f"{len(proof.packs)} pack{'' if len(proof.packs) == 1 else 's'}"
    open_ = f", {len(proof.undecided)} not decided" if proof.undecided else ""
    if number:
        kinds = Counter(flaw.kind for flaw in proof.faults)
        listed = ", ".join(f"{kinds[kind]} {kind}" for kind in KINDS if kinds[kind])
        return f"{number} fault{'' if number == 1 else 's'} in {rules} of {packs}: {listed}{open_}."
    return f"No fault in {rules} of {packs}{open_}."


def as_json(proof: Proof, sources: Mapping[str, SourceText], version: str) -> str:
    """One document, ``dermalint-proof/1``."""
    document = {
        "format": FORMAT,
        "tool": {"version": version},
        "packs": list(proof.packs),
        "flaws": [_as_data(flaw, sources) for flaw in proof.flaws],
        "undecided": [{"question": one.question, "why": one.why, "rules": list(one.rules)} for one in proof.undecided],
        "summary": {
            "rules": proof.rules,
            "faults": len(proof.faults),
            "remarks": len(proof.flaws) - len(proof.faults),
            "undecided": len(proof.undecided),
        },
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def _as_data(flaw: Flaw, sources: Mapping[str, SourceText]) -> dict[str, Any]:
    return {
        "kind": flaw.kind,
        "level": flaw.level,
        "message": flaw.message,
        "rules": list(flaw.rules),
        "where": _where(flaw.where, sources),
        "related": [{**_where(spot.place, sources), "note": spot.note} for spot in flaw.related],
        "suggestion": flaw.suggestion or None,
    }


def _where(place: Place, sources: Mapping[str, SourceText]) -> dict[str, Any]:
    source = sources.get(place.path or "")
    if source is None:
        return {"path": place.path, "line": None, "column": None, "end_line": None, "end_column": None}
    begin, end = source.position(place.start), source.position(place.end)
    return {
        "path": place.path,
        "line": begin.line,
        "column": begin.column,
        "end_line": end.line,
        "end_column": end.column,
    }
