"""What examples show of rules, and examples that would show the rest, for reading and as a document for programs."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from dermalint.proof.coverage import Coverage, Missing, file_of, line_of, text_of
from dermalint.proof.ground import Ground
from dermalint.proof.mutants import BOUNDARY, CLAUSE
from dermalint.report.page import Page
from dermalint.report.text_report import care

_SORTS = (
    (BOUNDARY, "boundaries (a step to either side counts as one each)"),
    (CLAUSE, "clauses and parts of terms"),
)


def coverage_as_text(page: Page, found: Sequence[Coverage], missing: Sequence[Missing], ground: Ground) -> str:
    """What examples do not show, rule by rule, and lines that would show it."""
    lines: list[str] = []
    for one in found:
        mine = list(_rule(page, one, [entry for entry in missing if entry.rule == one.rule], ground))
        if mine:
            lines += [page.paint(one.rule, "title"), *mine, ""]
    for sort, word in _SORTS:
        pairs = [one.of(sort) for one in found]
        shown, number = sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)
        share = 100 * shown // number if number else 100
        said = f"Examples show {shown} of {number} {word}: {share} %."
        alike = sum(bool(entry.alike) for one in found for entry in one.shown if entry.mutant.sort == sort)
        if alike:
            said += f" {alike} more cannot be shown."
        lines += page.note("", said, body="title")
    lines += ["", *care(page)]
    return page.finish(lines)


def _rule(page: Page, one: Coverage, missing: Sequence[Missing], ground: Ground) -> Iterator[str]:
    for shown in one.shown:
        mutant = shown.mutant
        if shown.alike:
            yield from page.note("cannot be shown", f"{mutant.part}: {mutant.change}: {shown.alike}.")
        elif not shown.by_examples:
            yield from page.note(mutant.sort, f"No example tells it from the rule with {mutant.part}: {mutant.change}.")
    for entry in missing:
        if entry.plan is None:
            yield from page.note(
                "not found", f"No example within the bounds shows {entry.mutant.part}: {entry.mutant.change}."
            )
            continue
        yield from page.note("to write", line_of(entry), body="title")
        if not entry.plan.in_notation:
            for number, line in enumerate(text_of(entry, ground).splitlines()):
                yield page.row("in that file" if number == 0 else "", line)


def coverage_as_json(found: Sequence[Coverage], missing: Sequence[Missing], ground: Ground, version: str) -> str:
    """One document, ``dermalint-coverage/1``."""
    written = [entry for entry in missing if entry.plan is not None]
    document: dict[str, Any] = {
        "format": "dermalint-coverage/1",
        "tool": {"version": version},
        "rules": [
            {
                "rule": one.rule,
                "boundary": dict(zip(("shown", "of"), one.of(BOUNDARY), strict=True)),
                "clause": dict(zip(("shown", "of"), one.of(CLAUSE), strict=True)),
                "not_shown": [
                    {"sort": shown.mutant.sort, "part": shown.mutant.part, "change": shown.mutant.change}
                    for shown in one.shown
                    if not (shown.by_examples or shown.alike)
                ],
                "cannot_be_shown": [
                    {"part": shown.mutant.part, "change": shown.mutant.change, "why": shown.alike}
                    for shown in one.shown
                    if shown.alike
                ],
                "to_write": [line_of(entry) for entry in written if entry.rule == one.rule],
                "files": {
                    file_of(entry): text_of(entry, ground)
                    for entry in written
                    if entry.rule == one.rule and entry.plan is not None and not entry.plan.in_notation
                },
            }
            for one in found
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
