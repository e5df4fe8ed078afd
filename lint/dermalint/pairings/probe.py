"""Asking the engine whether two products may be used so, by judging a regimen of nothing but these two.

The engine is the only judge: nothing here knows what a rule says.  A pair is tried in one routine in either order, then with
a wait, then in two routines of a day, then on days farther and farther apart, until no rule speaks against it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench, judge
from dermalint.pairings.model import (
    DAY,
    DAYS,
    HOURS,
    NEVER,
    ORDER,
    ROUTINE,
    TOGETHER,
    WAIT,
    Pairing,
    Reason,
    Ruling,
    Subject,
)
from dermalint.regimen.model import ApplyStep, Days, Mention, Phase, Regimen, Routine, Step, WaitStep
from dermalint.spans import Place
from dermalint.verdict.findings import CERTAIN, SEVERITIES, Finding
from dermalint_grammar.record import replace

LONGEST_WAIT = 240  # minutes that are tried between two products of one routine
FARTHEST = 31  # days that are tried between two products
NOWHERE = Place(0, 0)

Placement = tuple[tuple[int, str, tuple[Step, ...]], ...]  # (day, slot, steps)
Bad = Callable[[Placement, int], tuple[Finding, ...]]


class Prober:
    """Judges placements of two products; ``regimen`` gives the person, the clocks and the rest that is not routines."""

    def __init__(self, bench: Bench, asked: Asked, regimen: Regimen) -> None:
        self.bench = bench
        self.asked = asked
        self.regimen = regimen

    def pair(self, one: Subject, other: Subject) -> Pairing:
        """How two things may be used: surely, and where it depends on what is unknown."""
        known: dict[tuple[Placement, int], tuple[Finding, ...]] = {}

        def all_findings(placement: Placement, cycle: int) -> tuple[Finding, ...]:
            key = placement, cycle
            if key not in known:
                known[key] = self._judge(one, other, placement, cycle)
            return known[key]

        def certain(placement: Placement, cycle: int) -> tuple[Finding, ...]:
            return tuple(finding for finding in all_findings(placement, cycle) if finding.certainty == CERTAIN)

        some = _rule_on(one, other, all_findings)
        surely = _rule_on(one, other, certain)
        return Pairing(one, other, surely, None if _same(some, surely) else some)

    def _judge(self, one: Subject, other: Subject, placement: Placement, cycle: int) -> tuple[Finding, ...]:
        routines = tuple(
            Routine(Mention(slot, NOWHERE), steps, NOWHERE, Days(numbers=(day,))) for day, slot, steps in placement
        )
        keys = {one.product.key, other.product.key}
        trial = replace(
            self.regimen,
            products={one.product.key: one.product, other.product.key: other.product},
            phases=(Phase(None, cycle, routines, NOWHERE),),
            starts=None,
            events=(),
            history=None,
            waivers=(),
        )
        findings, _ = judge(self.bench, trial, self.asked)
        return tuple(finding for finding in findings if keys <= set(finding.products) and finding.suspended_by is None)


def _same(one: Ruling, other: Ruling) -> bool:
    return (one.kind, one.first, one.least) == (other.kind, other.first, other.least)


def _rule_on(one: Subject, other: Subject, bad: Bad) -> Ruling:
    """The mildest way to use two things that no finding speaks against."""
    a, b = one.step, other.step
    forth, back = bad(((1, "evening", (a, b)),), 7), bad(((1, "evening", (b, a)),), 7)
    if not forth and not back:
        return Ruling(TOGETHER)
    if not (forth and back):
        return Ruling(ORDER, first=one.name if not forth else other.name, reasons=_reasons(forth or back))
    reasons = _reasons([*forth, *back])
    return _wait(one, other, bad, reasons) or _apart(a, b, bad, reasons) or Ruling(NEVER, reasons=reasons)


def _wait(one: Subject, other: Subject, bad: Bad, reasons: tuple[Reason, ...]) -> Ruling | None:
    """One routine with a wait between, where that is enough."""

    def waiting(first: ApplyStep, second: ApplyStep, minutes: int) -> tuple[Finding, ...]:
        return bad(((1, "evening", (first, WaitStep(minutes, NOWHERE), second)),), 7)

    orders = [(one.name, one.step, other.step), (other.name, other.step, one.step)]
    enough: dict[str, int] = {}
    for name, first, second in orders:
        if waiting(first, second, LONGEST_WAIT):
            continue
        low, high = 0, LONGEST_WAIT  # too short, long enough
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if waiting(first, second, middle) else (low, middle)
        enough[name] = high
    if not enough:
        return None
    least = min(enough.values())
    soonest = [name for name, minutes in enough.items() if minutes == least]
    return Ruling(WAIT, first=soonest[0] if len(soonest) == 1 else None, least=least, reasons=reasons)


def _apart(a: ApplyStep, b: ApplyStep, bad: Bad, reasons: tuple[Reason, ...]) -> Ruling | None:
    """Two routines of a day, or days apart; None where even the farthest days are too near."""
    on_one_day = [bad(((1, "morning", (a,)), (1, "evening", (b,))), 7), bad(((1, "morning", (b,)), (1, "evening", (a,))), 7)]
    overnight = [bad(((1, "evening", (a,)), (2, "morning", (b,))), 7), bad(((1, "evening", (b,)), (2, "morning", (a,))), 7)]
    if not any(on_one_day):
        near = [finding for found in overnight for finding in found]
        return Ruling(HOURS, required=_required(near), reasons=reasons) if near else Ruling(ROUTINE, reasons=reasons)
    for days in range(1, FARTHEST + 1):
        if not bad(((1, "evening", (a,)), (days + 1, "evening", (b,))), 2 * days):
            return Ruling(DAY, reasons=reasons) if days == 1 else Ruling(DAYS, least=days, reasons=reasons)
    return None


def _required(findings: Sequence[Finding]) -> str:
    said = [finding.measured.required for finding in findings if finding.measured is not None]
    return said[0] if said else ""


def _reasons(findings: Sequence[Finding]) -> tuple[Reason, ...]:
    """Each rule once, the gravest first; certain where it is in any of the findings."""
    ordered = sorted(findings, key=lambda found: (SEVERITIES.index(found.severity), found.certainty != CERTAIN, found.rule))
    reasons: dict[str, Reason] = {}
    for found in ordered:
        reasons.setdefault(
            found.rule,
            Reason(found.rule, found.severity, found.certainty, found.message, found.why, found.sources, found.unknown),
        )
    return tuple(reasons.values())
