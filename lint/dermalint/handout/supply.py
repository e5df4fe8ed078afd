"""How much is used: at one time, in a week, in three months, and how long a package lasts."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from dermalint.handout.amounts import finger_tips_for, sunscreen_for_face_and_neck
from dermalint.regimen.amounts import Span, finger_tip, read_amount, weigh
from dermalint.regimen.model import ApplyStep, Person, Regimen
from dermalint.timeline.line import Line
from dermalint_grammar.record import Record, replace

PROGRAMME = 91  # days: three months as thirteen weeks
DAYS_OF_A_MONTH = Fraction(365, 12)
SPREAD_FREELY = frozenset(("moisturiser", "emollient"))


class Supply(Record):
    """What one product needs; spans in milligrams, None where no amount is known.

    ``stated`` is whether the file says all amounts; otherwise published figures stand for some.  ``uses`` are the times in
    the programme, from those that are certain to all that may be.  ``package`` is in milligrams, with how many days one lasts
    and how many the programme needs, as fewest and most.  ``longer_than_it_keeps`` where a package may outlast its months
    after opening.
    """

    product: str
    stated: bool
    each: Span | None
    uses: tuple[int, int]
    week: Span | None
    programme: Span | None
    package: int | None = None
    lasts: tuple[int, int] | None = None
    packages: tuple[int, int] | None = None
    keeps_months: int | None = None
    longer_than_it_keeps: bool = False


def plan_supply(regimen: Regimen, line: Line, packages: Mapping[str, int]) -> tuple[int, tuple[Supply, ...]]:
    """The days of the programme (a shorter regimen's own), and the supply of each product that is used in them.

    ``packages`` are contents in milligrams, by the product's key.
    """
    least: dict[str, int] = {}
    most: dict[str, int] = {}
    total: dict[str, Span | None] = {}
    each: dict[str, Span] = {}
    stated: dict[str, bool] = {}
    begin = max(0, line.first)
    days = min(PROGRAMME, line.end - begin)
    for use in line.uses:
        application = use.application
        if application is None or not begin <= use.day < begin + days:
            continue
        key = use.product
        certain = int(application.certain)
        least[key] = least.get(key, 0) + certain
        most[key] = most.get(key, 0) + 1
        weight, said = _each(application.step, application.product.key, regimen)
        stated[key] = stated.get(key, True) and said
        before = total.get(key, Span(0, 0))
        if weight is None or before is None:
            total[key] = None
            continue
        each[key] = weight if key not in each else Span(min(each[key].least, weight.least), max(each[key].most, weight.most))
        total[key] = Span(before.least + certain * weight.least, before.most + weight.most)
    found = []
    for key, product in regimen.products.items():
        if key not in most:
            continue
        programme = total[key]
        supply = Supply(
            key,
            stated[key],
            each.get(key) if programme else None,
            (least[key], most[key]),
            programme.times(Fraction(7, days)) if programme else None,
            programme,
            keeps_months=product.lasts_after_opening_months,
        )
        if key in packages and programme and programme.most:
            supply = _with_package(supply, packages[key], programme, days)
        found.append(supply)
    return days, tuple(found)


def _each(step: ApplyStep, key: str, regimen: Regimen) -> tuple[Span | None, bool]:
    """What one application of a product weighs, and whether the file says so."""
    amount = read_amount(step.amount)
    share = Fraction(1, len(step.products))
    if amount is not None:
        return weigh(amount, regimen.person).times(share), True
    kinds = {kind.name for kind in regimen.products[key].kinds}
    areas = [area.name for area in step.areas] or ["face"]
    return suggested(kinds, areas, regimen.person, mixed=len(step.products) > 1), False


def suggested(kinds: set[str], areas: list[str], person: Person, mixed: bool = False) -> Span | None:
    """What published figures give for one application of a kind on areas, where they have one.

    Sunscreen on an adult's face is reckoned with the neck, as nobody should stop at the jaw.  Of nothing else but
    moisturisers and emollients is an amount supposed: an active is never spread by the area alone.
    """
    if mixed:
        return None
    grown_up = person.age_months is None or person.age_months >= 18 * 12
    if "sunscreen" in kinds:
        if grown_up and set(areas) <= {"face", "neck", "ears"} and "face" in areas:
            dose = sunscreen_for_face_and_neck()
            return Span(dose, dose)
        return None
    if kinds & SPREAD_FREELY:
        units = finger_tips_for(areas, person)
        return finger_tip(person).times(units) if units else None
    return None


def _with_package(supply: Supply, package: int, programme: Span, days: int) -> Supply:
    shortest = int(Fraction(package * days, programme.most))
    longest = int(Fraction(package * days, programme.least)) if programme.least else shortest
    fewest, most = -(-programme.least // package), -(-programme.most // package)
    keeps = supply.keeps_months
    too_long = keeps is not None and longest > keeps * DAYS_OF_A_MONTH
    return replace(
        supply,
        package=package,
        lasts=(shortest, longest),
        packages=(max(fewest, 1), max(most, 1)),
        longer_than_it_keeps=too_long,
    )
