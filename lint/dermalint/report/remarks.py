"""What every report for people says of a finding, whatever it is written on: the order of causes, the words for parts of it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from dermalint.report.days import date_in_words
from dermalint.report.quotes import ALSO, HERE, Mark
from dermalint.verdict.findings import POSSIBLE, SEVERITIES, Finding, Measured
from dermalint.verdict.report_model import FileResult

CARE = (
    "For education, no medical advice. If it burns, swells or blisters: stop and rinse. Ask a dermatologist, pharmacist or "
    "midwife before changing a prescription, in pregnancy, for a child, or for a reaction that lasts. Follow the product's own "
    "label and local law."
)


def causes(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one cause together, the most severe first, both inside a cause and among causes."""

    def weight(finding: Finding) -> tuple[int, bool, bool, int, str]:
        place = finding.where
        return (
            SEVERITIES.index(finding.severity),
            finding.certainty == POSSIBLE,
            place.path is not None,
            place.start,
            finding.rule,
        )

    ordered = sorted(findings, key=weight)
    rank: dict[str, int] = {}
    for finding in ordered:
        rank.setdefault(finding.group, len(rank))
    ordered.sort(key=lambda finding: rank[finding.group])
    return [list(together) for _, together in groupby(ordered, key=lambda finding: finding.group)]


def marks_of(finding: Finding) -> list[Mark]:
    """The finding's own place and the related ones; notes on one and the same place are said in one line."""
    notes: dict[tuple[int, int, str | None], list[str]] = {}
    places = {(finding.where.start, finding.where.end, finding.where.path): finding.where}
    for related in finding.related:
        key = (related.place.start, related.place.end, related.place.path)
        places.setdefault(key, related.place)
        notes.setdefault(key, []).append(related.note)
    marks = []
    for number, (key, place) in enumerate(places.items()):
        note = "; ".join(dict.fromkeys(note for note in notes.get(key, []) if note))
        marks.append(Mark(place, ALSO if number else HERE, note))
    return marks


def counted_as(finding: Finding) -> str:
    """``night-cream (retinol 0.3 %) as retinoid``: each product once, with all that it counted as."""
    counted: dict[str, dict[str, None]] = {}
    for match in finding.matched:
        through = f" ({match.through})" if match.through and match.through != match.term else ""
        counted.setdefault(match.product + through, {})[match.term] = None
    return "; ".join(f"{product} as {' and as '.join(terms)}" for product, terms in counted.items())


def measured_against(measured: Measured, possible: bool) -> tuple[str, str]:
    """What was measured against what is needed, behind the word that stands before it."""
    if measured.value is not None:
        return "measured", f"{measured.quantity} {amount(measured.value, measured.unit)}; needed: {measured.required}"
    if possible:
        return "measured", f"{measured.quantity} not known; needed: {measured.required}"
    return "needed", measured.required


def amount(value: float, unit: str) -> str:
    """A number with its unit: minutes as hours and minutes from an hour on, ``1 day`` but ``2 days``."""
    if unit == "min" and value >= 60 and value == int(value):
        hours, minutes = divmod(int(value), 60)
        return f"{hours} h" + (f" {minutes} min" if minutes else "")
    if value == 1:
        first, *rest = unit.split(" ")
        unit = " ".join([first.removesuffix("s"), *rest])
    return f"{value:.10g} {unit}".rstrip()


def set_aside(finding: Finding, result: FileResult) -> str:
    """Why a waived or suspended finding does not count, and where it is."""
    about = f"{finding.rule}" + (f" ({', '.join(finding.products)})" if finding.products else "")
    source = result.sources.get(finding.where.path or result.path)
    place = f", line {source.position(finding.where.start).line}" if source else ""
    place += f" of {finding.where.path}" if finding.where.path and finding.where.path != result.path else ""
    if finding.suspended_by is not None:
        return f"Suspended by {finding.suspended_by}: {about}{place}."
    waived = finding.waived
    if waived is None:
        return f"{about}{place}."
    if waived.known:
        return f"Known before: {about}{place}."
    by = f" ({waived.by})" if waived.by else ""
    until = f", until {date_in_words(waived.until)}" if waived.until else ""
    return f"Waived: {about}{place}. “{waived.reason}”{by}{until}."


def sentence(phrase: str) -> str:
    """A phrase as a sentence."""
    return phrase[:1].upper() + phrase[1:] + "."
