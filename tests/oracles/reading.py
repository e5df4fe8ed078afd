"""Terms and conditions in one world, where nothing is unknown: plain yes and no."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property

from dermalint.regimen.model import ApplyStep, PastUse, Product
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison
from oracles import words
from oracles.layout import DAY, Layout, Thing
from oracles.worlds import (
    World,
    area_of,
    base_of,
    contact_minutes,
    group_term,
    ingredients,
    months_of,
    parts_of,
    skin_of,
    times,
)

Skin = frozenset[str]
Match = tuple[Thing, Skin]


def compares(value: int | None, comparison: Comparison, against: int) -> bool:
    """A comparison; a measure that does not apply compares as no."""
    if value is None:
        return False
    return {
        Comparison.AT_LEAST: value >= against,
        Comparison.AT_MOST: value <= against,
        Comparison.ABOVE: value > against,
        Comparison.BELOW: value < against,
    }[comparison]


def later_date(day: date, months: int) -> date:
    """The same day of a later (or earlier) month, or that month's last."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    for number in range(day.day, 0, -1):
        try:
            return date(year, month + 1, number)
        except ValueError:
            continue
    raise AssertionError("every month has a first day")


@dataclass
class Reader:
    """Reads terms and conditions on a layout in one world."""

    layout: Layout
    world: World
    as_of: date
    region: str | None
    things: list[Thing] = field(default_factory=list)
    first_uses: set[int] = field(default_factory=set)
    held: dict[int, tuple[Thing, bool]] = field(default_factory=dict)  # whether the rule's clauses hold, by identity
    _matches: dict[tuple[int, int, str, bool], Skin | None] = field(default_factory=dict)
    _found: dict[int, list[Match]] = field(default_factory=dict)
    _by_day: dict[int, dict[int, list[Match]]] = field(default_factory=dict)
    _past: list[Thing] = field(default_factory=list)  # kept, because matches are remembered by identity

    def __post_init__(self) -> None:
        self.things = [thing for thing in self.layout.things if times(self.world, thing)]
        known = {past.product.name for past in self.layout.regimen.history or () if isinstance(past, PastUse)}
        for thing in self.things:
            assert thing.product is not None
            if thing.product.key not in known:
                known.add(thing.product.key)
                self.first_uses.add(id(thing))

    @cached_property
    def days(self) -> dict[int, list[Thing]]:
        """The applications by their day."""
        found: dict[int, list[Thing]] = {}
        for thing in self.things:
            found.setdefault(thing.day, []).append(thing)
        return found

    @cached_property
    def routines(self) -> dict[int, list[Thing]]:
        """The applications by their routine."""
        found: dict[int, list[Thing]] = {}
        for thing in self.things:
            if thing.routine is not None:
                found.setdefault(thing.routine, []).append(thing)
        return found

    def routine_of(self, thing: Thing) -> list[Thing]:
        """The applications of a thing's routine; one repeat of a chain is in no routine."""
        return [] if thing.routine is None else self.routines[thing.routine]

    # --- time ---

    def date_of(self, day: int) -> date:
        """The date of a day; without a calendar day 1 is taken as the as-of date."""
        return (self.layout.regimen.starts or self.as_of) + timedelta(days=day)

    def days_after(self, day: int, duration: nodes.Duration) -> int:
        """The day so long after another: months are those of the calendar where there is one."""
        months = months_of(duration) if duration.unit in (nodes.Unit.MONTH, nodes.Unit.YEAR) else 0
        if months and self.layout.regimen.starts is not None:
            return (later_date(self.date_of(day), months) - self.date_of(0)).days
        return day + duration.days

    # --- terms ---

    def matches(self, term: nodes.Term) -> list[Match]:
        """What a term means, in order, each with the skin that counts: applications, or events."""
        if id(term) not in self._found:
            matched = [(thing, self.match(term, thing)) for thing in self._candidates(term)]
            self._found[id(term)] = [(thing, skin) for thing, skin in matched if skin is not None]
        return self._found[id(term)]

    def matches_near(self, term: nodes.Term, first: int, last: int) -> list[Match]:
        """:meth:`matches` on the days from ``first`` to ``last``."""
        if id(term) not in self._by_day:
            days = self._by_day[id(term)] = {}
            for match in self.matches(term):
                days.setdefault(match[0].day, []).append(match)
        days = self._by_day[id(term)]
        return [match for day in range(first, last + 1) for match in days.get(day, ())]

    def _candidates(self, term: nodes.Term) -> list[Thing]:
        events = [node.event for node in parts_of(term) if isinstance(node, nodes.EventIs)]
        if not events:
            return self.things
        happenings = [thing for event in dict.fromkeys(events) for thing in self.happenings(event)]
        return sorted([*self.things, *happenings], key=lambda thing: thing.moment)

    def happenings(self, name: str) -> list[Thing]:
        """Events of a name, bed times, or intervals of daylight."""
        if name == "daylight":
            return self.layout.daylight
        if name == "bed":
            days = range(self.layout.first, self.layout.end)
            minutes = [(day, day * DAY + self.layout.bed) for day in days]
            return [Thing(at, at, day, "evening", "evening", None, 0, name="bed") for day, at in minutes]
        return [event for event in self.layout.events if event.name == name]

    def match(self, term: nodes.Term, thing: Thing) -> Skin | None:
        """The skin on which a thing is what the term means; None where it is not meant."""
        # Applications of one step differ only in being a first use.
        key = id(term), id(thing.step or thing.event), thing.product.key if thing.product else "", id(thing) in self.first_uses
        if thing.name in ("bed", "daylight"):
            return frozenset() if isinstance(term, nodes.EventIs) and term.event == thing.name else None
        if key not in self._matches:
            self._matches[key] = self._match(term, thing)
        return self._matches[key]

    def _match(self, term: nodes.Term, thing: Thing) -> Skin | None:
        whole = skin_of(self.world, thing)
        if isinstance(term, nodes.EventIs):
            return whole if thing.product is None and thing.name == term.event else None
        if isinstance(term, nodes.OnArea):
            skin = self.match(term.term, thing)
            return None if skin is None else (skin & area_of(self.world, term.area)) or None
        if isinstance(term, nodes.OneOf):
            found = [skin for part in term.terms if (skin := self.match(part, thing)) is not None]
            return frozenset().union(*found) if found else None
        if thing.product is None:
            return None
        if isinstance(term, nodes.AllOf):
            skins = [self.match(part, thing) for part in term.terms]
            return None if None in skins else frozenset.intersection(*skins)  # type: ignore[arg-type]
        if isinstance(term, nodes.Named) and term.name in words.GROUPS:
            return self.match(group_term(term.name), thing)
        inner = getattr(term, "term", None)
        if inner is not None and not isinstance(term, nodes.NotTerm):
            skin = self.match(inner, thing)
            return skin if skin is not None and self._qualifies(term, thing) else None
        return whole if self._is(term, thing) else None

    def _is(self, term: nodes.Term, thing: Thing) -> bool:
        product = thing.product
        assert product is not None
        match term:
            case nodes.AnyProduct():
                return True
            case nodes.BaseIs(base, _):
                return base_of(self.world, product) == base
            case nodes.Named(name, _):
                return any(kind.name == name for kind in product.kinds) or any(
                    name in names for names, _ in ingredients(self.world, product)
                )
            case nodes.NotTerm(inner, _):
                return self.match(inner, thing) is None
            case nodes.Literal(inci, _):
                return any(inci.lower().replace(" ", "-") in names for names, _ in ingredients(self.world, product))
        raise AssertionError(term)

    def _qualifies(self, term: nodes.Term, thing: Thing) -> bool:
        """Whether an application that is what stands inside a term is also what stands around it."""
        product = thing.product
        assert product is not None
        match term:
            case nodes.Except(_, but, _):
                return self.match(but, thing) is None
            case nodes.Measured(inner, measure, comparison, quantity, _):
                return compares(self.measure(measure, inner, product), comparison, quantity.value)
            case nodes.WithContact(_, comparison, duration, _):
                minutes = contact_minutes(self.world, thing)
                if minutes is None:
                    return comparison in (Comparison.AT_LEAST, Comparison.ABOVE)
                return compares(minutes, comparison, duration.minutes)
            case nodes.Contacted(contact, _, _):
                return thing.contact.kind == contact
            case nodes.Marked(mark, _, _):
                return {"prescribed": product.prescribed, "made-up": product.made_up}.get(mark, product.form == mark)
            case nodes.FirstUse():
                return id(thing) in self.first_uses
        raise AssertionError(term)

    def measure(self, name: str, term: nodes.Term, product: Product) -> int | None:
        """A measure; a strength is the sum over what the term names.  None where it does not apply."""
        if name == "strength":
            wanted, but = named_in(term)
            parts = [s for names, s in ingredients(self.world, product) if names & wanted and not names & but]
            return sum(part or 0 for part in parts) if parts else None
        if name == "ph":
            if product.ph is not None:
                return product.ph
            return None if base_of(self.world, product) in words.WATERLESS else self.world["ph", product.key]
        if name == "spf":
            return product.spf if product.spf is not None else self.world.get(("spf", product.key))
        if name == "months-open":
            if product.opened is None:
                return None
            months = 0
            while later_date(product.opened, months + 1) <= self.as_of:
                months += 1
            return months * BILLION
        raise AssertionError(name)

    def says_rinsed(self, term: nodes.Term, thing: Thing) -> bool:
        """Whether the part of a term by which a thing is meant says ``rinsed`` itself."""
        if isinstance(term, nodes.Contacted) and term.contact == "rinsed":
            return True
        if isinstance(term, nodes.OneOf | nodes.AllOf):
            return any(self.match(part, thing) is not None and self.says_rinsed(part, thing) for part in term.terms)
        if isinstance(term, nodes.Named) and term.name in words.GROUPS:
            return self.says_rinsed(group_term(term.name), thing)
        inner = getattr(term, "term", None)
        return inner is not None and not isinstance(term, nodes.NotTerm) and self.says_rinsed(inner, thing)

    def used_before(self, term: nodes.Term) -> list[PastUse]:
        """The history's uses of products that are what a term means."""
        found: list[PastUse] = []
        for past in self.layout.regimen.history or ():
            if isinstance(past, PastUse):
                product = self.layout.regimen.products[past.product.name]
                step = ApplyStep((past.product,), past.place)
                thing = Thing(0, 0, 0, "evening", "evening", 0, 0, product, step, product.contact)
                self._past.append(thing)
                if self._match(term, thing) is not None:
                    found.append(past)
        return found


def named_in(term: nodes.Term) -> tuple[set[str], set[str]]:
    """The substances and families whose strengths a term adds up, and those it leaves out."""
    if isinstance(term, nodes.Named):
        return named_in(group_term(term.name)) if term.name in words.GROUPS else ({term.name}, set())
    if isinstance(term, nodes.Literal):
        return {term.inci.lower().replace(" ", "-")}, set()
    if isinstance(term, nodes.OneOf | nodes.AllOf):
        both = [named_in(part) for part in term.terms]
        return set().union(*(wanted for wanted, _ in both)), set().union(*(but for _, but in both))
    if isinstance(term, nodes.Except):
        wanted, but = named_in(term.term)
        return wanted, but | (named_in(term.but)[0] if isinstance(term.but, nodes.Named | nodes.OneOf) else set())
    inner = getattr(term, "term", None)
    return named_in(inner) if inner is not None and not isinstance(term, nodes.NotTerm) else (set(), set())
