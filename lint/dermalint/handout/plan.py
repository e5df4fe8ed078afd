"""What a hand-out says, free of any language and any markup: the regimen laid out, with what the rules found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from math import lcm

from dermalint.handout.patch_tests import PatchTest, plan_tests
from dermalint.handout.turns import Turn, shortest_turn
from dermalint.regimen.model import ApplyStep, Mention, Product, Regimen, Routine, WaitStep
from dermalint.timeline.clock import nearest_turn
from dermalint.timeline.days import falls_on
from dermalint.timeline.line import Line, PhaseSpan
from dermalint.timeline.unroll import unroll
from dermalint.verdict.findings import CERTAIN, SEVERITIES, Finding
from dermalint.vocabulary.world import World
from dermalint_grammar.record import Record, replace

MOST_DAYS = 28  # of one phase; a longer cycle is shown by its first four weeks
REACH = 91  # days laid out beyond the first turn of the last phase, so that a three-month programme is found
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


class Step(Record):
    """One step: a wait (``minutes``, or until the skin is dry) or an application of one or several products."""

    products: tuple[str, ...] = ()
    minutes: int | None = None
    areas: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    amount: str | None = None
    contact: str = "left-on"
    contact_minutes: int | None = None
    as_needed: bool = False
    at_most: int | None = None
    again_minutes: int | None = None
    again_until: int | None = None
    skin: str | None = None
    sunscreen: bool = False


class PhaseDays(Record):
    """On which days of a phase (counted from 1) a routine happens; ``weekday`` is that of the phase's first day, Monday 0."""

    phase: int
    turn: Turn
    weekday: int | None


class RoutinePlan(Record):
    """A routine; equal ones of several phases are one.  ``letter`` tells those of one slot apart, where there are several."""

    slot: str
    letter: str
    at: int | None
    only_if: str | None
    steps: tuple[Step, ...]
    days: tuple[PhaseDays, ...]
    dates: tuple[date, ...]
    special: tuple[str, ...]  # products that not every routine of the slot has


class DayPlan(Record):
    """A day of a phase: its number from 1, weekday (Monday 0) and date where known, and for each slot its routines."""

    number: int
    weekday: int | None
    date: date | None
    slots: tuple[tuple[int, ...], ...]


class PhasePlan(Record):
    """A phase: its first day counted from 0, how many days it lasts (None: goes on), after how many it repeats."""

    number: int
    first: int
    lasts: int | None
    repeats: int
    days: tuple[DayPlan, ...]


class Remark(Record):
    """What a rule says of this regimen, in the words of its pack."""

    severity: str
    possible: bool
    message: str
    advise: str
    rule: str


class Apart(Record):
    """Products that the rules keep out of one routine, and why."""

    products: tuple[str, ...]
    why: str


class Happening(Record):
    """An event: a treatment or the like, as the file has it."""

    name: str
    on: date | None
    every: int | None
    times: int | None
    slot: str | None
    at: int | None
    areas: tuple[str, ...]


class HandOut(Record):
    """All that a hand-out says."""

    title: str
    about: str | None
    person: str | None
    starts: date | None
    as_of: date
    slots: tuple[str, ...]
    phases: tuple[PhasePlan, ...]
    routines: tuple[RoutinePlan, ...]
    happenings: tuple[Happening, ...]
    products: Mapping[str, Product]  # those that are used, in the file's order
    tests: tuple[PatchTest, ...]
    history_known: bool
    apart: tuple[Apart, ...]
    avoid: tuple[Remark, ...]  # printed only where a hand-out was asked for even so
    remarks: tuple[Remark, ...]
    regimen: Regimen
    line: Line


