"""Requirements about how often and how much: use, never use, limit.

Applications are counted together only where they share skin: each patch of skin is counted for itself.
"""

from __future__ import annotations

from collections.abc import Iterator

from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison
from oracles.conditions import all_hold
from oracles.layout import Thing
from oracles.pairs import Broken
from oracles.reading import Match, Reader, compares
from oracles.worlds import times

PAUSE = 7  # more days without use end a course


def only(reader: Reader, _: nodes.Rule, requirement: nodes.UseOnly) -> Broken:
    """An A outside the slots."""
    allowed = {name.text for name in requirement.slots}
    return (thing for thing, _ in reader.matches(requirement.term) if not allowed & {thing.slot, thing.counts_as})


def never(reader: Reader, _: nodes.Rule, requirement: nodes.NeverUse) -> Broken:
    """An A at all, or in the slot."""
    slot = requirement.slot.text if requirement.slot is not None else None
    return (thing for thing, _ in reader.matches(requirement.term) if slot in (None, thing.slot, thing.counts_as))


def _by_patch(found: list[Match], bound: Comparison) -> Iterator[list[Thing]]:
    """The applications on each patch of skin; patches with the same applications once.

    Too few is asked where most lie together: an application that reaches farther, on some days, asks for no more.
    """
    groups: dict[tuple[int, ...], list[Thing]] = {}
    for patch in sorted({patch for _, skin in found for patch in skin}):
        group = [thing for thing, skin in found if patch in skin]
        groups[tuple(id(thing) for thing in group)] = group
    for names, group in groups.items():
        if bound is Comparison.AT_MOST or not any(set(names) < set(others) for others in groups):
            yield group


def _counted(reader: Reader, rule: nodes.Rule, term: nodes.Term) -> list[Match]:
    """Only applications at which the clauses hold are counted."""
    return [(thing, skin) for thing, skin in reader.matches(term) if all_hold(reader, rule, thing)]


def count(reader: Reader, rule: nodes.Rule, requirement: nodes.UseCount) -> Broken:
    """Times, days or slots with an A in every window; told at all that are counted together."""
    in_slot = requirement.counted in ("morning", "midday", "afternoon", "evening")
    for group in _by_patch(_counted(reader, rule, requirement.term), requirement.bound):
        counted = [t for t in group if not in_slot or requirement.counted in (t.slot, t.counts_as)]
        if requirement.per == "row":
            for run in _runs(counted, 0):
                if run[-1].day - run[0].day + 1 > requirement.number:
                    yield from run
            continue
        for window in _windows(reader, counted, requirement):
            if not compares(_number(reader, window, requirement), requirement.bound, requirement.number):
                yield from window or counted  # an empty window is nobody's place in particular


def _number(reader: Reader, window: list[Thing], requirement: nodes.UseCount) -> int:
    if requirement.counted != "times":
        return len({thing.day for thing in window})
    if requirement.per == "routine":
        return len({thing.product.key for thing in window if thing.product is not None})
    often: dict[object, int] = {}
    for thing in window:
        assert thing.product is not None
        # A second coat in one routine is no second time; each repeat of a chain is one.
        key = (thing.routine or id(thing), thing.product.key)
        often[key] = max(often.get(key, 0), times(reader.world, thing))
    return sum(often.values())


def _runs(counted: list[Thing], pause: int) -> list[list[Thing]]:
    """Applications with no more than so many free days between them."""
    runs: list[list[Thing]] = []
    for thing in counted:
        if runs and thing.day - runs[-1][-1].day - 1 <= pause:
            runs[-1].append(thing)
        else:
            runs.append([thing])
    return runs


