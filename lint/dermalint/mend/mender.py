"""Proven mends of one finding: candidates tried in order, written as text, read and reviewed again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

from dermalint.mend.candidates import SLOT, Candidate, Subject, in_order
from dermalint.mend.document import Document
from dermalint.mend.judging import Judges, Key, Verdict, check_same, edited, mends, news, planned
from dermalint.mend.plan import Plan, plan_of, regimen_of, tidy
from dermalint.mend.propose import propose
from dermalint.mend.render import render
from dermalint.mend.splices import Refused, as_edits
from dermalint.mend.words import told
from dermalint.regimen.model import Regimen
from dermalint.verdict.findings import Finding, Mend
from dermalint_grammar.record import Record, replace

MOST_TRIED = 400  # candidates of one finding that are judged by its own rule
MOST_JUDGED = 80  # of these, candidates that are judged by all rules
MOST_BLOCKERS = 6  # rules that are asked before all the others
MOST_COMPOUND = 40  # second changes that are judged for candidates which bring something new
MOST_FIRST = 6  # changes that a second one is looked for
MOST_SECOND = 40  # second changes that are looked at for each of these
MOST_GONE = 1_000  # more applications than any mend moves
ENOUGH = 3  # proposals of one finding


class Proven(Record):
    """A mend that was made and reviewed: what it does, the plan, and the document it leads to."""

    mend: Mend
    key: Key
    plan: Plan
    document: Document
    verdict: Verdict
    gone: int


class Blocked(Record):
    """A candidate that takes the finding away and brings others."""

    candidate: Candidate
    brings: tuple[Finding, ...]


@dataclass
class Search:
    """What came of looking for mends of a finding."""

    key: Key
    finding: Finding
    proven: list[Proven] = field(default_factory=list)
    blocked: list[Blocked] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    tried: int = 0
    judged: int = 0
    exhausted: bool = True  # whether every candidate was looked at
    blockers: tuple[str, ...] = ()  # rules that ruled a candidate out, the latest first: the next is asked of them first

    def remember(self, brings: tuple[Finding, ...]) -> None:
        """Keep in mind which rules ruled a candidate out."""
        names = (name for finding in brings if (name := finding.rule) != self.finding.rule)
        self.blockers = tuple(dict.fromkeys((*names, *self.blockers)))


def regimen_for(document: Document, person: str) -> Regimen:
    """The regimen of a person of the document."""
    return next(regimen for regimen in document.reading.regimens if (regimen.person_name or "") == person)


def search(
    judges: Judges, document: Document, before: Verdict, key: Key, enough: int = ENOUGH, *, alike: bool = False
) -> Search:
    """Look for mends of a finding in force, the smallest first, until there are ``enough`` of different kinds.

    With ``alike``, those that do the same with the same product on other days count, too.
    """
    finding = before.finding(key)
    assert finding is not None
    asked = document.data, key, enough, alike, frozenset(before.found.items())
    kept = judges.kept.get(asked)
    if isinstance(kept, Search):
        return kept
    found = judges.kept[asked] = Search(key, finding)
    subject = _subject(judges, document, before, key, finding, plan_of(regimen_for(document, key[0])))
    kinds: set[tuple[int, str]] = set()
    for candidate in propose(subject):
        if len(found.proven) >= enough:
            return found
        kind = _kind(candidate)
        if kind in kinds and not alike:
            continue
        if found.judged >= MOST_JUDGED:
            found.exhausted = False
            break
        if found.tried >= MOST_TRIED and not judges.knows(document, candidate.plan, key[0], finding.rule):
            found.exhausted = False
            continue  # what was left out without going elsewhere was asked about already, and costs nothing
        for proven in _prove(judges, document, before, subject, candidate, found):
            found.proven.append(proven)
            kinds.add(kind)
            break
    least = found.proven[0].gone if found.proven else MOST_GONE
    if least > 1:
        better = _compound(judges, document, before, subject, found, least)
        found.proven[:0] = better
        del found.proven[enough:]
    return found


def _subject(judges: Judges, document: Document, before: Verdict, key: Key, finding: Finding, plan: Plan) -> Subject:
    """What proposing needs: ``plan`` is the document's, or one that was changed already."""
    first = plan_of(regimen_for(document, key[0]))
    regimen = regimen_of(plan, first, regimen_for(document, key[0]))

    def gone_in(changed: Plan) -> bool:
        return key not in judges.own(document, first, tidy(changed), key[0], finding.rule).found

    def harmless(changed: Plan) -> bool:
        return not news(before, judges.verdict(planned(document, first, tidy(changed))))

    requirement = judges.rules[finding.rule].rule.requirement
    return Subject(finding, requirement, regimen, plan, judges.areas, gone_in, harmless)


