"""Settings: what a person, a region and a date must be for conditions to hold."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from dermalint.checks.examples import MONDAY
from dermalint.proof.clauses import Clause, age_points, dates, phototypes
from dermalint.proof.ground import Ground
from dermalint.proof.samples import HERE, length
from dermalint.regimen.model import ApplyStep, Regimen
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Given, Unit
from dermalint_grammar.record import Record, replace


class Setting(Record):
    """The givens of an example, and the conditions about moments that are still to be brought about.

    ``moments`` are those of them that must hold (a thing beside it, an event before it, a first week).
    """

    givens: tuple[Given, ...] = ()
    region: str | None = None
    as_of: date | None = None
    moments: tuple[nodes.Condition, ...] = ()
    skin: str | None = None
    not_moments: tuple[nodes.Condition, ...] = ()

    def edit(self, regimen: Regimen) -> Regimen:
        """The regimen with what no example can say."""
        if self.skin is None:
            return regimen
        phases = tuple(
            replace(
                phase,
                routines=tuple(
                    replace(
                        routine,
                        steps=tuple(
                            replace(step, skin=self.skin) if isinstance(step, ApplyStep) else step for step in routine.steps
                        ),
                    )
                    for routine in phase.routines
                ),
            )
            for phase in regimen.phases
        )
        return replace(regimen, phases=phases)


def settings_for(ground: Ground, found: Sequence[Clause]) -> list[Setting]:
    """A setting for each alternative, the one that asks least first; the empty one where there are no conditions."""
    return [setting_of(ground, clause) for clause in sorted(found, key=lambda clause: (_asks(clause), str(clause)))]


def _asks(clause: Clause) -> int:
    return sum(2 if yes else 0 for yes, _ in clause) + len(clause)


def given(kind: str, name: str = "", number: int | None = None, duration: nodes.Duration | None = None) -> Given:
    """A given that stands nowhere."""
    return Given(kind, name, number, duration, HERE)


def setting_of(ground: Ground, clause: Clause) -> Setting:
    """What makes an alternative hold."""
    givens: list[Given] = []
    region, skin = None, None
    moments: list[nodes.Condition] = []
    not_moments: list[nodes.Condition] = []
    for yes, condition in clause:
        match condition:
            case nodes.PersonIs(trait) if yes:
                givens.append(given("trait", trait))
            case nodes.AllergicTo(allergen) if yes:
                givens.append(given("allergic", _allergen(ground, allergen)))
            case nodes.Takes(medicine) if yes:
                givens.append(given("takes", _member(ground, medicine)))
            case nodes.ReasonIs(reason) if yes:
                givens.append(given("reason", reason))
            case nodes.RegionIs(name) if yes:
                region = name
                givens.append(given("region", name))
            case nodes.SkinIs(state) if yes:
                skin = state
            case nodes.Has() | nodes.Around() | nodes.DuringFirst():
                (moments if yes else not_moments).append(condition)
    ages = age_points(clause) if any(isinstance(c, nodes.Age) for _, c in clause) else []
    if ages:
        givens.append(given("age", "", None, age_given(ages[len(ages) // 2])))
    if any(isinstance(c, nodes.Phototype) for _, c in clause):
        givens.append(given("phototype", "", phototypes(clause)[0]))
    start, end = dates(clause)
    as_of = None
    if start and start > MONDAY.isoformat():
        as_of = date.fromisoformat(start)
    elif end and end <= MONDAY.isoformat():
        as_of = date.fromisoformat(end) - timedelta(days=1)
    if as_of is not None:
        givens.append(given("as-of", as_of.isoformat()))
    ordered = sorted(
        dict.fromkeys(givens),
        key=lambda one: ("trait", "age", "takes", "allergic", "reason", "phototype", "region", "as-of").index(one.kind),
    )
    return Setting(tuple(ordered), region, as_of, tuple(moments), skin, tuple(not_moments))


def age_given(months: int) -> nodes.Duration:
    """An age, in years where it is whole years."""
    return length(months // 12, Unit.YEAR) if months % 12 == 0 and months else length(months, Unit.MONTH)


def _member(ground: Ground, name: str) -> str:
    """A substance for the name of a medicine, or the name where it has no member."""
    if name in ground.world.substances:
        return name
    members = sorted(ground.cubes.substances_of.get(name, ()))
    return members[0] if members else name


def _allergen(ground: Ground, name: str) -> str:
    return name if name in ground.world.allergies else _member(ground, name)
