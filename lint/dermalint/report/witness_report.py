"""Witnesses and differences of versions, for reading and as documents for programs."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from dermalint.proof.before import NEAR, PLANS, Difference
from dermalint.proof.ground import Ground
from dermalint.proof.witness import SEARCHED, Confirmed, why_not_alone
from dermalint.report.page import Page
from dermalint.report.text_report import care


def witnesses_as_text(page: Page, found: Sequence[Confirmed], ground: Ground) -> str:
    """For each rule both files, or why there are none."""
    lines: list[str] = []
    for one in found:
        rule = one.witness.rule
        lines.append(page.paint(rule, "title"))
        lines += page.note("says", ground.sentence(ground.by_id[rule]))
        if one.witness.breaks is None:
            lines += [*page.note("not decided", f"None of {SEARCHED} plans breaks it."), ""]
            continue
        for word, text in (("breaks", one.breaks), ("holds", one.holds)):
            for number, line in enumerate(line for line in text.splitlines() if not line.startswith("#")):
                lines.append(page.row(word if number == 0 else "", line))
        if one.witness.holds is None:
            lines += page.note("not decided", "No plan one change away holds.")
        else:
            lines += page.note("the change", one.witness.change)
        if one.witness.others:
            lines += page.note("also broken", f"{', '.join(one.witness.others)}: {why_not_alone(one.witness)}.")
        if not one.well:
            lines += page.note("unsure", "Reading and judging these files again did not confirm all of this.")
        lines.append("")
    well = sum(one.well for one in found)
    alone = sum(one.well and not one.witness.others for one in found)
    said = f"{well} of {len(found)} rules have a confirmed witness, {alone} one that breaks no other rule."
    bound = sum(bool(one.witness.always) for one in found)
    if bound:
        said += f" {bound} cannot be broken without another."
    lines += page.note("", said, body="title")
    lines += ["", *care(page)]
    return page.finish(lines)


def witnesses_as_json(found: Sequence[Confirmed], version: str) -> str:
    """One document, ``dermalint-witnesses/1``."""
    document = {
        "format": "dermalint-witnesses/1",
        "tool": {"version": version},
        "witnesses": [
            {
                "rule": one.witness.rule,
                "confirmed": one.well,
                "breaks": one.breaks or None,
                "holds": one.holds or None,
                "change": one.witness.change or None,
                "others": list(one.witness.others),
                "always": list(one.witness.always),
                "as_of": one.witness.breaks.as_of.isoformat() if one.witness.breaks else None,
            }
            for one in found
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def differences_as_text(page: Page, found: Sequence[Difference]) -> str:
    """On what two versions disagree, rule by rule, within which bounds."""
    lines: list[str] = []
    for one in found:
        lines.append(page.paint(one.rule, "title"))
        lines += list(_difference(page, one))
        lines.append("")
    number = sum(one.plan is not None for one in found)
    if number:
        lines += page.note("", f"The versions disagree on {number} rule{'' if number == 1 else 's'}.", body="title")
    else:
        said = f"No difference found within bounds: {PLANS} plans a version and rule, and those one step from {NEAR} of them."
        lines += page.note("", said, body="title")
    lines += ["", *care(page)]
    return page.finish(lines)


def _difference(page: Page, one: Difference) -> Iterator[str]:
    if one.plan is None:
        yield from page.note("no difference", f"None was found among {one.judged} plans.")
        return
    yield from page.note("regimen", one.plan.written(), body="title")
    for word, said in (("before", one.before), ("after", one.after)):
        yield from page.note(word, said or "nothing is objected to")


def differences_as_json(found: Sequence[Difference], version: str) -> str:
    """One document, ``dermalint-differences/1``."""
    document: dict[str, Any] = {
        "format": "dermalint-differences/1",
        "tool": {"version": version},
        "bounds": {"plans": PLANS, "neighbours": NEAR},
        "rules": [
            {
                "rule": one.rule,
                "regimen": one.plan.written() if one.plan else None,
                "before": one.before,
                "after": one.after,
                "judged": one.judged,
            }
            for one in found
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
