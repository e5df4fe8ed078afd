"""A whole file mended: one finding after the other in a fixed order, until nothing more can be done.

Every change takes its finding away and adds none, so the findings only ever become fewer and the work ends.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from dermalint.mend.document import Document
from dermalint.mend.judging import Judges, Key, Verdict, keyed
from dermalint.mend.mender import ENOUGH, Proven, Search, search
from dermalint.verdict.findings import CERTAIN, SEVERITIES, Finding
from dermalint_grammar.record import Record

MOST_ROUNDS = 3  # times that the order is changed so that a finding which lost its proposal comes first

Wanted = Callable[[Finding], bool]
"""Whether a finding is to be mended."""


class Change(Record):
    """One change of a file: the finding it is for, what was chosen, and what else was proposed."""

    number: int
    finding: Finding
    chosen: Proven
    others: tuple[Proven, ...]
    before: Document


class Outcome(Record):
    """What came of mending a file; ``left`` are the findings for which nothing works, with what was tried."""

    document: Document
    result: Document
    changes: tuple[Change, ...]
    left: tuple[Search, ...]
    skipped: tuple[Finding, ...]
    verdict: Verdict


@dataclass(frozen=True)
class Choice:
    """What the user wants of each change: another proposal than the first (from 0), or none at all; by its number."""

    picks: Mapping[int, int] = field(default_factory=dict)
    leave: frozenset[int] = frozenset()


def everything(finding: Finding) -> bool:
    """Every finding is to be mended."""
    return bool(finding.rule)


def mend_document(
    judges: Judges, document: Document, wanted: Wanted = everything, choice: Choice | None = None, enough: int = ENOUGH
) -> Outcome:
    """Mend a document's findings, the most severe first.  The document must be sound.

    Where a change takes away the last proposal of a later finding, the later one is tried first, and the result that leaves
    fewest findings counts.
    """
    first: tuple[Key, ...] = ()
    best: Outcome | None = None
    for _ in range(MOST_ROUNDS):
        outcome = _run(judges, document, wanted, choice or Choice(), first, enough)
        if best is None or _weight(outcome) < _weight(best):
            best = outcome
        lost = tuple(found.key for found in outcome.left if _had_proposal(judges, document, found.key, enough))
        if choice is not None or not lost or not outcome.changes or set(lost) <= set(first):
            break
        first = (*lost, *first)
    assert best is not None
    return best


def _weight(outcome: Outcome) -> tuple[int, int]:
    return len(outcome.left), sum(change.chosen.gone for change in outcome.changes)


def _had_proposal(judges: Judges, document: Document, key: Key, enough: int) -> bool:
    before = judges.verdict(document.reading)
    return key in before.found and bool(search(judges, document, before, key, enough).proven)


def _run(judges: Judges, document: Document, wanted: Wanted, choice: Choice, first: tuple[Key, ...], enough: int) -> Outcome:
    current, verdict = document, judges.verdict(document.reading)
    changes: list[Change] = []
    left: dict[Key, Search] = {}
    skipped: dict[Key, Finding] = {}
    number, stale = 0, False
    while True:
        key = _next(verdict, wanted, {*left, *skipped}, first)
        if key is None and stale:
            left, stale = {}, False  # what nothing helped before may be helped now
            continue
        if key is None:
            break
        found = search(judges, current, verdict, key, enough)
        if not found.proven:
            left[key] = found
            continue
        number += 1
        if number in choice.leave:
            skipped[key] = found.finding
            continue
        at = min(choice.picks.get(number, 0), len(found.proven) - 1)
        chosen = found.proven[at]
        others = tuple(proven for proven in found.proven if proven is not chosen)
        changes.append(Change(number, found.finding, chosen, others, current))
        current, verdict, stale = chosen.document, chosen.verdict, bool(left)
    alive = dict(keyed(verdict.results))
    return Outcome(
        document,
        current,
        tuple(changes),
        tuple(found for key, found in left.items() if key in alive),
        tuple(finding for key, finding in skipped.items() if key in alive),
        verdict,
    )


def _next(verdict: Verdict, wanted: Wanted, done: set[Key], first: tuple[Key, ...]) -> Key | None:
    """The finding whose turn it is."""
    waiting = [(key, finding) for key, finding in keyed(verdict.results) if key not in done and wanted(finding)]
    if not waiting:
        return None

    def turn(entry: tuple[Key, Finding]) -> tuple[int, int, bool, int, str, Key]:
        key, finding = entry
        early = first.index(key) if key in first else len(first)
        severity = SEVERITIES.index(finding.severity)
        return early, severity, finding.certainty != CERTAIN, finding.where.start, finding.rule, key

    return min(waiting, key=turn)[0]