def certain_avoids(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings for which a hand-out is refused: certain ones to avoid, neither waived nor suspended."""
    return tuple(f for f in findings if f.severity == SEVERITIES[0] and f.certainty == CERTAIN and _counts(f))


def plan_hand_out(
    regimen: Regimen,
    findings: Iterable[Finding],
    together: Iterable[Finding],
    world: World,
    as_of: date,
) -> HandOut:
    """Plan the hand-out of a regimen, which must have a routine.

    ``findings`` are those of the regimen; ``together`` those of all its products laid into one routine, see
    :func:`all_in_one_routine`.
    """
    line = unroll(regimen, REACH)
    slots = sorted(line.clock.slots.values(), key=lambda slot: (slot.minute, slot.order))
    used = {mention.name for phase in regimen.phases for routine in phase.routines for mention in _mentions(routine)}
    names = tuple(slot.name for slot in slots if any(r.slot.name == slot.name for p in regimen.phases for r in p.routines))
    routines, numbers = _routines(regimen, line, names)
    refused = certain_avoids(findings)
    return HandOut(
        title=regimen.title,
        about=regimen.about,
        person=regimen.person_name,
        starts=regimen.starts,
        as_of=as_of,
        slots=names,
        phases=tuple(_phase(regimen, line, number, span, names, numbers) for number, span in enumerate(line.phases)),
        routines=routines,
        happenings=tuple(_happenings(regimen)),
        products={key: product for key, product in regimen.products.items() if key in used},
        tests=plan_tests(regimen, line, world),
        history_known=regimen.history is not None,
        apart=_apart(together, used, findings),
        avoid=tuple(map(_remark, refused)),
        remarks=_remarks(finding for finding in findings if _counts(finding) and finding not in refused),
        regimen=regimen,
        line=line,
    )


def all_in_one_routine(regimen: Regimen) -> Regimen:
    """The regimen's products in one routine, each on the skin it is used on, for finding out which do not go together."""
    first: dict[tuple[str, ...], ApplyStep] = {}
    for phase in regimen.phases:
        for routine in phase.routines:
            for step in routine.steps:
                if isinstance(step, ApplyStep):
                    first.setdefault(tuple(sorted(mention.name for mention in step.products)), step)
    begin = regimen.phases[0]
    model = begin.routines[0]
    steps = tuple(replace(step, as_needed=False, at_most=None, repeat_minutes=None) for step in first.values())
    slot = replace(model.slot, name="evening")
    routine = Routine(slot, steps, model.place)
    phase = replace(begin, days=None, cycle=60, routines=(replace(routine, days=replace(model.days, numbers=(1,), weekdays=(),
                    every=None, anchor=None, negated=False)),))  # fmt: skip
    return replace(regimen, phases=(phase,), events=(), outdoors=(), history=None, waivers=(), starts=None)


def _counts(finding: Finding) -> bool:
    return finding.waived is None and finding.suspended_by is None


def _remark(finding: Finding) -> Remark:
    return Remark(finding.severity, finding.certainty != CERTAIN, finding.message, finding.advise, finding.rule)


def _remarks(findings: Iterable[Finding]) -> tuple[Remark, ...]:
    """Each once, the gravest first; what people would only hear twice is left out."""
    seen: dict[tuple[str, str], Remark] = {}
    for finding in sorted(findings, key=lambda f: (SEVERITIES.index(f.severity), f.certainty != CERTAIN)):
        seen.setdefault((finding.rule, finding.message), _remark(finding))
    return tuple(seen.values())


def _apart(together: Iterable[Finding], used: set[str], findings: Iterable[Finding]) -> tuple[Apart, ...]:
    """What stays out of one routine; not what this plan itself puts into one, of which the remarks (or a waiver) speak."""
    joined = {frozenset(finding.products) for finding in findings if finding.topic == "separation"}
    whys: dict[frozenset[str], Apart] = {}
    for finding in together:
        if finding.topic == "separation" and _counts(finding) and len(set(finding.products)) > 1:
            whys.setdefault(frozenset(finding.products), Apart(tuple(dict.fromkeys(finding.products)), finding.why))
    return tuple(apart for pair, apart in whys.items() if pair <= used and pair not in joined)


def _mentions(routine: Routine) -> Iterable[Mention]:
    return [mention for step in routine.steps if isinstance(step, ApplyStep) for mention in step.products]


def routine_days(routine: Routine, line: Line, span: PhaseSpan) -> list[int]:
    """The days of a phase's first effective period (counted from its first) on which a routine without dates happens."""
    length = span.period if span.end is None else min(span.period, span.end - span.start)
    return [
        day
        for day in range(length)
        if falls_on(
            routine.days,
            span.start + day,
            phase_start=span.start,
            cycle=span.cycle,
            weekday=line.weekday(span.start + day),
            starts=line.starts,
        )
    ]


def start_minute(routine: Routine, line: Line) -> int:
    """When a routine begins, in minutes after the midnight its regimen day belongs to."""
    slot = line.clock.slots[routine.slot.name]
    return slot.minute if routine.at is None else nearest_turn(routine.at, slot.minute)


def _routines(
    regimen: Regimen, line: Line, names: tuple[str, ...]
) -> tuple[tuple[RoutinePlan, ...], dict[tuple[int, int], int]]:
    """All different routines in the order of their slots, and for each (phase, routine) of the file which one it is."""
    stated = {**regimen.clock.stated, **{own.name: own.at for own in regimen.clock.own}}
    keys: dict[tuple[str, int | None, str | None, tuple[Step, ...]], list[tuple[int, int]]] = {}
    for number, phase in enumerate(regimen.phases[: len(line.phases)]):
        for index, routine in enumerate(phase.routines):
            if routine.slot.name not in names:
                continue
            at = routine.at if routine.at is not None else stated.get(routine.slot.name)
            steps = tuple(_step(step, regimen) for step in routine.steps)
            keys.setdefault((routine.slot.name, at, routine.only_if, steps), []).append((number, index))
    ordered = sorted(keys, key=lambda key: names.index(key[0]))
    planned: list[RoutinePlan] = []
    numbers: dict[tuple[int, int], int] = {}
    for slot in names:
        same = [key for key in ordered if key[0] == slot]
        shared = set.intersection(*({p for step in key[3] for p in step.products} for key in same)) if same else set()
        for place, key in enumerate(same):
            days: list[PhaseDays] = []
            dates: list[date] = []
            for number, index in keys[key]:
                numbers[number, index] = len(planned)
                routine, span = regimen.phases[number].routines[index], line.phases[number]
                if routine.dates:
                    dates += routine.dates
                    continue
                length = None if span.end is None else span.end - span.start
                turn = shortest_turn(routine_days(routine, line, span), span.period, length)
                weekday = line.weekday(span.start) if line.starts or routine.days.weekdays else None
                if turn.on:
                    days.append(PhaseDays(number + 1, turn, weekday))
            letter = "" if len(same) == 1 else _LETTERS[place] if place < len(_LETTERS) else str(place + 1)
            special = tuple(dict.fromkeys(p for step in key[3] for p in step.products if p not in shared))
            planned.append(RoutinePlan(slot, letter, key[1], key[2], key[3], tuple(days), tuple(sorted(dates)), special))
    return tuple(planned), numbers


def _step(step: WaitStep | ApplyStep, regimen: Regimen) -> Step:
    if isinstance(step, WaitStep):
        return Step(minutes=step.minutes, skin=step.skin)
    products = [regimen.products[mention.name] for mention in step.products if mention.name in regimen.products]
    contact = step.contact or (products[0].contact if products else None)
    return Step(
        products=tuple(mention.name for mention in step.products),
        areas=tuple(area.name for area in step.areas) or ("face",),
        without=tuple(area.name for area in step.without),
        amount=step.amount,
        contact=contact.kind if contact else "left-on",
        contact_minutes=contact.minutes if contact else None,
        as_needed=step.as_needed,
        at_most=step.at_most,
        again_minutes=step.repeat_minutes,
        again_until=step.repeat_until,
        skin=step.skin,
        sunscreen=any(kind.name == "sunscreen" for product in products for kind in product.kinds),
    )


def _phase(
    regimen: Regimen,
    line: Line,
    number: int,
    span: PhaseSpan,
    names: tuple[str, ...],
    numbers: Mapping[tuple[int, int], int],
) -> PhasePlan:
    phase = regimen.phases[number]
    lasts = None if span.end is None else span.end - span.start
    routines = [(index, routine) for index, routine in enumerate(phase.routines) if not routine.dates]
    on = {index: frozenset(routine_days(routine, line, span)) for index, routine in routines}
    turns = [shortest_turn(days, span.period, lasts).every for days in on.values()]
    repeats = lcm(*turns) if turns else 1
    shown = repeats if lasts is None else min(repeats, lasts)
    weekly = repeats == 7 and (line.starts or any(routine.days.weekdays for routine in phase.routines))
    days = []
    for day in range(min(shown, MOST_DAYS)):
        slots = tuple(
            tuple(
                dict.fromkeys(
                    numbers[number, index] for index, routine in routines if routine.slot.name == slot and day in on[index]
                )
            )
            for slot in names
        )
        when = line.starts + timedelta(days=span.start + day) if line.starts else None
        days.append(DayPlan(day + 1, line.weekday(span.start + day) if weekly else None, when, slots))
    return PhasePlan(number + 1, span.start, lasts, repeats, tuple(days))


def _happenings(regimen: Regimen) -> Iterable[Happening]:
    for event in regimen.events:
        yield Happening(
            event.event.name,
            event.on or (event.first if event.slot is None else None),
            event.every_days,
            event.times,
            event.slot.name if event.slot else None,
            event.at,
            tuple(area.name for area in event.areas),
        )
