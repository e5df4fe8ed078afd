"""Happenings on the line that a term means: applications, events, bed times and intervals of daylight."""

from __future__ import annotations

from dermalint.checks.case import Case, happens
from dermalint.checks.facts import BUILT_IN
from dermalint.timeline.clock import DAY
from dermalint.timeline.line import Use
from dermalint.verdict.truth import YES
from dermalint_grammar import nodes
from dermalint_grammar.record import Record


class Happening(Record):
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


def happenings(case: Case, term: nodes.Term) -> list[Happening]:
    """All happenings of a term on the laid-out days, in order of time."""
    event = built_in(term)
    line = case.line
    if event == "bed":
        return [
            Happening(minute, minute, day, "evening", line.phase_of(day), YES, None, None)
            for day in range(line.first, line.end)
            for minute in (day * DAY + line.clock.bed,)
        ]
    if event == "daylight":
        return [
            Happening(light.start, light.end, light.day, light.slot, light.phase, YES, None, None, light.stated)
            for light in case.daylight
        ]
    return [
        Happening(use.minute, use.end, use.day, use.slot, use.phase, min(truth, happens(use)), area, use, meant=truth)
        for use, truth, area in case.terms.matched(term)
    ]
