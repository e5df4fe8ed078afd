"""The grid of what goes together, for reading and for programs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from typing import Any

from dermalint.checks.explain import minutes_text
from dermalint.pairings.model import DAY, DAYS, HOURS, NEVER, ORDER, ROUTINE, TOGETHER, WAIT, Grid, Pairing, Reason, Ruling
from dermalint.report.days import date_in_words, listed
from dermalint.report.page import Page, wrap
from dermalint.report.text_report import care, ruled
from dermalint.spans import cells
from dermalint.verdict.findings import CERTAIN, SEVERITIES
from dermalint_grammar.record import Record

FORMAT = "dermalint-pairings/1"
MARKS = {TOGETHER: "·", WAIT: "w", ROUTINE: "r", HOURS: "h", DAY: "d", DAYS: "n", NEVER: "x"}
LEGEND = (
    ("·", "no rule between them"),
    (">", "row before column"),
    ("<", "row after column"),
    ("w", "wait between"),
    ("r", "another routine"),
    ("h", "hours apart"),
    ("d", "another day"),
    ("n", "days apart"),
    ("x", "not in one regimen"),
    ("?", "for some of them"),
)


class Setting(Record):
    """What the grid was judged by, as a report says it."""

    version: str
    packs: tuple[tuple[str, str], ...]
    as_of: str
    stance: str
    region: str | None


def said(ruling: Ruling, pairing: Pairing) -> str:
    """A ruling in words."""
    titles = {pairing.one.name: pairing.one.title, pairing.other.name: pairing.other.title}
    first = titles.get(ruling.first or "", "")
    match ruling.kind:
        case "order":
            second = next(title for name, title in titles.items() if name != ruling.first)
            return f"in one routine, {first} before {second}"
        case "wait":
            return f"in one routine with {minutes_text(ruling.least or 0)} between" + (f", {first} first" if first else "")
        case "routine":
            return "in different routines"
        case "hours":
            return f"in different routines, at least {ruling.required} apart"
        case "day":
            return "on different days"
        case "days":
            return f"at least {ruling.least} days apart"
        case "never":
            return "not in one regimen"
    return "no rule between them"


def mark(pairing: Pairing, row: str) -> str:
    """The sign of a pair in the grid, as its row sees it: ``r``, ``r?`` where only some must be apart."""
    ruling = pairing.some if pairing.ruling.kind == TOGETHER and pairing.some else pairing.ruling
    sign = (">" if ruling.first == row else "<") if ruling.kind == ORDER else MARKS[ruling.kind]
    return sign + ("?" if pairing.some else "")


def depends_on(reasons: Sequence[Reason]) -> str:
    """What is unknown, in words that name no stand-in."""
    unknown = dict.fromkeys(text for reason in reasons for text in reason.unknown)
    plain = [re.sub(r"^(the strength of .+?|the pH) (?:in|of) \S+$", r"\1", text) for text in unknown]
    return listed(list(dict.fromkeys(re.sub(r"^which (.+) is in \S+$", r"which \1 it is", text) for text in plain)))


def kept_apart(grid: Grid) -> list[Pairing]:
    """The pairs that a rule says anything about."""
    return [pairing for pairing in grid.pairings if pairing.ruling.kind != TOGETHER or pairing.some]


def gravest(pairing: Pairing) -> str:
    """The gravest severity among a pair's reasons."""
    reasons = (*pairing.ruling.reasons, *(pairing.some.reasons if pairing.some else ()))
    return min((reason.severity for reason in reasons), key=SEVERITIES.index, default="advice")


def as_text(page: Page, grid: Grid, setting: Setting) -> str:
    """The grid where the page is wide enough, then each pair that a rule speaks of, with its reasons."""
    lines = [page.paint(line, "title") for line in wrap(title_of(grid), page.width)]
    lines += [*ruled(page, _judged(setting)), ""]
    lines += _signs(page, grid)
    pairs = kept_apart(grid)
    for pairing in pairs:
        lines += [*_pair(page, pairing, names_products=grid.regimen is not None), ""]
    rest = len(grid.pairings) - len(pairs)
    between = f"{len(pairs)} of {len(grid.pairings)} pairs have a rule between them" if grid.pairings else "There is no pair"
    silent = " Where no rule speaks, none was written: that is no promise." if rest else ""
    lines += [page.paint(line, "title") for line in wrap(f"{between}.{silent}", page.width)]
    return page.finish([*lines, "", *care(page)])


