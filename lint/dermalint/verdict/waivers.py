"""Waivers: which findings somebody accepted, and which waivers are of no use (any more)."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date

from dermalint.regimen.model import HINT, Problem, Waiver
from dermalint.spans import Place
from dermalint.verdict.findings import Finding, Waived
from dermalint.vocabulary.world import nearest
from dermalint_grammar.record import replace


def waive(
    findings: Iterable[Finding], waivers: Sequence[Waiver], as_of: date
) -> tuple[tuple[Finding, ...], frozenset[Place]]:
    """The findings, marked where a waiver accepts them (the first that does), and the places of all that accept some."""
    valid = [waiver for waiver in waivers if not _expired(waiver, as_of)]
    if not valid:
        return tuple(findings), frozenset()
    marked: list[Finding] = []
    useful: set[Place] = set()
    for finding in findings:
        fitting = [waiver for waiver in valid if _fits(waiver, finding)]
        useful.update(waiver.place for waiver in fitting)
        if fitting:
            first = fitting[0]
            until = first.until.isoformat() if first.until else None
            finding = replace(finding, waived=Waived(first.reason, first.by, until))
        marked.append(finding)
    return tuple(marked), frozenset(useful)


def check_waivers(
    waivers: Sequence[Waiver], as_of: date, useful: Collection[Place], in_force: Collection[str], known: Collection[str]
) -> list[Problem]:
    """Hints about waivers that have expired, name no rule, or accept nothing.

    ``useful`` are the places of those that accept something (for anybody in the file); ``in_force`` are the rules that were
    judged, ``known`` all that the packs have: where rules were left out, a waiver that needs one of them is not blamed.
    """
    problems: list[Problem] = []
    for waiver in waivers:
        if _expired(waiver, as_of):
            assert waiver.until is not None
            message = f"This waiver was valid until {waiver.until.isoformat()} and is no longer applied."
            problems.append(Problem(HINT, message, "Renew it with a new reason and date, or remove it.", waiver.place))
        elif waiver.rule is not None and waiver.rule not in known:
            close = nearest(waiver.rule, frozenset(known))
            suggestion = f"Did you mean `{close}`?" if close else "`dermalint rules` lists all rules."
            problems.append(Problem(HINT, f"No rule in force is called `{waiver.rule}`.", suggestion, waiver.place))
        elif waiver.place not in useful and (waiver.rule in in_force if waiver.rule else len(in_force) == len(known)):
            message = "This waiver accepts nothing: no finding fits it."
            suggestion = "Remove it, or correct its rule, topics or products."
            problems.append(Problem(HINT, message, suggestion, waiver.place))
    return problems


def _expired(waiver: Waiver, as_of: date) -> bool:
    return waiver.until is not None and waiver.until < as_of


def _fits(waiver: Waiver, finding: Finding) -> bool:
    named = {mention.name for mention in waiver.products}
    ruled = waiver.rule is None or waiver.rule == finding.rule
    topical = not waiver.topics or finding.topic in waiver.topics
    return ruled and topical and bool(waiver.rule or waiver.topics) and (not named or bool(named & set(finding.products)))
