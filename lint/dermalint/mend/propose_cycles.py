"""Fixed weekdays turned into every second night, and a product used every second or third time that a cycle comes round."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.mend.candidates import CYCLE, Candidate, Subject
from dermalint.mend.changes import contains, slots_of, take_out
from dermalint.mend.plan import WEEK, Plan, Row, whole
from dermalint.mend.words import listed
from dermalint_grammar.record import replace

FORTNIGHT = 2 * WEEK
ROUNDS = ((2, "second"), (3, "third"))
FEWEST, MOST = 3, 5  # days a week that "every second night" can stand for


def cycles(subject: Subject) -> Iterator[Candidate]:
    """A week in which a product is used on some days, as a cycle of two days, or of fourteen where other days matter."""
    for product in subject.movable:
        for phase in subject.phases:
            for slot in slots_of(subject.plan, product, phase):
                yield from _every_second(subject.plan, product, phase, slot)


def _every_second(plan: Plan, product: str, phase: int, slot: str) -> Iterator[Candidate]:
    every = whole(plan, phase)
    rows = [row for row in plan.rows if row.phase == phase]
    if plan.cycles[phase] != WEEK or any(row.days is None for row in rows):
        return
    own = [row for row in rows if row.slot == slot and contains(row, product)]
    resting = [row for row in rows if row.slot == slot and not contains(row, product) and row.days != every]
    days = frozenset[int]().union(*(row.days or frozenset() for row in own))
    if len(own) != 1 or len(resting) > 1 or not FEWEST <= len(days) <= MOST:
        return
    others = [row for row in rows if row not in own and row not in resting]
    if all(row.days == every for row in others):
        say = f"Use {product} every second {slot}: a cycle of 2 days instead of fixed weekdays."
        yield Candidate(_turned(plan, phase, 2, own, resting, others), CYCLE, say)
    else:
        say = f"Use {product} every second {slot}: a cycle of 14 days, in which the other routines keep their weekdays."
        yield Candidate(_turned(plan, phase, FORTNIGHT, own, resting, others), CYCLE, say, 1)


def _turned(plan: Plan, phase: int, cycle: int, own: list[Row], resting: list[Row], others: list[Row]) -> Plan:
    every = frozenset(range(1, cycle + 1))
    turns = frozenset(range(1, cycle + 1, 2))
    rows: list[Row] = []
    for row in plan.rows:
        if row in own:
            rows.append(replace(row, days=turns))
        elif row in resting:
            rows.append(replace(row, days=every - turns))
        elif row in others:
            assert row.days is not None
            rows.append(replace(row, days=every & frozenset(day + turn for day in row.days for turn in range(0, cycle, WEEK))))
        else:
            rows.append(row)
    lengths = tuple(cycle if number == phase else length for number, length in enumerate(plan.cycles))
    return replace(plan, rows=tuple(rows), cycles=lengths)


def rounds(subject: Subject) -> Iterator[Candidate]:
    """A cycle that comes round twice or three times in a longer one, in which a product is used in the first round alone.

    Where a cycle is too short for what it holds, this gives nothing up for good, and all else stays on its days.
    """
    plan = subject.plan
    for phase in subject.phases:
        cycle = plan.cycles[phase]
        if any(row.days is None for row in plan.rows if row.phase == phase):
            continue
        for times, word in ROUNDS:
            if cycle * times <= FORTNIGHT:
                yield from _rounds(subject, phase, times, word)


def _rounds(subject: Subject, phase: int, times: int, word: str) -> Iterator[Candidate]:
    cycle = subject.plan.cycles[phase]
    length = cycle * times
    longer = _repeated(subject.plan, phase, length)
    later = range(cycle + 1, length + 1)
    for names in dict.fromkeys([*((name,) for name in subject.movable), subject.movable]):
        changed = longer
        for name in names:
            for slot in slots_of(longer, name, phase):
                changed = take_out(changed, name, phase, slot, later)
        if names and subject.gone_in(changed):
            rest = f"day {length}" if len(later) == 1 else f"days {cycle + 1} to {length}"
            it = "it" if len(names) == 1 else "them"
            turn = "week" if cycle == WEEK else "time round"
            say = f"Use {listed(names)} every {word} {turn}: a cycle of {length} days instead of {cycle}, "
            yield Candidate(changed, CYCLE, f"{say}without {it} on {rest}.", length * len(names))


def _repeated(plan: Plan, phase: int, length: int) -> Plan:
    cycle = plan.cycles[phase]
    rows = tuple(
        replace(row, days=frozenset(day + turn for day in row.days for turn in range(0, length, cycle)))
        if row.phase == phase and row.days is not None
        else row
        for row in plan.rows
    )
    lengths = tuple(length if number == phase else one for number, one in enumerate(plan.cycles))
    return replace(plan, rows=rows, cycles=lengths)
