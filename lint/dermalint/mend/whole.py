"""A whole file mended: one finding after the other in a fixed order, until nothing more can be done.

Every change takes its finding away and adds none, so the findings only ever become fewer and the work ends.  None becomes
more frequent than it was in the file at first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from dermalint.mend.document import Document
from dermalint.mend.judging import Judges, Key, Verdict, as_at_first, keyed
from dermalint.mend.mender import ENOUGH, Proven, Search, search
from dermalint.verdict.findings import CERTAIN, SEVERITIES, Finding
from dermalint_grammar.record import Record

MOST_ALIKE = 8  # proposals of one finding that are tried where findings take each other's away
MOST_STATES = 40  # states of a file that are looked at then
MOST_ROUNDS = 3  # times that the order is changed so that a finding which lost its proposal comes first

Wanted = Callable[[Finding], bool]
"""Whether a finding is to be mended."""


class Change(Record):
    """One change of a file: the finding it is for, what was chosen, and by their letters what else was proposed."""

    number: int
    finding: Finding
    chosen: Proven
    others: tuple[tuple[str, Proven], ...]
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


class NoSuchChoice(Exception):
    """A change or a proposal was chosen that a file does not have; the message says which there are."""


def everything(finding: Finding) -> bool:
    """Every finding is to be mended."""
    return bool(finding.rule)


def mend_document(
    judges: Judges, document: Document, wanted: Wanted = everything, choice: Choice | None = None, enough: int = ENOUGH
) -> Outcome:
    """Mend a document's findings, the most severe first.  The document must be sound.

    Where a change takes away the last proposal of a later finding, the later one is tried first; where that takes away
    another's, further proposals of all of them are tried together.  Of these the result that leaves fewest findings counts.
    Raises :class:`NoSuchChoice`.
    """
    way = _Way()
    best = _run(judges, document, wanted, Choice(), way, enough)
    lost = _lost(judges, document, best, enough)
    first: tuple[Key, ...] = ()
    for _ in range(MOST_ROUNDS - 1):
        if not lost or set(lost) <= set(first):
            break
        first = (*lost, *first)
        outcome = _run(judges, document, wanted, Choice(), _Way(first), enough)
        lost = _lost(judges, document, outcome, enough)
        if _weight(outcome) < _weight(best):
            best, way = outcome, _Way(first)
    lost = _lost(judges, document, best, enough)
    tied: dict[Key, None] = {}
    for _ in range(MOST_ROUNDS):
        tied.update(dict.fromkeys((*lost, *_takers(judges, best, lost))))
        script = together(judges, document, tuple(tied)) if lost else None
        if script is None:
            break
        outcome = _run(judges, document, wanted, Choice(), _Way((), script), enough)
        lost = _lost(judges, document, outcome, enough)
        if _weight(outcome) < _weight(best):
            best, way = outcome, _Way((), script)
    return best if choice is None else _run(judges, document, wanted, choice, way, enough)


class _Way(Record):
    """How a file is mended: which findings come first, or what is done to them one after the other."""

    first: tuple[Key, ...] = ()
    script: tuple[Proven, ...] = ()


def _lost(judges: Judges, document: Document, outcome: Outcome, enough: int) -> tuple[Key, ...]:
    """The findings that are left and had a proposal before anything was changed."""
    if not outcome.changes:
        return ()
    return tuple(found.key for found in outcome.left if _had_proposal(judges, document, found.key, enough))


def _weight(outcome: Outcome) -> tuple[int, int]:
    return len(outcome.left), sum(change.chosen.gone for change in outcome.changes)


def _takers(judges: Judges, outcome: Outcome, lost: tuple[Key, ...]) -> Iterator[Key]:
    """The findings whose changes took the last proposal of a lost one."""
    for change in outcome.changes:
        for key in lost:
            if _had_proposal(judges, change.before, key, 1) and not _had_proposal(judges, change.chosen.document, key, 1):
                yield change.chosen.key


def together(judges: Judges, document: Document, keys: tuple[Key, ...]) -> tuple[Proven, ...] | None:
    """Changes, one after the other, that take all of these findings away; None where they are not found.

    Every order and every proposal is tried, within bounds; a change after which another of the findings has no proposal is
    given up at once.
    """
    looked: set[bytes] = set()
    first = judges.verdict(document.reading)

    def go(current: Document, verdict: Verdict, made: tuple[Proven, ...]) -> tuple[Proven, ...] | None:
        looked.add(current.data)
        alive = [key for key in keys if key in verdict.found]
        if not all(search(judges, current, verdict, key, 1).proven for key in alive):
            return None
        for key in alive:
            for proven in search(judges, current, verdict, key, MOST_ALIKE, alike=True).proven:
                if proven.document.data not in looked and len(looked) < MOST_STATES:
                    series = go(proven.document, as_at_first(first, proven.verdict), (*made, proven))
                    if series is not None:
                        return series
        return None if alive else made

    return go(document, first, ())


def _had_proposal(judges: Judges, document: Document, key: Key, enough: int) -> bool:
    before = judges.verdict(document.reading)
    return key in before.found and bool(search(judges, document, before, key, enough).proven)


def _run(judges: Judges, document: Document, wanted: Wanted, choice: Choice, way: _Way, enough: int) -> Outcome:
    """Mend one finding after the other in a way; a choice that leaves its script ends the script."""
    first = judges.verdict(document.reading)
    current, verdict = document, first
    changes: list[Change] = []
    left: dict[Key, Search] = {}
    skipped: dict[Key, Finding] = {}
    number, stale = 0, False
    script = list(way.script)
    while True:
        told = script.pop(0) if script else None
        key = told.key if told else _next(verdict, wanted, {*left, *skipped}, way.first)
        if key is None and stale:
            left, stale = {}, False  # what nothing helped before may be helped now
            continue
        if key is None:
            break
        found = search(judges, current, verdict, key, enough)
        proven = found.proven
        if told is not None:
            proven = [told, *(other for other in proven if other.plan != told.plan)][:enough]
        if not proven:
            left[key] = found
            continue
        number += 1
        if number in choice.leave:
            skipped[key] = found.finding
            script.clear()
            continue
        at = choice.picks.get(number, 0)
        letters = [chr(ord("a") + place) for place in range(len(proven))]
        if at >= len(proven):
            if len(proven) == 1:
                raise NoSuchChoice(f"For change {number} there is no other proposal.")
            raise NoSuchChoice(f"Change {number} has the proposals {', '.join(f'{number}{letter}' for letter in letters)}.")
        chosen = proven[at]
        if at:
            script.clear()
        others = tuple((letter, one) for letter, one in zip(letters, proven, strict=True) if one is not chosen)
        changes.append(Change(number, found.finding, chosen, others, current))
        current, verdict, stale = chosen.document, as_at_first(first, chosen.verdict), bool(left)
    for missed in sorted({*choice.picks, *choice.leave}):
        if missed > number:
            last = f"the last one is {number}." if number else "nothing changes."
            raise NoSuchChoice(f"There is no change {missed}: {last}")
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
