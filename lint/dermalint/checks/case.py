"""One regimen ready to be judged: its line, its signatures, its facts; and what rules ask of a pair of applications."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from dermalint.checks.asked import Asked
from dermalint.checks.contents import add_months
from dermalint.checks.plugged import Plugged
from dermalint.checks.said import Said
from dermalint.checks.signatures import Areas, sign_uses
from dermalint.checks.terms import Matched, Terms
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import PastTest, PastUse, Regimen
from dermalint.timeline.daylight import lay_daylight
from dermalint.timeline.line import Daylight, Line, Use
from dermalint.verdict.findings import Measured
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Unit

if TYPE_CHECKING:
    from dermalint.checks.companion import Companions


@dataclass(slots=True)
class Hit:
    """One place where a rule's requirement fails.

    ``anchor`` is the application (or the slot) it is told at; ``uses`` the applications involved, each with the term it
    matched; ``truth`` YES or UNKNOWN; ``value`` what was measured, None where it is unknown or endless.
    """

    truth: int
    anchor: Use
    uses: tuple[tuple[Use, nodes.Term], ...]
    value: int | None = None
    note: str = ""
    measured: Measured | None = None
    missing: bool = False


@dataclass
class Case:
    """A regimen on its line, with everything that checks look up."""

    regimen: Regimen
    world: World
    line: Line
    asked: Asked
    plugins: Installed = field(default_factory=Installed)
    said: Said | None = None  # what is kept from one regimen to the next
    companions: dict[tuple[int, int | None, bool], Companions] = field(default_factory=dict)
    areas: Areas = field(init=False)
    terms: Terms = field(init=False)

    def __post_init__(self) -> None:
        self.areas = Areas(self.world)
        self.signatures = sign_uses(self.regimen, self.line, self.areas)
        plugged = Plugged(self.world, self.plugins)
        said = self.said or Said(self.world)
        as_of, person = self.asked.as_of, self.regimen.person
        self.terms = Terms(self.world, self.line, self.areas, self.signatures, as_of, plugged, said, person)

    @cached_property
    def daylight(self) -> list[Daylight]:
        """Daylight intervals of the laid-out days."""
        return lay_daylight(self.regimen, self.line)

    @cached_property
    def covered(self) -> int:
        """The areas that no daylight reaches."""
        mask = 0
        for entry in self.regimen.outdoors:
            for area in entry.covered:
                mask |= self.areas.named.get(area.name, 0)
        return mask

    @cached_property
    def origin(self) -> date:
        """The date of day 0: of ``starts``, else the as-of date, from which ``since`` counts back."""
        return self.regimen.starts or self.asked.as_of

    def date_of(self, day: int) -> date:
        """The date of a line day (counted from the as-of date on an undated line)."""
        return self.origin + timedelta(days=day)

    def days_in(self, duration: nodes.Duration, day: int) -> int:
        """The regimen days of a duration from a line day on; months are the calendar's on a dated line, else 30 days."""
        if self.regimen.starts is None or duration.unit not in (Unit.MONTH, Unit.YEAR):
            return duration.days
        begin = self.date_of(day)
        months = duration.count * (12 if duration.unit is Unit.YEAR else 1) // BILLION
        return (add_months(begin, months) - begin).days

    def past_uses(self) -> list[PastUse]:
        """What the history says was used before."""
        return [past for past in self.regimen.history or () if isinstance(past, PastUse)]

    def past_tests(self) -> list[PastTest]:
        """The patch tests of the history."""
        return [past for past in self.regimen.history or () if isinstance(past, PastTest)]

    def past_mask(self, term: nodes.Term, past: PastUse) -> int:
        """How certainly a product of the history is one that a term means (judged by its signatures)."""
        yes, possible = self.terms.masks(term)
        truth = NO
        for number, signature in enumerate(self.signatures.items):
            if signature.product is not None and signature.product.key == past.product.name:
                if yes >> number & 1:
                    return YES
                if possible >> number & 1:
                    truth = UNKNOWN
        return truth


def happens(use: Use) -> int:
    """Whether an application happens: as-needed and only-if ones may or may not."""
    return YES if use.application is None or use.application.certain else UNKNOWN


AFTER_STEPS = -2  # the kind of a moment that is the beginning of daylight, or bed time


def order_of(use: Use) -> tuple[int, int, int, int]:
    """When something is, to be compared.

    Of one minute slots and events come first, then routines and steps as written, then daylight and bed.
    """
    turn = 1 if use.application is not None else 2 if use.kind == AFTER_STEPS else 0
    return use.minute, turn, use.routine, use.position


def compatible(one: Use, other: Use) -> bool:
    """Whether two applications can both happen: routines under different ``only-if`` are alternatives."""
    first = one.application.only_if if one.application else None
    second = other.application.only_if if other.application else None
    return first is None or second is None or first == second


def widen(mask: int, together: tuple[int, ...]) -> int:
    """A mask with each area of ``counting … as one area`` taken whole where it touches it."""
    for area in together:
        if mask & area:
            mask |= area
    return mask


class Pairing:
    """Decides whether two matched applications concern each other under one rule, and how certainly."""

    def __init__(self, case: Case, rule: nodes.Rule) -> None:
        self._areas = case.areas
        self._together = tuple(case.areas.named.get(name.text, 0) for name in rule.one_area)

    def truth(self, one: Matched, other: Matched) -> int:
        """NO where they are the same product, alternatives, or on different skin."""
        first, truth_one, area_one = one
        second, truth_other, area_other = other
        if first.product == second.product and first.application is not None:
            return NO
        if not compatible(first, second):
            return NO
        if self._together:
            area_one, area_other = widen(area_one, self._together), widen(area_other, self._together)
        shared = self._areas.overlap(area_one, area_other)
        return min(truth_one, truth_other, shared, happens(first), happens(second))


def alternatives(matched: list[Matched]) -> list[list[Matched]]:
    """What can happen together: under each ``only-if`` what depends on it, and what depends on none."""
    conditions = dict.fromkeys(use.application.only_if for use, _, _ in matched if use.application is not None)
    conditions.pop(None, None)
    if len(conditions) < 2:
        return [matched]
    return [
        [item for item in matched if item[0].application is None or item[0].application.only_if in (None, condition)]
        for condition in conditions
    ]


def longest_days(duration: nodes.Duration) -> int:
    """The most regimen days a duration can have, wherever in the calendar it begins."""
    return duration.days if duration.unit not in (Unit.MONTH, Unit.YEAR) else duration.days * 31 // 30 + 1


def sharing(matched: list[Matched], areas: Areas) -> list[list[Matched]]:
    """Groups of applications that all share some skin; one group when they all do.

    Applications form a group when there is an area they all have; groups inside other groups are left out.  What is on
    spots alone possibly joins every group on a part of the face.
    """
    distinct = {area for _, _, area in matched}
    common = -1
    for area in distinct:
        common &= area
    if common or len(distinct) < 2:
        return [matched] if matched else []
    together: set[frozenset[int]] = set()
    union = 0
    for area in distinct:
        union |= area
    while union:
        bit = union & -union
        union ^= bit
        together.add(frozenset(area for area in distinct if area & bit))
    widest = [group for group in together if not any(group < other for other in together)]
    loose = {area for area in distinct if area & areas.face == areas.spots}
    groups: list[list[Matched]] = []
    for group in sorted(widest, key=sorted):
        joining = loose - group if any(area & areas.face for area in group) else frozenset()
        groups.append(
            [
                (use, min(truth, UNKNOWN) if area in joining else truth, area)
                for use, truth, area in matched
                if area in group or area in joining
            ]
        )
    return groups