def _windows(reader: Reader, counted: list[Thing], requirement: nodes.UseCount | nodes.UseProducts) -> Iterator[list[Thing]]:
    """What lies in each window: of routines those that have any, of days every stretch of that length.

    ``at least`` looks only at full stretches between the first and the last use.
    """
    if not counted:
        return
    if requirement.per == "routine":
        routines: dict[object, list[Thing]] = {}
        for thing in counted:
            routines.setdefault(thing.routine or (id(thing.step), thing.minute), []).append(thing)
        yield from routines.values()
        return
    by_day: dict[int, list[Thing]] = {}
    for thing in counted:
        by_day.setdefault(thing.day, []).append(thing)
    for start, end in _stretches(reader, requirement):
        if requirement.bound is Comparison.AT_LEAST:
            ongoing = reader.layout.endless and counted[-1].day >= reader.layout.judged_until
            if start < counted[0].day or (end - 1 > counted[-1].day and not ongoing):
                continue
        yield [thing for day in range(start, end) for thing in by_day.get(day, ())]


def _stretches(reader: Reader, requirement: nodes.UseCount | nodes.UseProducts) -> Iterator[tuple[int, int]]:
    layout = reader.layout
    if requirement.per == "cycle":
        for span in layout.spans:
            end = layout.end if span.end is None else span.end
            for start in range(layout.first if layout.circular else span.start, end - span.cycle + 1):
                yield start, start + span.cycle
        return
    for start in range(layout.first, layout.end):
        end = start + {"day": 1, "week": 7}.get(requirement.per, requirement.window)
        if requirement.per == "month":
            month = nodes.Duration(nodes.BILLION, nodes.Unit.MONTH, nodes.Span(0, 0))
            end = reader.days_after(start, month)
        if end <= layout.end:
            yield start, end
        elif start == layout.first:
            yield start, layout.end
            return


def products(reader: Reader, rule: nodes.Rule, requirement: nodes.UseProducts) -> Broken:
    """How many different products are A in every window."""
    for group in _by_patch(_counted(reader, rule, requirement.term), requirement.bound):
        for window in _windows(reader, group, requirement):
            different = {thing.product.key for thing in window if thing.product is not None}
            if not compares(len(different), requirement.bound, requirement.number):
                yield from window


def course(reader: Reader, rule: nodes.Rule, requirement: nodes.UseFor) -> Broken:
    """An unbroken course that is too long (too short); told at all of it.  In an endless phase it never ends."""
    layout = reader.layout
    pause = rule.pauses.days if rule.pauses is not None else PAUSE
    for group in _by_patch(_counted(reader, rule, requirement.term), requirement.bound):
        for run in _runs(group, pause):
            begin, end = run[0].day, run[-1].day + 1
            for past in reader.used_before(requirement.term):
                assert past.since is not None
                until = -1 if past.until is None else (past.until - reader.date_of(0)).days
                if begin - until - 1 <= pause:
                    begin = min(begin, (past.since - reader.date_of(0)).days)
            goes_on = layout.endless and layout.end - end <= pause
            longest = reader.days_after(begin, requirement.duration)
            if requirement.bound is Comparison.AT_MOST:
                broken = goes_on or end > longest
            else:
                broken = not goes_on and end < longest
            if broken:
                yield from run


def limit(reader: Reader, _: nodes.Rule, requirement: nodes.Limit) -> Broken:
    """A product whose measure is beyond the limit; or, with a total, all products of a routine or a day together."""
    measure, term = requirement.measure.text, requirement.term
    amounts = [
        (thing, skin, value)
        for thing, skin in reader.matches(term)
        if thing.product is not None and (value := reader.measure(measure, term, thing.product)) is not None
    ]
    against = requirement.quantity.value
    if not requirement.total:
        yield from (thing for thing, _, value in amounts if not compares(value, requirement.bound, against))
        return
    values = {id(thing): value for thing, _, value in amounts}
    parts: dict[tuple[object, frozenset[int]], list[Thing]] = {}
    for group in _by_patch([(thing, skin) for thing, skin, _ in amounts], Comparison.AT_MOST):
        together: dict[object, list[Thing]] = {}
        for thing in group:
            key = thing.day if requirement.per == "day" else thing.routine or (id(thing.step), thing.minute)
            together.setdefault(key, []).append(thing)
        parts |= {(key, frozenset(map(id, part))): part for key, part in together.items()}
    for (key, names), part in parts.items():
        # What is too much where fewer lie together is too much where more do, and told once.
        if any(key == other and names < others for other, others in parts):
            continue
        if not compares(sum(values[id(thing)] for thing in part), requirement.bound, against):
            yield part[0]
