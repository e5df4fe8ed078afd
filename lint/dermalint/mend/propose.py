"""Changes that might mend a finding, by what its rule requires, the smallest first.

Whether they do is for the engine to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from dermalint.mend.candidates import Candidate, Subject, in_order
from dermalint.mend.plan import Plan
from dermalint.mend.propose_companions import companions, more_often, renewals
from dermalint.mend.propose_courses import endings
from dermalint.mend.propose_cycles import cycles, rounds
from dermalint.mend.propose_days import alternations, days_and_slots, pairs, singles
from dermalint.mend.propose_order import orders, waits
from dermalint.mend.propose_skin import areas
from dermalint.mend.propose_wholly import day_turns, days_off, one_slot, phase_by_phase, whole_days
from dermalint_grammar import nodes

_Proposer = Callable[[Subject], Iterator[Candidate]]

# What leaves every application in its routine comes before what moves one, and that before what moves several.
_IN_PLACE: dict[type, tuple[_Proposer, ...]] = {
    nodes.Separate: (waits, orders, areas),
    nodes.SeparateUses: (areas,),
    nodes.ApplyChain: (orders, areas),
    nodes.ApplyEdge: (orders, areas),
    nodes.ApplyDirectly: (orders, areas),
    nodes.Wait: (waits, orders, areas),
    nodes.NeverUse: (orders, areas),
    nodes.UseCount: (more_often, areas),
    nodes.UseFor: (endings, areas),
    nodes.ExpectAround: (companions, areas),
    nodes.ExpectEvery: (companions, areas),
    nodes.Renew: (renewals,),
}
_IN_PLACE_ELSE: tuple[_Proposer, ...] = (areas,)


def propose(subject: Subject) -> Iterator[Candidate]:
    """The candidates for a finding, the smallest change first; each plan once."""
    seen: set[Plan] = set()
    kind = type(subject.requirement)
    for stage in (
        _IN_PLACE.get(kind, _IN_PLACE_ELSE),
        (singles,),
        (pairs, days_and_slots, one_slot, whole_days, days_off, day_turns, alternations, cycles),
        (phase_by_phase,),
        (rounds,),
    ):
        found = (candidate for proposer in stage for candidate in proposer(subject))
        for candidate in in_order(subject.plan, found):
            if candidate.plan not in seen:
                seen.add(candidate.plan)
                yield candidate
