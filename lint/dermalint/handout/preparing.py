"""From a reviewed regimen to the plan of its hand-out."""

from __future__ import annotations

from datetime import UTC, datetime

from dermalint.checks.asked import Asked
from dermalint.checks.judge import judge
from dermalint.handout.plan import HandOut, all_in_one_routine, plan_hand_out
from dermalint.regimen.model import Regimen
from dermalint.review import Desk
from dermalint.verdict.report_model import FileResult


def prepare(regimen: Regimen, result: FileResult, desk: Desk) -> HandOut:
    """Plan the hand-out of a regimen with its review; which products go apart is asked of the same rules."""
    as_of = desk.asked.as_of or datetime.now(UTC).date()
    together, _ = judge(desk.bench, all_in_one_routine(regimen), Asked(as_of, result.region, result.stance))
    return plan_hand_out(regimen, result.findings, together, desk.bench.world, as_of)
