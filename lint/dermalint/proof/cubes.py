"""Terms as alternatives of plain statements about one product, and which of these contradict themselves.

A *cube* is a set of statements that all hold; a term is a list of cubes of which one holds.  Contradictions are found by the
vocabulary (what is in which family), by intervals of measures and by what excludes what; a contradiction that is found is one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import reduce
from itertools import product as combinations
from typing import NamedTuple

from dermalint.checks.said import is_plain
from dermalint.vocabulary.world import World, label_key
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison
from dermalint_grammar.write import write_term

MOST = 400  # cubes of one term
WHOLE = 100 * BILLION
DOMAINS: dict[str, tuple[int | None, int | None]] = {
    "ph": (0, 14 * BILLION),
    "spf": (0, None),
    "months-open": (0, None),
    "days-past-expiry": (None, None),
    "amount": (0, None),
    "strength": (0, WHOLE),
}
_UPPER = (Comparison.AT_MOST, Comparison.BELOW)
_STRICT = (Comparison.ABOVE, Comparison.BELOW)
_OPPOSITE = {
    Comparison.AT_LEAST: Comparison.BELOW,
    Comparison.BELOW: Comparison.AT_LEAST,
    Comparison.AT_MOST: Comparison.ABOVE,
    Comparison.ABOVE: Comparison.AT_MOST,
}
ENDLESS = 1 << 40  # minutes that something left on stays


class TooMany(Exception):
    """More alternatives than are looked through."""


class Fact(NamedTuple):
    """A statement about a product, or its denial: ``sort`` says about what, ``key`` what is stated."""

    yes: bool
    sort: str  # name, base, contact, minutes, mark, area, measure, event, first, test
    key: str
    comparison: Comparison | None = None
    number: int = 0
    names: frozenset[str] = frozenset()
    but: frozenset[str] = frozenset()


Cube = frozenset[Fact]
TRUE: list[Cube] = [frozenset()]


def join(*alternatives: Sequence[Cube]) -> list[Cube]:
    """The cubes of what holds together.  Raises TooMany."""
    size = 1
    for part in alternatives:
        size *= max(len(part), 1)
    if size > MOST:
        raise TooMany
    return list(dict.fromkeys(frozenset[Fact]().union(*chosen) for chosen in combinations(*alternatives)))


def meet(alternatives: Iterable[Sequence[Cube]]) -> list[Cube]:
    """The cubes of a choice.  Raises TooMany."""
    found = list(dict.fromkeys(cube for part in alternatives for cube in part))
    if len(found) > MOST:
        raise TooMany
    return found


class Cubes:
    """Terms of one world as cubes, with their contradictions; what was worked out is kept."""

    def __init__(self, world: World) -> None:
        self.world = world
        self._kept: dict[tuple[str, bool], list[Cube]] = {}
        self._implied: dict[tuple[str, str], bool | None] = {}
        self._groups: dict[tuple[str, bool], list[Cube]] = {}
        self._names: dict[str, frozenset[str]] = {}
        self._texts: dict[int, tuple[nodes.Term, str]] = {}
        self._contradictions: dict[Cube, str | None] = {}
        self.substances_of: dict[str, frozenset[str]] = {
            family: frozenset(name for name in world.members.get(family, ()) if name in world.substances)
            for family in world.families
        }

    def text(self, term: nodes.Term) -> str:
        """A term as it is written; kept, since terms are asked for again and again."""
        kept = self._texts.get(id(term))
        if kept is None or kept[0] is not term:
            kept = self._texts[id(term)] = (term, write_term(term))
        return kept[1]

    # --- terms ---

    def of(self, term: nodes.Term, yes: bool = True) -> list[Cube]:
        """The cubes in which something is (or is not) what a term means.  Raises TooMany."""
        key = (self.text(term), yes)
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = self._of(term, yes)
        return found

    def _of(self, term: nodes.Term, yes: bool) -> list[Cube]:
        match term:
            case nodes.Named(name) if name in self.world.groups:
                return self._group(name, yes)
            case nodes.Named(name):
                return _one(Fact(yes, "name", name))
            case nodes.Literal(inci):
                return _one(Fact(yes, "name", self.world.labels.get(label_key(inci), label_key(inci))))
            case nodes.AnyProduct():
                return TRUE if yes else []
            case nodes.BaseIs(base):
                return _one(Fact(yes, "base", base))
            case nodes.OneOf(terms) | nodes.AllOf(terms):
                parts = [self.of(part, yes) for part in terms]
                return meet(parts) if isinstance(term, nodes.OneOf) is yes else join(*parts)
            case nodes.NotTerm(inner):
                return self.of(inner, not yes)
            case nodes.Except(inner, but):
                if yes:
                    return join(self.of(inner), self.of(but, False))
                return meet((self.of(inner, False), self.of(but)))
            case nodes.EventIs(event):
                return _one(Fact(yes, "event", event))
            case nodes.PatchTest(inner):
                return _one(Fact(yes, "test", write_term(inner)))
            case nodes.FirstUse(inner):
                return self._narrowed(inner, Fact(yes, "first", ""), yes)
        return self._narrowed(term.term, self._fact_of(term, yes), yes)

    def _narrowed(self, inner: nodes.Term, fact: Fact, yes: bool) -> list[Cube]:
        """``inner`` with a further statement; where it is denied, either may fail."""
        return join(self.of(inner), _one(fact)) if yes else meet((self.of(inner, False), _one(fact)))

    def _group(self, name: str, yes: bool) -> list[Cube]:
        found = self._groups.get((name, yes))
        if found is None:
            found = self._groups[(name, yes)] = self.of(self.world.groups[name].term, yes)
        return found

    def _fact_of(self, term: nodes.Term, yes: bool) -> Fact:
        match term:
            case nodes.Measured(inner, measure, comparison, quantity):
                names, but = self.names_in(inner)
                if measure in DOMAINS and measure != "strength":
                    names = but = frozenset()
                return Fact(yes, "measure", measure, comparison, quantity.value, names, but)
            case nodes.WithContact(_, comparison, duration):
                return Fact(yes, "minutes", "contact", comparison, duration.minutes)
            case nodes.Contacted(contact):
                return Fact(yes, "contact", contact)
            case nodes.Marked(mark):
                return Fact(yes, "mark", mark)
            case nodes.OnArea(_, area):
                return Fact(yes, "area", area, None, self.world.areas.get(area, 0))
        raise TypeError(f"no term: {term!r}")

    def names_in(self, term: nodes.Term) -> tuple[frozenset[str], frozenset[str]]:
        """The substances and families a term sums over for its strength, and those it excepts."""
        match term:
            case nodes.Named(name) if name in self.world.groups:
                return self.names_in(self.world.groups[name].term)
            case nodes.Named(name):
                return frozenset((name,)), frozenset()
            case nodes.Literal(inci):
                key = self.world.labels.get(label_key(inci))
                return frozenset((key,)) if key else frozenset(), frozenset()
            case nodes.OneOf(terms) | nodes.AllOf(terms):
                pairs = [self.names_in(part) for part in terms]
                return frozenset[str]().union(*(p[0] for p in pairs)), frozenset[str]().union(*(p[1] for p in pairs))
            case nodes.Except(inner, but):
                wanted, less = self.names_in(inner)
                return wanted, less | (self.names_in(but)[0] if is_plain(but) else frozenset())
            case nodes.NotTerm() | nodes.EventIs() | nodes.AnyProduct() | nodes.BaseIs():
                return frozenset(), frozenset()
        return self.names_in(term.term)

    def names_of(self, term: nodes.Term) -> frozenset[str]:
        """Every name in a term, groups read out, label names and events too."""
        key = self.text(term)
        if key not in self._names:
            found: set[str] = set()
            waiting: list[object] = [term]
            while waiting:
                part = waiting.pop()
                if isinstance(part, nodes.Named):
                    group = self.world.groups.get(part.name)
                    found.add(part.name)
                    if group is not None:
                        waiting.append(group.term)
                elif isinstance(part, nodes.Literal):
                    found.add(self.world.labels.get(label_key(part.inci), part.inci))
                elif isinstance(part, nodes.EventIs):
                    found.add(f"event {part.event}")
                elif isinstance(part, nodes.OneOf | nodes.AllOf):
                    waiting += part.terms
                elif isinstance(part, nodes.Except):
                    waiting.append(part.term)
                elif not isinstance(part, nodes.NotTerm) and (inner := getattr(part, "term", None)) is not None:
                    waiting.append(inner)
            self._names[key] = frozenset(found)
        return self._names[key]

    # --- questions ---

    def possible(self, cubes: Iterable[Cube]) -> list[Cube]:
        """The cubes that do not contradict themselves."""
        return [cube for cube in cubes if self.contradiction(cube) is None]

    def one_nature(self, one: Cube, two: Cube) -> bool:
        """Whether what the one names is all that the other names, families counted in: no product of two natures is needed."""
        first, second = (
            {(f.sort, f.key) for f in cube if f.yes and f.sort in ("name", "base", "event")} for cube in (one, two)
        )
        return self._natures(first) >= second or self._natures(second) >= first

    def _natures(self, named: set[tuple[str, str]]) -> set[tuple[str, str]]:
        inside = {("name", up) for sort, key in named if sort == "name" for up in self.world.ancestors.get(key, ())}
        return named | inside

    def can_be(self, *terms: nodes.Term) -> bool | None:
        """Whether one thing can be all these terms at once; None where that was not decided."""
        try:
            return bool(self.possible(join(*(self.of(term) for term in terms))))
        except TooMany:
            return None

    def implies(self, term: nodes.Term, other: nodes.Term) -> bool | None:
        """Whether everything that is the first is the second; None where that was not decided."""
        key = (self.text(term), self.text(other))
        if key[0] == key[1]:
            return True
        if key not in self._implied:
            self._implied[key] = self._implies(term, other)
        return self._implied[key]

    def _implies(self, term: nodes.Term, other: nodes.Term) -> bool | None:
        try:
            mine = self.possible(self.of(term))
            theirs = self.of(other, False)
            if len(mine) * max(len(theirs), 1) > 4 * MOST:
                return None
            turned = [(two, {_turned(fact) for fact in two}) for two in theirs]
            return not any(
                one.isdisjoint(denied) and self.contradiction(one | two) is None for one in mine for two, denied in turned
            )
        except TooMany:
            return None

    def contradiction(self, cube: Cube) -> str | None:
        """Why no product can be as a cube says, in words; None where nothing speaks against it."""
        if cube not in self._contradictions:
            self._contradictions[cube] = self._contradiction(cube)
        return self._contradictions[cube]

    def _contradiction(self, cube: Cube) -> str | None:
        for fact in cube:
            if not fact.yes and _turned(fact) in cube:
                return f"it would have to be {_say(fact)} and not be it"
        return (
            self._of_names(cube)
            or _of_exclusive(cube, "base", "base")
            or self._of_contact(cube)
            or self._of_area(cube)
            or self._of_measures(cube)
            or self._of_strength(cube)
            or _of_events(cube)
        )

    def _of_names(self, cube: Cube) -> str | None:
        out = {fact.key for fact in cube if fact.sort == "name" and not fact.yes}
        for fact in cube:
            if fact.sort != "name" or not fact.yes:
                continue
            name = fact.key
            inside = self.world.ancestors.get(name, frozenset((name,)))
            if both := sorted(inside & out):
                return f"{name} is {both[0]}, which is left out"
            if name in self.world.families and name not in self.world.substances:
                members = self.substances_of.get(name, frozenset())
                if not members:
                    return f"the family {name} has no member"
                left = [m for m in members if not self.world.ancestors.get(m, frozenset((m,))) & out]
                if out and not left:
                    return f"every member of {name} is left out"
        return None

    def _of_contact(self, cube: Cube) -> str | None:
        asked = [fact for fact in cube if fact.sort in ("contact", "minutes")]
        if not asked:
            return None
        if any(contact_holds(kind, minutes, asked) for kind, minutes in contacts_for(asked)):
            return None
        return f"nothing stays on the skin as it says ({', '.join(sorted(_say(fact) for fact in asked))})"

    def _of_area(self, cube: Cube) -> str | None:
        out = reduce(lambda mask, fact: mask | fact.number, (f for f in cube if f.sort == "area" and not f.yes), 0)
        for fact in cube:
            if fact.sort == "area" and fact.yes and not fact.number & ~out:
                return f"all of {fact.key} is left out"
        return None

    def _of_measures(self, cube: Cube) -> str | None:
        sorts: dict[tuple[str, frozenset[str], frozenset[str]], list[Fact]] = {}
        for fact in cube:
            if fact.sort == "measure" and fact.key != "strength":
                sorts.setdefault((fact.key, fact.names, fact.but), []).append(fact)
        for (measure, _, _), facts in sorts.items():
            if value_for(facts, DOMAINS.get(measure, (None, None))) is NOTHING:
                return f"no {measure} is {' and '.join(sorted(_bound(fact) for fact in facts))}"
        return None

    def _of_strength(self, cube: Cube) -> str | None:
        facts = [fact for fact in cube if fact.sort == "measure" and fact.key == "strength"]
        if not facts:
            return None
        named = {fact.key for fact in cube if fact.sort == "name" and fact.yes}
        lows: list[tuple[int, bool, Fact]] = []
        highs: list[tuple[int, bool, Fact]] = []
        for fact in facts:
            assert fact.comparison is not None
            comparison = fact.comparison if fact.yes else _OPPOSITE[fact.comparison]
            if comparison in _UPPER:
                highs.append((fact.number, comparison in _STRICT, fact))
            elif fact.yes or named & fact.names:  # where there is none of it, a denial asks for nothing
                lows.append((fact.number, comparison in _STRICT, fact))
        for low, strict, fact in lows:
            if low > WHOLE or (low == WHOLE and strict):
                return f"no strength is {_bound(fact)}"
            for high, strictly, other in highs:
                if (low > high or (low == high and (strict or strictly))) and low > 0 and self._inside(fact, other):
                    return f"no strength is {_bound(fact)} and {_bound(other)}"
        for high, strictly, fact in highs:
            if (fact.yes or named & fact.names) and (high < 0 or (high == 0 and strictly)):
                return f"no strength is {_bound(fact)}"
        return None

    def _inside(self, fact: Fact, other: Fact) -> bool:
        """Whether all that the first sums over, the second sums over too."""
        if fact.names == other.names and fact.but == other.but:
            return True
        ours = self._summed(fact)
        return bool(ours) and ours <= self._summed(other)

    def _summed(self, fact: Fact) -> frozenset[str]:
        found: frozenset[str] = frozenset()
        for name in fact.names:
            found |= self.substances_of.get(name, frozenset()) | ({name} & self.world.substances.keys())
        return frozenset(name for name in found if not self.world.ancestors.get(name, frozenset((name,))) & fact.but)


NOTHING = object()


def value_for(facts: Sequence[Fact], domain: tuple[int | None, int | None]) -> object:
    """A value that compares as all facts say; None where not having the measure does; NOTHING where there is none.

    The value is one of those asked for, or as near to one as can be.
    """
    low, high = domain
    points = [0, *(fact.number + away for fact in facts for away in (0, 1, -1))]
    for value in sorted(set(points), key=lambda point: (min(abs(point - fact.number) for fact in facts), point)):
        if (low is None or value >= low) and (high is None or value <= high) and all(holds(f, value) for f in facts):
            return value
    return NOTHING if any(fact.yes for fact in facts) else None


def holds(fact: Fact, value: int) -> bool:
    """Whether a value compares as a fact says."""
    against = fact.number
    found = {
        Comparison.AT_LEAST: value >= against,
        Comparison.ABOVE: value > against,
        Comparison.AT_MOST: value <= against,
        Comparison.BELOW: value < against,
    }
    assert fact.comparison is not None
    return found[fact.comparison] is fact.yes


def contacts_for(facts: Sequence[Fact]) -> Iterator[tuple[str, int]]:
    """Ways of staying on the skin that could matter to these facts, with their minutes."""
    yield "left-on", ENDLESS
    minutes = {10, *(fact.number + away for fact in facts if fact.sort == "minutes" for away in (0, -1, 1))}
    for kind in ("timed", "rinsed"):
        for length in sorted(minutes):
            if length > 0:
                yield kind, length


def contact_holds(kind: str, minutes: int, facts: Sequence[Fact]) -> bool:
    """Whether a way of staying on the skin is as all facts say."""
    return all(holds(f, minutes) if f.sort == "minutes" else (f.key == kind) is f.yes for f in facts)


def _one(fact: Fact) -> list[Cube]:
    return [frozenset((fact,))]


def _turned(fact: Fact) -> Fact:
    return Fact(not fact.yes, fact.sort, fact.key, fact.comparison, fact.number, fact.names, fact.but)


def _of_exclusive(cube: Cube, sort: str, word: str) -> str | None:
    several = sorted({fact.key for fact in cube if fact.sort == sort and fact.yes})
    return f"one product has one {word}, not {' and '.join(several)}" if len(several) > 1 else None


def _of_events(cube: Cube) -> str | None:
    events = sorted({fact.key for fact in cube if fact.sort == "event" and fact.yes})
    if len(events) > 1:
        return f"one event is not {' and '.join(events)}"
    others = [fact for fact in cube if fact.yes and fact.sort not in ("event", "area")]
    return f"the event {events[0]} is no product" if events and others else None


def _bound(fact: Fact) -> str:
    number = f"{fact.number / BILLION:g}"
    return f"{'' if fact.yes else 'not '}{fact.comparison} {number}{' %' if fact.key == 'strength' else ''}"


def _say(fact: Fact) -> str:
    if fact.sort == "minutes":
        return f"{'' if fact.yes else 'not '}with contact {fact.comparison} {fact.number} minutes"
    if fact.sort == "measure":
        return f"with {fact.key} {fact.comparison} {fact.number / BILLION:g}"
    words = {"base": f"base {fact.key}", "area": f"on {fact.key}", "first": "in its first use", "event": f"event {fact.key}"}
    return ("" if fact.yes or fact.sort == "name" else "not ") + words.get(fact.sort, fact.key)
