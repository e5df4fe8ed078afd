"""Applications on other days, in other slots, or less often.

What is left out must take the finding away before it is worth asking where else it could go: an application in a new place
only ever adds faults.  That is asked of the finding's own rule (``Subject.gone_in``), once for each set that is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations, islice

from dermalint.mend.candidates import ALTERNATE, BOTH, DAY, FEWER, FEWER_ELSEWHERE, SLOT, Candidate, Subject
from dermalint.mend.changes import days_of, free_slot, put_in, slots_of, step_of, subsets, take_out, unevenness, used_on
from dermalint.mend.plan import WEEK, Plan, whole
from dermalint.mend.words import leave_out_on, on, when
from dermalint.regimen.model import Step
from dermalint_grammar import nodes

MOST_SETS = 130  # sets of days to leave out that are asked about, for one product in one slot
MOST_ELSEWHERE = 40  # of one set that may go, other days that are proposed
MOST_PARTED, MOST_PARTS = 4, 14  # applications of which some may go to another slot and the rest be left out
USUAL_SLOTS = ("morning", "evening")

Found = tuple[Step, tuple[Step, ...]]
"""A step and those it stands among."""


def singles(subject: Subject) -> Iterator[Candidate]:
    """One application of a product, on another day and in another slot, or left out."""
    for product, phase, slot in _places(subject):
        for day in sorted(days_of(subject.plan, product, phase, slot)):
            if subject.gone_in(take_out(subject.plan, product, phase, slot, {day})):
                yield from _single(subject, product, phase, slot, day)


def days_and_slots(subject: Subject) -> Iterator[Candidate]:
    """Several applications of a product in one slot: on other days, in another slot, or left out."""
    for product, phase, slot in _places(subject):
        days = days_of(subject.plan, product, phase, slot)
        enough = len(days)
        for off in islice(_sets(subject, product, days, phase, slot), MOST_SETS):
            if len(off) > enough and off != days:
                continue  # more is left out than is needed
            if subject.gone_in(take_out(subject.plan, product, phase, slot, off)):
                enough = min(enough, len(off) + 1)
                yield from _elsewhere(subject, product, phase, slot, off)


def _places(subject: Subject) -> Iterator[tuple[str, int, str]]:
    """The products, phases and slots in which something can be left out that takes the finding away."""
    for product in subject.movable:
        for phase in subject.phases:
            for slot in slots_of(subject.plan, product, phase):
                days = days_of(subject.plan, product, phase, slot)
                if subject.gone_in(take_out(subject.plan, product, phase, slot, days)):
                    yield product, phase, slot


def _sets(subject: Subject, product: str, days: frozenset[int], phase: int, slot: str) -> Iterator[frozenset[int]]:
    """Sets of two days and more that could be left out, the smaller ones first, of one size the evenest rest first.

    A day on which the product is at fault even where it is used on no other is left out in each of them.
    """
    cycle = subject.plan.cycles[phase]
    keepable = frozenset(day for day in days if subject.gone_in(take_out(subject.plan, product, phase, slot, days - {day})))
    surely = days - keepable
    if len(keepable) > 8:  # not every choice of so many days can be asked about
        kept = [
            keepable,
            *(keepable & frozenset(range(at, cycle + 1, step)) for step in (2, 3, 4, 7) for at in range(1, step + 1)),
        ]
        sets = dict.fromkeys(days - one for one in kept)
        yield from sorted((off for off in sets if len(off) > 1), key=lambda off: (len(off), sorted(off)))
        return
    fewest = max(2 - len(surely), too_many(subject, phase, days) - len(surely), 0)
    for size in range(fewest, len(keepable) + 1):
        sets_of_size = (surely | frozenset(more) for more in combinations(sorted(keepable), size))
        yield from sorted(sets_of_size, key=lambda off: (unevenness(days - off, cycle), sorted(off)))


def too_many(subject: Subject, phase: int, days: frozenset[int]) -> int:
    """How many days at least must go where a rule counts days, or keeps the uses of one thing apart."""
    requirement, cycle = subject.requirement, subject.plan.cycles[phase]
    most = len(days)
    if isinstance(requirement, nodes.UseCount) and requirement.counted != "times" and requirement.per == "week":
        most = requirement.number * max(cycle // WEEK, 1) // max(WEEK // cycle, 1)
    elif isinstance(requirement, nodes.SeparateUses) and not requirement.distance.by_clock:
        most = cycle // max(requirement.distance.days, 1)
    return len(days) - most


def _elsewhere(subject: Subject, product: str, phase: int, slot: str, off: frozenset[int]) -> Iterator[Candidate]:
    """What could become of the applications on these days: other days, another slot, fewer of them, or none."""
    plan = subject.plan
    days, cycle = days_of(plan, product, phase, slot), plan.cycles[phase]
    less = take_out(plan, product, phase, slot, off)
    found = step_of(plan, product, phase)
    assert found is not None
    said = when(plan, phase, off, slot)
    if days - off or len(slots_of(plan, product, phase)) > 1:
        say = f"Use {product} less often: {leave_out_on(said)}"
        say += f", so that it is used {on(when(plan, phase, days - off, slot))}." if days - off else "."
        yield Candidate(less, FEWER, say, unevenness(days - off, cycle))
    for target in possible_slots(plan, phase):
        if target == slot:
            continue
        new = off - used_on(less, product, phase)
        if new:
            say = f"Move {product} from {said} to {when(plan, phase, new, target)}."
            sort = SLOT if new == off else FEWER_ELSEWHERE
            changed = put_in(less, phase, target, new, *found)
            yield Candidate(changed, sort, say, variants=variants_of(less, phase, target, new, found))
        for part in islice(subsets(new), MOST_PARTS) if 1 < len(new) <= MOST_PARTED else ():
            if part != new:
                instead = f"{on(when(plan, phase, part, target))} instead of {said}"
                changed = put_in(less, phase, target, part, *found)
                variants = variants_of(less, phase, target, part, found)
                say = f"Use {product} less often: {instead}."
                yield Candidate(changed, FEWER_ELSEWHERE, say, unevenness(part, cycle), variants)
    if not free_slot(plan, phase, slot):
        return
    free = sorted(whole(plan, phase) - days - used_on(less, product, phase))
    for size in range(min(len(off), len(free)), 0, -1):
        sets = sorted(
            (frozenset(new) for new in combinations(free, size)), key=lambda new: unevenness((days - off) | new, cycle)
        )
        for new in sets[:MOST_ELSEWHERE]:
            wanted = (days - off) | new
            if size == len(off):
                say = f"Move {product} from {said} to {when(plan, phase, new, slot)}."
            else:
                say = f"Use {product} less often, and on other days: {on(when(plan, phase, wanted, slot))}."
            changed = put_in(less, phase, slot, new, *found)
            yield Candidate(changed, DAY if size == len(off) else FEWER_ELSEWHERE, say, unevenness(wanted, cycle))


def variants_of(plan: Plan, phase: int, slot: str, days: frozenset[int], found: Found) -> Callable[[], tuple[Plan, ...]]:
    """The moved step in each other place among the steps that it comes to."""

    def variants() -> tuple[Plan, ...]:
        here = (row for row in plan.rows if row.phase == phase and row.slot == slot and row.days and row.days & days)
        longest = max((len(row.steps) for row in here), default=0)
        return tuple(put_in(plan, phase, slot, days, found[0], found[1], place) for place in range(longest + 1))

    return variants


def possible_slots(plan: Plan, phase: int) -> list[str]:
    """The slots that a step could go to: those in use, and morning and evening."""
    used = dict.fromkeys(row.slot for row in plan.rows if row.phase == phase)
    return [slot for slot in dict.fromkeys((*used, *USUAL_SLOTS)) if free_slot(plan, phase, slot)]


def _single(subject: Subject, product: str, phase: int, slot: str, day: int) -> Iterator[Candidate]:
    plan = subject.plan
    found = step_of(plan, product, phase)
    assert found is not None
    less = take_out(plan, product, phase, slot, {day})
    said = when(plan, phase, {day}, slot)
    cycle = plan.cycles[phase]
    for target in possible_slots(plan, phase):
        taken = days_of(less, product, phase, target) | used_on(less, product, phase)
        for other in sorted(whole(plan, phase) - taken):
            if (target, other) == (slot, day):
                continue
            chosen = frozenset((other,))
            say = f"Move {product} from {said} to {when(plan, phase, chosen, target)}."
            sort = DAY if target == slot else SLOT if other == day else BOTH
            distance = min((other - day) % cycle, (day - other) % cycle)
            variants = variants_of(less, phase, target, chosen, found)
            yield Candidate(put_in(less, phase, target, chosen, *found), sort, say, distance, variants)
    rest = days_of(less, product, phase, slot)
    if rest or len(slots_of(plan, product, phase)) > 1:
        say = f"Use {product} less often: {leave_out_on(said)}"
        say += f", so that it is used {on(when(plan, phase, rest, slot))}." if rest else "."
        yield Candidate(less, FEWER, say)


def alternations(subject: Subject) -> Iterator[Candidate]:
    """Two products that share their days, taking turns: day by day, or with rest days between."""
    plan = subject.plan
    for one in subject.movable:
        for other in subject.movable:
            if one == other:
                continue
            for phase in subject.phases:
                for slot in slots_of(plan, one, phase):
                    shared = days_of(plan, one, phase, slot) & days_of(plan, other, phase, slot)
                    for apart in (1, 2, 3, 4):
                        turns = _spaced(shared, apart, plan.cycles[phase])
                        if len(turns) > 1:
                            kept = whole(plan, phase) - shared if apart == 1 else frozenset[int]()
                            yield _taking_turns(subject, one, other, phase, slot, turns, kept)


def _spaced(days: frozenset[int], apart: int, cycle: int) -> list[int]:
    """Of some days as many as keep a distance, round the cycle, too (one day apart: all of them)."""
    chosen: list[int] = []
    for day in sorted(days):
        if not chosen or (day - chosen[-1] >= apart and chosen[0] + cycle - day >= apart):
            chosen.append(day)
    return chosen


def _taking_turns(
    subject: Subject, one: str, other: str, phase: int, slot: str, turns: list[int], kept: frozenset[int]
) -> Candidate:
    """Two products on every other of these days; what they have on the days that are ``kept`` stays."""
    plan = subject.plan
    first, second = frozenset(turns[::2]), frozenset(turns[1::2])
    changed = take_out(plan, one, phase, slot, days_of(plan, one, phase, slot) - first - kept)
    changed = take_out(changed, other, phase, slot, days_of(plan, other, phase, slot) - second - kept)
    say = (
        f"Let {one} and {other} take turns: {one} {on(when(plan, phase, first, slot))}, "
        f"{other} {on(when(plan, phase, second, slot))}."
    )
    return Candidate(changed, ALTERNATE, say)


def pairs(subject: Subject) -> Iterator[Candidate]:
    """Two applications of the finding's products, each left out or in another slot of its day.

    Only where two together take the finding away and neither does alone.
    """
    plan = subject.plan
    uses = [
        (product, phase, slot, day)
        for product in subject.movable
        for phase in subject.phases
        for slot in slots_of(plan, product, phase)
        for day in sorted(days_of(plan, product, phase, slot))
    ]
    if len(uses) > MOST_USES or len(subject.finding.occurs) > MOST_FAULTS:
        return
    for one, other in combinations(uses, 2):
        if one[:3] == other[:3]:
            continue  # two days of one product in one slot are asked about elsewhere
        less = take_out(take_out(plan, *one[:3], {one[3]}), *other[:3], {other[3]})
        if subject.gone_in(less):
            yield from _both(subject, one, other)


MOST_FAULTS = 4  # places that two applications could be at fault in
MOST_USES = 12  # applications of a finding's products of which every two are asked about
_Use = tuple[str, int, str, int]


def _both(subject: Subject, one: _Use, other: _Use) -> Iterator[Candidate]:
    plan = subject.plan
    for first_plan, first_say in _ways(plan, one):
        for second_plan, second_say in _ways(first_plan, other):
            yield Candidate(second_plan, BOTH, f"{first_say} {second_say}")


def _ways(plan: Plan, use: _Use) -> Iterator[tuple[Plan, str]]:
    """An application elsewhere, or left out."""
    product, phase, slot, day = use
    found = step_of(plan, product, phase)
    if found is None:
        return
    less = take_out(plan, product, phase, slot, {day})
    said = when(plan, phase, {day}, slot)
    yield less, f"Use {product} less often: {leave_out_on(said)}."
    for target in possible_slots(plan, phase):
        for new in sorted(whole(plan, phase) - used_on(less, product, phase)):
            place = frozenset((new,))
            yield (
                put_in(less, phase, target, place, *found),
                f"Move {product} from {said} to {when(plan, phase, place, target)}.",
            )
