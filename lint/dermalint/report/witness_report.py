"""Witnesses, coverage, missing examples and differences of versions, for reading and as documents for programs."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from dermalint.proof.before import NEAR, PLANS, Difference
from dermalint.proof.coverage import Coverage, Missing, line_of
from dermalint.proof.ground import Ground
from dermalint.proof.mutants import BOUNDARY, CLAUSE
from dermalint.proof.witness import SEARCHED, Confirmed
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
            lines += page.note("also broken", ", ".join(one.witness.others))
        if not one.well:
            lines += page.note("unsure", "Reading and judging these files again did not confirm all of this.")
        lines.append("")
    well = sum(one.well for one in found)
    alone = sum(one.well and not one.witness.others for one in found)
    lines += page.note(
        "", f"{well} of {len(found)} rules have a confirmed witness, {alone} one that breaks no other rule.", body="title"
    )
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
                "as_of": one.witness.breaks.as_of.isoformat() if one.witness.breaks else None,
            }
            for one in found
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def coverage_as_text(page: Page, found: Sequence[Coverage], missing: Sequence[Missing]) -> str:
    """What examples do not show, rule by rule, and lines that would show it."""
    lines: list[str] = []
    for one in found:
        unshown = [shown.mutant for shown in one.shown if not shown.by_examples]
        mine = [entry for entry in missing if entry.rule == one.rule]
        if not unshown:
            continue
        lines.append(page.paint(one.rule, "title"))
        for mutant in unshown:
            lines += page.note(mutant.sort, f"No example tells it from the rule with {mutant.part}: {mutant.change}.")
        for entry in mine:
            if entry.plan is None:
                lines += page.note(
                    "not found", f"No example within the bounds shows {entry.mutant.part}: {entry.mutant.change}."
                )
            else:
                lines += page.note("to write", line_of(entry), body="title")
        lines.append("")
    for sort, word in (
        (BOUNDARY, "boundaries (a step to either side counts as one each)"),
        (CLAUSE, "clauses and parts of terms"),
    ):
        pairs = [one.of(sort) for one in found]
        shown, number = sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)
        share = 100 * shown // number if number else 100
        lines += page.note("", f"Examples show {shown} of {number} {word}: {share} %.", body="title")
    lines += ["", *care(page)]
    return page.finish(lines)


def coverage_as_json(found: Sequence[Coverage], missing: Sequence[Missing], version: str) -> str:
    """One document, ``dermalint-coverage/1``."""
    document = {
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
                    if not shown.by_examples
                ],
                "to_write": [line_of(entry) for entry in missing if entry.rule == one.rule and entry.plan is not None],
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
