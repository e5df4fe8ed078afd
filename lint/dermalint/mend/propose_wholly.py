"""Changes of a product in all its slots, and in all phases: where one slot or one phase alone does not take a finding away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace as changed
from itertools import chain, combinations, islice

from dermalint.mend.candidates import ALTERNATE, FEWER, FEWER_ELSEWHERE, Candidate, Subject, in_order
from dermalint.mend.changes import days_of, slots_of, take_out, unevenness, used_on
from dermalint.mend.plan import Plan, whole
from dermalint.mend.propose_days import days_and_slots, singles, too_many
from dermalint.mend.words import told
from dermalint_grammar.record import replace

MOST_IN_A_PHASE = 12  # candidates for one phase that are judged before the finding is given up
MOST_ASKED = 150  # candidates for one phase that are asked about
MOST_DAYS = 70  # sets of whole days that are asked about
MOST_SHARED, MOST_TURNS = 7, 12  # days of which every sharing out is weighed, and how many of these are tried
MOST_KEPT = 60  # choices of days for the one slot that a product is kept in


def one_slot(subject: Subject) -> Iterator[Candidate]:
    """A product that is used in several slots of a day, kept in one of them, on all or on fewer days."""
    for product in subject.movable:
        for phase in subject.phases:
            slots = slots_of(subject.plan, product, phase)
            if len(slots) < 2 or _one_slot_is_enough(subject, product, phase, slots):
                continue
            for kept in slots:
                plan = subject.plan
                for slot in slots:
                    if slot != kept:
                        plan = take_out(plan, product, phase, slot, days_of(plan, product, phase, slot))
                if subject.gone_in(plan):
                    yield Candidate(plan, FEWER_ELSEWHERE, told(subject.plan, plan) or "")
                    continue
                rest = changed(subject, plan=plan)
                for candidate in islice(chain(singles(rest), days_and_slots(rest)), MOST_KEPT):
                    said = told(subject.plan, candidate.plan) or candidate.say
                    yield Candidate(candidate.plan, FEWER_ELSEWHERE, said, candidate.effort, candidate.variants)


def whole_days(subject: Subject) -> Iterator[Candidate]:
    """A product that is used in several slots of a day, left out on some days altogether."""
    for product in subject.movable:
        for phase in subject.phases:
            slots = slots_of(subject.plan, product, phase)
            days = frozenset[int]().union(*(days_of(subject.plan, product, phase, slot) for slot in slots))
            if len(slots) < 2 or _one_slot_is_enough(subject, product, phase, slots):
                continue
            keepable = frozenset(day for day in days if subject.gone_in(_left_out(subject.plan, product, phase, days - {day})))
            enough = len(days)
            for off in islice(_by_size(subject, phase, days, keepable), MOST_DAYS):
                plan = _left_out(subject.plan, product, phase, off)
                if len(off) > enough:
                    break
                if subject.gone_in(plan):
                    enough = min(enough, len(off) + 1)
                    effort = unevenness(days - off, subject.plan.cycles[phase])
                    yield Candidate(plan, FEWER, told(subject.plan, plan) or "", effort)


def days_off(subject: Subject) -> Iterator[Candidate]:
    """Several products, all left out on some days, where the days on which any of them is used are too many."""
    if len(subject.movable) < 2:
        return
    plan = subject.plan
    for phase in subject.phases:
        days = frozenset[int]().union(*(used_on(plan, name, phase) for name in subject.movable))
        most = len(days)
        for off in islice(_by_size(subject, phase, days, days), MOST_DAYS):
            if len(off) > most:
                break
            less = plan
            for name in subject.movable:
                less = _left_out(less, name, phase, off)
            if subject.gone_in(less):
                most = len(off)
                yield Candidate(less, FEWER, told(plan, less) or "", unevenness(days - off, plan.cycles[phase]))


def _one_slot_is_enough(subject: Subject, product: str, phase: int, slots: list[str]) -> bool:
    """Whether leaving a product out of one slot takes the finding away."""
    return any(
        subject.gone_in(take_out(subject.plan, product, phase, slot, days_of(subject.plan, product, phase, slot)))
        for slot in slots
    )


def _by_size(subject: Subject, phase: int, days: frozenset[int], keepable: frozenset[int]) -> Iterator[frozenset[int]]:
    """Sets of days to leave out, the smaller ones first; one day at least is kept."""
    surely = days - keepable
    fewest = max(too_many(subject, phase, days) - len(surely), 1 - len(surely), 0)
    for size in range(fewest, len(keepable)):
        yield from (surely | frozenset(chosen) for chosen in combinations(sorted(keepable), size))


def day_turns(subject: Subject) -> Iterator[Candidate]:
    """Two products that are used in several slots of the same days: each day has one of them, so that the fewest uses go."""
    plan = subject.plan
    for phase in subject.phases:
        for one, other in combinations(subject.movable, 2):
            mine, others = (used_on(plan, name, phase) for name in (one, other))
            shared = sorted(mine & others)
            if len(shared) < 2 or max(len(slots_of(plan, name, phase)) for name in (one, other)) < 2:
                continue
            for off in _fewest(_uses(plan, one, phase), _uses(plan, other, phase), shared):
                less = _left_out(plan, one, phase, off)
                less = _left_out(less, other, phase, frozenset(shared) - off)
                if subject.gone_in(less):
                    yield Candidate(less, ALTERNATE, told(plan, less) or "", unevenness(mine - off, plan.cycles[phase]))


def _uses(plan: Plan, product: str, phase: int) -> Counter[int]:
    """How often a product is used on each day of a phase."""
    return Counter(day for slot in slots_of(plan, product, phase) for day in days_of(plan, product, phase, slot))


def _fewest(mine: Counter[int], others: Counter[int], shared: list[int]) -> list[frozenset[int]]:
    """Of some days those that one product leaves to another, so that few uses of both are left out: the best such sets."""
    if len(shared) > MOST_SHARED:
        return [frozenset(shared[1::2]), frozenset(shared[::2])]
    sets = (frozenset(off) for size in range(1, len(shared)) for off in combinations(shared, size))
    return sorted(sets, key=lambda off: sum(mine[day] if day in off else others[day] for day in shared))[:MOST_TURNS]


def _left_out(plan: Plan, product: str, phase: int, days: frozenset[int]) -> Plan:
    for slot in slots_of(plan, product, phase):
        plan = take_out(plan, product, phase, slot, days)
    return plan


def phase_by_phase(subject: Subject) -> Iterator[Candidate]:
    """A product of several phases changed in one after the other, each as if it were not used in those that follow."""
    if len(subject.phases) < 2:
        return
    for product in subject.movable:
        plan: Plan | None = subject.plan
        for phase in subject.phases:
            plan = None if plan is None else _mended_phase(subject, plan, product, phase)
        if plan is not None:
            yield Candidate(plan, FEWER_ELSEWHERE, told(subject.plan, plan) or "")


def _mended_phase(subject: Subject, plan: Plan, product: str, phase: int) -> Plan | None:
    """The plan with a finding gone from a phase, and nothing new; None where that is not found."""
    hidden = plan
    for later in range(phase + 1, len(plan.cycles)):
        hidden = _left_out(hidden, product, later, whole(plan, later))
    occurs = tuple(one for one in subject.finding.occurs if one.phase - 1 == phase)
    finding = replace(subject.finding, occurs=occurs, products=(product,))
    alone = changed(subject, plan=hidden, finding=finding)
    candidates = in_order(hidden, chain(singles(alone), days_and_slots(alone), one_slot(alone)))
    working = (candidate.plan for candidate in candidates[:MOST_ASKED] if alone.gone_in(candidate.plan))
    for changed_plan in islice(working, MOST_IN_A_PHASE):
        rows = [row for row in changed_plan.rows if row.phase <= phase] + [row for row in plan.rows if row.phase > phase]
        merged = replace(plan, rows=tuple(rows))
        if subject.harmless(merged):
            return merged
    return None
