"""Happenings on the line that a term means: applications, events, bed times and intervals of daylight."""

from __future__ import annotations

from typing import NamedTuple

from dermalint.checks.case import AFTER_STEPS, Case, happens
from dermalint.checks.facts import BUILT_IN
from dermalint.timeline.clock import DAY
from dermalint.timeline.line import Daylight, Use
from dermalint.verdict.truth import YES
from dermalint_grammar import nodes


class Happening(NamedTuple):
    """Something at a time; ``area`` None where it concerns no skin in particular; ``stated`` False for assumed daylight.

    ``truth`` is how certainly it happens and is meant, ``meant`` how certainly it is meant if it happens.
    """

    minute: int
    end: int
    day: int
    slot: str
    phase: int
    truth: int
    area: int | None
    use: Use | None
    stated: bool = True
    meant: int = YES


def built_in(term: nodes.Term) -> str | None:
    """``bed`` or ``daylight`` when a term is that built-in event."""
    if isinstance(term, nodes.EventIs) and term.event in BUILT_IN:
        return term.event
    return None


def is_event(term: nodes.Term) -> bool:
    """Whether a term means events: ``event waxing``, ``event waxing on face``, ``event waxing or event threading``."""
    if isinstance(term, nodes.OneOf):
        return any(is_event(part) for part in term.terms)
    return isinstance(term, nodes.EventIs) or (isinstance(term, nodes.OnArea) and is_event(term.term))


def happenings(case: Case, term: nodes.Term, *, judged: bool = False) -> list[Happening]:
    """All happenings of a term on the laid-out days, in order of time; ``judged`` leaves out those on days not judged."""
    event = built_in(term)
    line = case.line
    days = range(line.judged_from, line.judged_until) if judged else range(line.first, line.end)
    if event == "bed":
        return [
            Happening(minute, minute, day, "evening", line.phase_of(day), YES, None, None)
            for day in days
            for minute in (day * DAY + line.clock.bed,)
        ]
    if event == "daylight":
        return [
            Happening(light.start, light.end, light.day, light.slot, light.phase, YES, None, None, light.stated)
            for light in case.daylight
            if light.day in days
        ]
    return [
        Happening(use.minute, use.end, use.day, use.slot, use.phase, min(truth, happens(use)), area, use, True, truth)
        for use, truth, area in (case.terms.anchors(term) if judged else case.terms.matched(term))
        if use.day in days
    ]


def moment_at(case: Case, happening: Happening | Daylight) -> Use:
    """A moment that is no application: a slot, a bed time, the beginning of daylight."""
    minute = happening.start if isinstance(happening, Daylight) else happening.minute
    slot = case.line.clock.slots.get(happening.slot)
    return Use(
        minute, happening.day, happening.slot, slot.counts_as if slot else happening.slot, happening.phase,
        0, 0, 0, 0, minute, AFTER_STEPS,
    )  # fmt: skip
