"""Patch tests: those that were done, and those that still come before a product's first use."""

from __future__ import annotations

from datetime import date, timedelta

from dermalint.regimen.model import PastTest, PastUse, Product, Regimen
from dermalint.timeline.line import Line
from dermalint.vocabulary.world import World, resolve_content
from dermalint_grammar.record import Record

DAYS = 10  # American Academy of Dermatology, release of 19 August 2021: twice daily, 7 to 10 days
LEAST_DAYS = 7
# The British leaflet on repeated open tests leaves out what irritates anybody.
NOT_TRIED_AT_HOME = frozenset(("retinoid", "peel-acid", "hydroquinone"))

DONE, PLANNED, ASK = "done", "planned", "ask"


class PatchTest(Record):
    """A patch test of a product.

    ``state`` is DONE (with what the file says of it), PLANNED (before the first use on ``first_use``, a day counted from
    0, where ``first`` and ``last`` are dates when the regimen has some) or ASK: a test at home is not usual, ask.
    """

    product: str
    state: str
    first_use: int | None = None
    first: date | None = None
    last: date | None = None
    hours: int | None = None
    areas: tuple[str, ...] = ()
    reaction: str | None = None


def plan_tests(regimen: Regimen, line: Line, world: World) -> tuple[PatchTest, ...]:
    """The tests done before, and one for each product that is new and stays on the skin.

    Where a regimen says nothing of the time before it, nobody knows what is new, and no test is planned.
    """
    history = regimen.history
    if history is None:
        return ()
    tests = [_done(past) for past in history if isinstance(past, PastTest)]
    known = {past.product.name for past in history if isinstance(past, PastUse)} | {test.product for test in tests}
    first: dict[str, int] = {}
    for use in line.uses:
        if use.application is not None and use.application.contact.kind == "left-on" and use.day >= 0:
            first.setdefault(use.product, use.day)
    for key, day in first.items():
        if key in known:
            continue
        product = regimen.products[key]
        if product.prescribed or _irritates_anybody(product, world):
            tests.append(PatchTest(key, ASK, first_use=day))
            continue
        begins = regimen.starts + timedelta(days=day) if regimen.starts else None
        tests.append(
            PatchTest(
                key,
                PLANNED,
                first_use=day,
                first=begins - timedelta(days=DAYS) if begins else None,
                last=begins - timedelta(days=1) if begins else None,
                areas=("forearms",),
            )
        )
    return tuple(tests)


def _done(past: PastTest) -> PatchTest:
    areas = tuple(area.name for area in past.areas)
    return PatchTest(past.product.name, DONE, first=past.first, hours=past.hours, areas=areas, reaction=past.reaction)


def _irritates_anybody(product: Product, world: World) -> bool:
    for content in product.contains:
        name = resolve_content(content.name, world)
        if name is not None and NOT_TRIED_AT_HOME & ({name} | world.ancestors.get(name, frozenset())):
            return True
    return any(kind.name == "peel" for kind in product.kinds)
