"""What mending a file comes to, for people: each change in a sentence with its lines, and why the rest stays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import unified_diff

from dermalint.mend.clash import Clash
from dermalint.mend.mender import regimen_for
from dermalint.mend.plan import plan_of
from dermalint.mend.whole import Change, Outcome
from dermalint.mend.words import listed
from dermalint.regimen.model import ApplyStep
from dermalint.report.page import Page, tame, wrap
from dermalint.report.text_report import care, ruled
from dermalint.verdict.findings import POSSIBLE, Finding

_AROUND = 2  # lines of a difference that stay the same


def file_report(page: Page, outcome: Outcome, clashes: list[Clash], sentences: Mapping[str, str]) -> list[str]:
    """The lines on one file; ``sentences`` are the rules' own, by their full names."""
    lines: list[str] = [page.paint(tame(outcome.document.shown), "title"), *ruled(page)]
    for change in outcome.changes:
        lines += [*_change(page, change), ""]
    for finding in outcome.skipped:
        lines += [*page.note("Left", finding.message, "faint"), ""]
    for clash in clashes:
        lines += [*_clash(page, clash, sentences), ""]
    return lines


def closing(page: Page, said: str) -> list[str]:
    """The last line, and the caution."""
    return [*(page.paint(line, "title") for line in wrap(said, page.width)), "", *care(page)]


def _change(page: Page, change: Change) -> Iterator[str]:
    chosen = change.chosen
    yield from page.note(f"Change {change.number}", chosen.mend.say, "advice", "title")
    whose = f"{chosen.key[0]}: " if len(change.before.reading.regimens) > 1 else ""
    yield from page.note("for", whose + _said(change.finding))
    yield from page.note("rule", change.finding.rule, body="faint")
    for number, (letter, other) in enumerate(change.others):
        yield from page.note("or" if number == 0 else "", f"{change.number}{letter}: {other.mend.say}")
    if alone := _alone(change):
        yield from page.note("note", f"In a new routine {listed(alone)} stands alone: add what else belongs there.")
    yield page.row("")
    before, after = (document.source.text for document in (change.before, chosen.document))
    for line in difference(before, after, change.before.shown):
        yield page.row("", page.paint(tame(line), _COLOURS.get(line[:1], "faint")))


def _alone(change: Change) -> list[str]:
    """The products that a change puts into a new routine by themselves."""
    before = {row.steps for row in plan_of(regimen_for(change.before, change.chosen.key[0])).rows}
    new = (row for row in change.chosen.plan.rows if row.origin is None and len(row.steps) == 1 and row.steps not in before)
    steps = (step for row in new for step in row.steps if isinstance(step, ApplyStep))
    return list(dict.fromkeys(product.name for step in steps for product in step.products))


_COLOURS = {"+": "gain", "-": "loss", "@": "faint"}


def difference(before: str, after: str, shown: str) -> list[str]:
    """The lines of a unified difference between two texts of a file."""
    old, new = before.splitlines(), after.splitlines()
    return list(unified_diff(old, new, shown, f"{shown} (mended)", lineterm="", n=_AROUND))


def _said(finding: Finding) -> str:
    return f"Possibly: {finding.message}" if finding.certainty == POSSIBLE else finding.message


def _clash(page: Page, clash: Clash, sentences: Mapping[str, str]) -> Iterator[str]:
    finding = clash.finding
    yield from page.note("Not mended", _said(finding), finding.severity, "title")
    yield from page.note("rule", _rule(finding.rule, sentences))
    for number, rule in enumerate(clash.rules):
        yield from page.note("clashes" if number == 0 else "", _rule(rule, sentences))
    for number, (say, rule) in enumerate(clash.examples):
        yield from page.note("tried" if number == 0 else "", f"{say} Then {rule} finds fault.")
    for number, reason in enumerate(clash.reasons):
        yield from page.note("because" if number == 0 else "", reason)
    if clash.products:
        yield from page.note("steps of", ", ".join(clash.products))
    if not clash.complete:
        yield from page.note("note", "Not every change was tried: there are too many.")


def _rule(rule: str, sentences: Mapping[str, str]) -> str:
    sentence = sentences.get(rule, "")
    return f"{rule}: {sentence}" if sentence else rule


def mend_summary(changed: int, left: int, files: int, *, wrote: bool) -> str:
    """What was done, or would be, in a line."""
    changes = f"{changed} change{'' if changed == 1 else 's'}"
    parts = [f"{changes} {'written' if wrote else 'proposed'}" if changed else "Nothing to mend"]
    parts += [f"{left} finding{'' if left == 1 else 's'} for which nothing works"] if left else []
    where = f" in {files} file{'' if files == 1 else 's'}" if files else ""
    hint = "" if wrote or not changed else " To write them: the same call with --write"
    return f"{', '.join(parts)}{where}.{hint}{'.' if hint else ''}"
