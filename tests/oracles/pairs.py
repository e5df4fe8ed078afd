"""Requirements about two applications: separate, apply, wait."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint_grammar import nodes
from oracles.layout import Thing
from oracles.reading import Reader, Skin
from oracles.worlds import LONG, area_of, skin_of

Broken = Iterator[Thing]  # the applications at which a requirement is broken


def same_product(one: Thing, other: Thing) -> bool:
    """A product never clashes with itself."""
    return one.product is not None and other.product is not None and one.product.key == other.product.key


class Skins:
    """Whether two things share skin; ``counting … as one area`` takes an area whole where something touches it."""

    def __init__(self, reader: Reader, rule: nodes.Rule) -> None:
        self.whole = [area_of(reader.world, name.text) for name in rule.one_area]

    def share(self, one: Skin, other: Skin) -> bool:
        """Whether they overlap."""
        return bool(self._widened(one) & self._widened(other))

    def _widened(self, skin: Skin) -> Skin:
        for area in self.whole:
            if skin & area:
                skin |= area
        return skin


def separate(reader: Reader, rule: nodes.Rule, requirement: nodes.Separate) -> Broken:
    """An A and a B of different products, too near; told at the A."""
    skins = Skins(reader, rule)
    apart = requirement.apart
    days = 1 + max(d.days + 2 if d else 0 for d in (apart.distance, apart.before, apart.after))
    for a, skin in reader.matches(requirement.first):
        for b, other in reader.matches_near(requirement.second, a.day - days, a.day + days):
            if not (_stays(reader, requirement.first, a) and _stays(reader, requirement.second, b)):
                continue
            if not same_product(a, b) and skins.share(skin, other) and _too_near(reader, requirement.apart, a, b):
                yield a if a.product is not None else b


def _stays(reader: Reader, term: nodes.Term, thing: Thing) -> bool:
    """Rinsed applications do not count unless the term says so."""
    return thing.contact.kind != "rinsed" or reader.says_rinsed(term, thing)


def _too_near(reader: Reader, apart: nodes.Apart, a: Thing, b: Thing) -> bool:
    if apart.within == "routine":
        return a.routine is not None and a.routine == b.routine
    if apart.within == "day":
        return a.day == b.day
    limits = []
    if apart.within == "duration":
        limits.append(apart.distance)
    else:
        if a.moment <= b.moment:
            limits.append(apart.before)
        if a.moment >= b.moment:
            limits.append(apart.after)
    return any(limit is not None and nearer(reader, limit, a, b) for limit in limits)


def nearer(reader: Reader, limit: nodes.Duration, a: Thing, b: Thing) -> bool:
    """Whether two things are less than a duration apart: hours by the clock, days by regimen day."""
    if limit.by_clock:
        return abs(a.minute - b.minute) < limit.minutes
    early, late = sorted((a.day, b.day))  # a chain of repeats goes on past the next morning on the day it began
    return late < reader.days_after(early, limit)


def separate_uses(reader: Reader, _: nodes.Rule, requirement: nodes.SeparateUses) -> Broken:
    """Two A on different days, too near; told at the later one."""
    layout, term = reader.layout, requirement.term
    for b, other in reader.matches_near(term, layout.judged_from, layout.judged_until):
        for a, skin in reader.matches_near(term, b.day - requirement.distance.days - 3, b.day + 2):
            if a.day != b.day and a.moment < b.moment and skin & other and nearer(reader, requirement.distance, a, b):
                yield b


def chain(reader: Reader, rule: nodes.Rule, requirement: nodes.ApplyChain) -> Broken:
    """Two links of a chain in the wrong order in one routine; told at the link that should have come first."""
    skins = Skins(reader, rule)
    links: list[tuple[Thing, int, Skin]] = []
    for thing in reader.things:
        fitting = [(n, skin) for n, link in enumerate(requirement.links) if (skin := reader.match(link, thing)) is not None]
        if fitting and thing.routine is not None:
            links.append((thing, *fitting[-1]))  # of two links it fits, the later
    together: dict[int, list[tuple[Thing, int, Skin]]] = {}
    for a, link, skin in links:
        assert a.routine is not None
        together.setdefault(a.routine, []).append((a, link, skin))
    for a, link, skin in links:
        assert a.routine is not None
        for b, other_link, other in together[a.routine]:
            wrong = b.position < a.position and link < other_link
            if wrong and not same_product(a, b) and skins.share(skin, other):
                yield a


def edge(reader: Reader, rule: nodes.Rule, requirement: nodes.ApplyEdge) -> Broken:
    """Something that is neither A nor excepted before the first (after the last) A of its routine."""
    skins = Skins(reader, rule)
    for a, skin in reader.matches(requirement.term):
        if requirement.slot is not None and requirement.slot not in (a.slot, a.counts_as):
            continue
        for other in reader.routine_of(a):
            if same_product(a, other):
                continue
            beyond = other.position < a.position if requirement.edge == "first" else other.position > a.position
            allowed = reader.match(requirement.term, other) is not None or (
                requirement.but is not None and reader.match(requirement.but, other) is not None
            )
            if beyond and not allowed and skins.share(skin, skin_of(reader.world, other)):
                yield a


def directly(reader: Reader, rule: nodes.Rule, requirement: nodes.ApplyDirectly) -> Broken:
    """Another left-on product on the same skin between an A and the next B of its routine."""
    skins = Skins(reader, rule)
    for a, skin in reader.matches(requirement.first):
        following = [
            (b, other)
            for b in reader.routine_of(a)
            if b.position > a.position and not same_product(a, b)
            if (other := reader.match(requirement.second, b)) is not None and skins.share(skin, other)
        ]
        for b, other in following[:1]:
            for between in reader.routine_of(a):
                if (
                    a.position < between.position < b.position
                    and between.contact.kind == "left-on"
                    and not same_product(between, a)
                    and not same_product(between, b)
                    and skin_of(reader.world, between) & (skin | other)
                ):
                    yield a


def wait(reader: Reader, rule: nodes.Rule, requirement: nodes.Wait) -> Broken:
    """A B sooner after the end of an A than asked; around events, the nearest application of a product."""
    skins = Skins(reader, rule)
    if isinstance(requirement.first, nodes.EventIs) or isinstance(requirement.second, nodes.EventIs):
        yield from _wait_for_event(reader, requirement)
        return
    for a, skin in reader.matches(requirement.first):
        for b in reader.routine_of(a):
            other = reader.match(requirement.second, b)
            if other is None or b.position <= a.position or same_product(a, b):
                continue
            drying = sum(reader.world["dry", name] for name in set(b.dry_waits) - set(a.dry_waits))
            if b.minute - a.end + min(drying, LONG) < requirement.duration.minutes and skins.share(skin, other):
                yield a


def _wait_for_event(reader: Reader, requirement: nodes.Wait) -> Broken:
    first = reader.matches(requirement.first)
    for a, skin in first:
        for b, other in reader.matches_near(requirement.second, a.day, a.day + requirement.duration.days + 2):
            if not a.stated or not b.stated or b.minute < a.end or a.moment >= b.moment:
                continue
            bare = {a.name, b.name} & {"bed", "daylight"}
            if not bare and not skin & other:
                continue
            gap_is_short = (
                b.minute - a.end < requirement.duration.minutes
                if requirement.duration.by_clock
                else b.day < reader.days_after(a.day, requirement.duration)
            )
            if not gap_is_short:
                continue
            if a.product is None:
                yield b
            elif not any(same_product(a, later) and a.moment < later.moment < b.moment for later, _ in first):
                yield a