def title_of(grid: Grid) -> str:
    """What the grid is of."""
    return f"Pairings in {grid.regimen.title}" if grid.regimen is not None else "Pairings of substances and families"


def _judged(setting: Setting) -> str:
    asked = [*([f"region {setting.region}"] if setting.region else []), f"{setting.stance} stance"]
    return " · ".join([f"{len(setting.packs)} rule packs", *asked, f"as of {date_in_words(setting.as_of)}"])


def _signs(page: Page, grid: Grid) -> Iterator[str]:
    subjects = grid.subjects
    widest = max((cells(subject.title) for subject in subjects), default=0)
    if not subjects or widest + 4 + 3 * len(subjects) > page.width:
        return  # the list below says it all
    by_pair = {frozenset((pairing.one.name, pairing.other.name)): pairing for pairing in grid.pairings}
    yield " " * (widest + 4) + "".join(f"{number:>3}" for number in range(1, len(subjects) + 1))
    for number, row in enumerate(subjects, start=1):
        shown = ""
        for column in subjects:
            pairing = by_pair.get(frozenset((row.name, column.name)))
            shown += f" {mark(pairing, row.name):<2}" if pairing is not None and column is not row else "   "
        yield f"{number:>2} {row.title}{' ' * (widest - cells(row.title))} {shown}".rstrip()
    yield ""
    legend = "; ".join(f"{sign} {meant}" for sign, meant in LEGEND) + "."
    yield from (page.paint(line, "faint") for line in wrap(legend, page.width))
    yield ""


def _pair(page: Page, pairing: Pairing, *, names_products: bool) -> Iterator[str]:
    grave = gravest(pairing)
    heading = f"{pairing.one.title} and {pairing.other.title}"
    ruling, some = pairing.ruling, pairing.some
    if ruling.kind != TOGETHER:
        yield from page.note(grave.capitalize(), f"{heading}: {said(ruling, pairing)}.", grave, "title")
        yield from _reasons(page, ruling.reasons)
        heading = "Some of them" if not names_products else "Perhaps"
    if some is not None:
        unknown = depends_on([reason for reason in some.reasons if reason.certainty != CERTAIN])
        label = grave.capitalize() if ruling.kind == TOGETHER else ""
        yield from page.note(label, f"{heading}: perhaps {said(some, pairing)}.", grave, "title")
        if unknown:
            yield from page.note("unknown", f"This depends on {unknown}.")
        yield from _reasons(page, [reason for reason in some.reasons if reason not in ruling.reasons])


def _reasons(page: Page, reasons: Sequence[Reason]) -> Iterator[str]:
    for reason in reasons:
        yield from page.note("why", reason.why)
        yield from page.note("rule", reason.rule, body="faint")


def as_json(grid: Grid, setting: Setting) -> str:
    """One document, ``dermalint-pairings/1``."""
    document = {
        "format": FORMAT,
        "tool": {"version": setting.version},
        "packs": [{"name": name, "version": version} for name, version in setting.packs],
        "asked": {"region": setting.region, "stance": setting.stance, "as_of": setting.as_of},
        "regimen": grid.regimen.title if grid.regimen is not None else None,
        "subjects": [{"name": subject.name, "title": subject.title} for subject in grid.subjects],
        "pairings": [
            {
                "one": pairing.one.name,
                "other": pairing.other.name,
                "ruling": _as_data(pairing.ruling),
                "some": None if pairing.some is None else _as_data(pairing.some),
            }
            for pairing in grid.pairings
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def _as_data(ruling: Ruling) -> dict[str, Any]:
    unit = {WAIT: "min", DAYS: "days"}.get(ruling.kind)
    return {
        "kind": ruling.kind,
        "first": ruling.first,
        "least": None if unit is None else {"value": ruling.least, "unit": unit},
        "required": ruling.required or None,
        "reasons": [
            {
                "rule": reason.rule,
                "severity": reason.severity,
                "certainty": reason.certainty,
                "why": reason.why,
                "sources": list(reason.sources),
                "unknown": list(reason.unknown),
            }
            for reason in ruling.reasons
        ],
    }