def _kind(candidate: Candidate) -> tuple[int, str]:
    """Proposals worth showing beside one another differ in what is done to which product."""
    words = candidate.say.split()
    return candidate.sort, " ".join(words[:2])


def _plans(candidate: Candidate) -> Iterator[Plan]:
    """The candidate's plan, and then those with the moved step in another place."""
    yield candidate.plan
    yield from dict.fromkeys(plan for one in candidate.variants() if (plan := tidy(one)) != candidate.plan)


def _prove(
    judges: Judges, document: Document, before: Verdict, subject: Subject, candidate: Candidate, found: Search
) -> Iterator[Proven]:
    """The candidate as a proven mend; in another place among its neighbours where it fails in this one."""
    for number, plan in enumerate(_plans(candidate)):
        found.tried += 1
        meant = planned(document, subject.plan, plan)
        blockers = found.blockers[:MOST_BLOCKERS]
        after = judges.own(document, subject.plan, plan, found.key[0], found.finding.rule)
        if found.key not in after.found and not news(before, after) and blockers:
            after = judges.in_part(meant, found.key[0], blockers)
        if found.key in after.found:
            if number == 0:
                return  # where it stands among its neighbours does not matter then
            continue
        if not news(before, after):
            found.judged += 1
            after = judges.verdict(meant)
        if not mends(before, after, found.key):
            brings = tuple(finding for key in news(before, after) if (finding := after.finding(key)) is not None)
            found.remember(brings)
            found.blocked.append(Blocked(replace(candidate, plan=plan, variants=tuple), brings))
            if not any(judges.is_about_order(finding) for finding in brings):
                return
            continue
        try:
            yield written(
                judges,
                document,
                before,
                subject.plan,
                Candidate(plan, candidate.sort, candidate.say, gone=candidate.gone),
                found.key,
            )
        except Refused as reason:
            found.refused.append(f"{candidate.say} That cannot be written: {reason}.")
        return


def written(judges: Judges, document: Document, before: Verdict, old: Plan, candidate: Candidate, key: Key) -> Proven:
    """A candidate as text, read again and reviewed.

    Raises :class:`Refused` where the text does not allow it, or does not hold what the plan promised.
    """
    splices = render(document, old, candidate.plan)
    new = edited(document, splices)
    check_same(new, planned(document, old, candidate.plan))
    after = judges.verdict(new.reading)
    if not mends(before, after, key):
        raise Refused("read again, the changed text does not mend it")
    mend = Mend(candidate.say, as_edits(document.source, splices))
    return Proven(mend, key, candidate.plan, new, after, candidate.gone)


def _compound(judges: Judges, document: Document, before: Verdict, subject: Subject, found: Search, least: int) -> list[Proven]:
    """A mend of two changes, one that brings something new and one that mends that, which moves fewer than ``least``."""
    budget = MOST_COMPOUND
    best: Candidate | None = None
    order = sorted(found.blocked, key=lambda blocked: (blocked.candidate.gone, len(blocked.brings)))
    for blocked in [blocked for blocked in order if blocked.brings and blocked.candidate.gone < least][:MOST_FIRST]:
        trouble = blocked.brings[0]
        second_key = (found.key[0], trouble.id)
        second = _subject(judges, document, before, second_key, trouble, blocked.candidate.plan)
        for candidate in islice(propose(second), MOST_SECOND):
            if budget <= 0 or candidate.gone + blocked.candidate.gone >= 2 * least:
                break
            (both,) = in_order(subject.plan, [Candidate(candidate.plan, candidate.sort, "")]) or (None,)
            if both is None or both.gone >= least:
                continue
            changed = planned(document, subject.plan, both.plan)
            rules = (found.finding.rule, trouble.rule)
            after = judges.in_part(changed, found.key[0], rules)
            if found.key in after.found or second_key in after.found:
                continue
            budget -= 1
            if mends(before, judges.verdict(changed), found.key):
                best, least = replace(both, say=_both_said(subject.plan, blocked.candidate, candidate)), both.gone
                break
    if best is None:
        return []
    try:
        return [written(judges, document, before, subject.plan, best, found.key)]
    except Refused as reason:
        found.refused.append(f"{best.say} That cannot be written: {reason}.")
        return []


def _both_said(plan: Plan, first: Candidate, second: Candidate) -> str:
    """Two changes in words: what they come to, where both are of days and slots."""
    if min(first.sort, second.sort) >= SLOT and (said := told(plan, second.plan)):
        return said
    return f"{first.say} {second.say}"
