"""Products for terms: the smallest step of an example that a term means, by the engine's own word."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from dermalint.proof.cubes import DOMAINS, ENDLESS, Cube, Cubes, Fact, TooMany, contact_holds, contacts_for, value_for
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison, ExampleStep, Name, Remark, Span, Unit

HERE = Span(0, 0)
FINE = BILLION // 1000  # the step by which strengths beyond a bound are chosen, where a bound is that fine: 0.001 %
_UPPER = (Comparison.AT_MOST, Comparison.BELOW)
_NEVER: Counter[int] = Counter()
_NOTHING: Mapping[str, Counter[int]] = {}
_STRENGTHS = (BILLION, BILLION // 10, 5 * BILLION)
_NEUTRAL = ("serum", "moisturiser", "toner", "cleanser")
_AREAS = ("face", "neck", "hands", "lips", "scalp", "chest", "back", "arms", "legs", "feet", "body")


def name_of(text: str) -> Name:
    """A name that stands nowhere."""
    return Name(text, HERE)


def length(count: int, unit: Unit) -> nodes.Duration:
    """A duration that stands nowhere."""
    return nodes.Duration(count * BILLION, unit, HERE)


def step_of(what: str, strength: int | None = None, remarks: Iterable[Remark] = ()) -> ExampleStep:
    """A step of an example."""
    return ExampleStep(name_of(what), strength, tuple(remarks), None, HERE)


def wait_of(minutes: int) -> ExampleStep:
    """A wait in an example."""
    return ExampleStep(None, None, (), length(minutes, Unit.MINUTE), HERE)


def remark(kind: str, word: str, value: int | None = None, duration: nodes.Duration | None = None) -> Remark:
    """What stands in brackets behind a step."""
    return Remark(kind, word, value, duration, HERE)


class Event(nodes.Node):
    """An event where a product might stand."""

    event: str
    area: str = ""


Sample = ExampleStep | Event


class Samples:
    """Products and events for terms, smallest first; what was made is kept."""

    def __init__(self, world: World, cubes: Cubes, seen: Mapping[str, Counter[int]] = _NOTHING) -> None:
        """``seen`` are the strengths at which the packs' examples have each substance: what is often there is taken first."""
        self.world = world
        self._seen = seen
        self.cubes = cubes
        self._kept: dict[tuple[Cube, int, int], Sample | None] = {}

    def of(self, term: nodes.Term, most: int = 6, strength: int = 0) -> list[Sample]:
        """Up to ``most`` different things that a term means; empty where none is found."""
        try:
            found = self.cubes.possible(self.cubes.of(term))
        except TooMany:
            return []
        made: dict[Sample, None] = {}
        for member in range(3):
            for cube in sorted(found, key=_size):
                sample = self.make(cube, member, _STRENGTHS[strength % len(_STRENGTHS)])
                if sample is not None:
                    made.setdefault(sample)
                if len(made) >= most:
                    return list(made)
        return list(made)

    def make(self, cube: Cube, member: int = 0, strength: int = BILLION) -> Sample | None:
        """A thing that is as a cube says, with the ``member``-th member of each family; None where none was found."""
        key = (cube, member, strength)
        if key not in self._kept:
            self._kept[key] = self._make(cube, member, strength)
        return self._kept[key]

    def _make(self, cube: Cube, member: int, strength: int) -> Sample | None:
        event = next((fact.key for fact in cube if fact.sort == "event" and fact.yes), None)
        areas = self._areas(cube)
        if areas is None:
            return None
        if event is not None:
            return Event(event, areas)
        names = self._names(cube, member)
        if names is None:
            return None
        contents, kinds = names
        strengths = self._strengths(cube, contents, strength)
        if strengths is None:
            return None
        about = self._about(cube)
        if about is None:
            return None
        remarks = list(about)
        if areas:
            remarks.append(remark("area", areas))
        if contents:
            first = strengths.get(contents[0])
            rest = [remark("content", name, strengths.get(name)) for name in contents[1:]]
            return step_of(contents[0], first, [*rest, *(remark("content", kind) for kind in kinds), *remarks])
        head = kinds[0] if kinds else self._neutral(cube)
        if head is None:
            return None
        return step_of(head, None, [*(remark("content", kind) for kind in kinds[1:]), *remarks])

    def _neutral(self, cube: Cube) -> str | None:
        """A kind that a cube does not leave out; a substance where there is none."""
        out = {fact.key for fact in cube if fact.sort == "name" and not fact.yes}
        for name in (*_NEUTRAL, *sorted(self.world.kinds)):
            if name in self.world.kinds and name not in out:
                return name
        for name in sorted(self.world.substances):
            if not self.world.ancestors.get(name, frozenset((name,))) & out:
                return name
        return None

    def _names(self, cube: Cube, member: int) -> tuple[list[str], list[str]] | None:
        out = {fact.key for fact in cube if fact.sort == "name" and not fact.yes}
        asked = sorted(fact.key for fact in cube if fact.sort == "name" and fact.yes)
        kinds = [name for name in asked if name in self.world.kinds]
        chosen: list[str] = []
        matter = [name for name in asked if name not in self.world.kinds]
        for name in sorted(matter, key=lambda one: one in self.world.families and one not in self.world.substances):
            if any(name in self.world.ancestors.get(have, frozenset((have,))) for have in chosen):
                continue
            if name in self.world.substances:
                chosen.append(name)
                continue
            members = [
                one
                for one in self.cubes.substances_of.get(name, frozenset())
                if not self.world.ancestors.get(one, frozenset((one,))) & out
            ]
            if not members:
                return None
            ordered = sorted(
                members,
                key=lambda one: (-sum(self._seen.get(one, _NEVER).values()), len(self.world.ancestors.get(one, ())), one),
            )
            chosen.append(ordered[member % len(ordered)])
        return chosen, kinds

    def _strengths(self, cube: Cube, contents: list[str], usual: int) -> dict[str, int] | None:
        found = {name: self._usual(name, usual) for name in contents}
        for fact in sorted(cube, key=lambda fact: fact.number):
            if fact.sort != "measure" or fact.key != "strength":
                continue
            summed = [name for name in contents if self._counts(fact, name)]
            if not summed:
                if fact.yes:
                    return None
                continue
            total = self._total(cube, fact)
            if total is None:
                return None
            for name in summed[1:]:
                found[name] = min(found[name], total // len(summed))
            found[summed[0]] = total - sum(found[name] for name in summed[1:])
        return found

    def _usual(self, name: str, usual: int) -> int:
        """The strength at which examples have a substance most often, where the plainest is asked for."""
        found = self._seen.get(name)
        return max(found, key=lambda value: (found[value], -value)) if found and usual == _STRENGTHS[0] else usual

    def _total(self, cube: Cube, fact: Fact) -> int | None:
        """The strength of one sum: what its facts ask for, away from a bound by a step where it must be."""
        same = [f for f in cube if f.sort == "measure" and f.key == "strength" and (f.names, f.but) == (fact.names, fact.but)]
        if len({f.number for f in same}) == 1:
            only = same[0]
            inside = value_for(same, DOMAINS["strength"])
            if inside == only.number:
                return only.number
            step = last_place(only.number)
            away = only.number + (step if isinstance(inside, int) and inside > only.number else -step)
            return away if away > 0 else only.number // 2
        inside = value_for(same, DOMAINS["strength"])
        return inside if isinstance(inside, int) else None

    def _counts(self, fact: Fact, name: str) -> bool:
        ancestors = self.world.ancestors.get(name, frozenset((name,)))
        return bool(ancestors & fact.names) and not ancestors & fact.but

    def _about(self, cube: Cube) -> list[Remark] | None:
        """Contact, base, marks and measures of the product itself."""
        remarks: list[Remark] = []
        bases = [fact.key for fact in cube if fact.sort == "base" and fact.yes]
        not_bases = {fact.key for fact in cube if fact.sort == "base" and not fact.yes}
        measures: dict[str, list[Fact]] = {}
        for fact in cube:
            if fact.sort == "measure" and fact.key in DOMAINS and fact.key != "strength":
                measures.setdefault(fact.key, []).append(fact)
        if not bases and (not_bases or "ph" in measures):
            bases = [
                base for base in ("water", *sorted(self.world.bases)) if base not in not_bases and base in self.world.bases
            ]
        if bases:
            remarks.append(remark("base", bases[0]))
        for measure in sorted(measures):
            value = _rounded(measures[measure], DOMAINS[measure])
            if value is None and not any(fact.yes for fact in measures[measure]):
                continue
            if value is None or measure == "amount":
                return None
            remarks.append(remark("measure", measure, value))
        asked = [fact for fact in cube if fact.sort in ("contact", "minutes")]
        if asked:
            contact = next(((kind, m) for kind, m in contacts_for(asked) if contact_holds(kind, m, asked)), None)
            if contact is None:
                return None
            kind, minutes = contact
            timed = any(fact.sort == "minutes" for fact in asked) or kind == "timed"
            if kind != "left-on" or any(fact.yes for fact in asked):
                duration = length(minutes, Unit.MINUTE) if timed and minutes != ENDLESS else None
                remarks.append(remark("contact", kind, None, duration))
        for fact in sorted(cube, key=lambda fact: fact.key):
            if fact.sort == "mark" and fact.yes:
                remarks.append(remark("mark", fact.key))
            if fact.sort == "first" and fact.yes:
                remarks.append(remark("mark", "new"))
            elif fact.sort == "first":
                remarks.append(remark("used", "used", None, length(3, Unit.MONTH)))
        return remarks

    def _areas(self, cube: Cube) -> str | None:
        """An area that a cube allows; the empty name is the face, None where there is none."""
        wanted = [fact for fact in cube if fact.sort == "area" and fact.yes]
        out = 0
        for fact in cube:
            if fact.sort == "area" and not fact.yes:
                out |= fact.number
        if not wanted and not out:
            return ""
        known = self.world.areas
        for area in sorted(known, key=lambda name: (name not in {f.key for f in wanted}, name not in _AREAS, name)):
            mask = known[area]
            if not mask & out and all(mask & fact.number for fact in wanted):
                return "" if area == "face" else area
        return None


def last_place(number: int) -> int:
    """One in the last place that a number is written with: of 0.3 a tenth, of 2 one."""
    step = BILLION
    while step > 1 and number % step:
        step //= 10
    return step


def _rounded(facts: Sequence[Fact], domain: tuple[int | None, int | None]) -> int | None:
    """A value that compares as all facts say, a written step from the bound where it may not be on it."""
    value = value_for(facts, domain)
    if not isinstance(value, int):
        return None
    for fact in facts:
        if abs(value - fact.number) == 1:
            step = last_place(fact.number)
            from dermalint.proof.cubes import holds

            stepped = fact.number + (step if value > fact.number else -step)
            if all(holds(one, stepped) for one in facts) and (domain[0] is None or stepped >= domain[0]):
                return stepped
    return value


def _size(cube: Cube) -> tuple[int, int, list[str]]:
    return (
        sum(fact.yes for fact in cube),
        len(cube),
        sorted(f"{fact.sort} {fact.key} {fact.yes} {fact.number}" for fact in cube),
    )
