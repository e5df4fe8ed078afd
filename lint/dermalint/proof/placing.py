"""Placing uses in a week so that rules hold: what rules ask, told to the answer-set solver clingo.

The week repeats for ever and has four slots a day at their usual clocks, with waits in a routine; a product is used at most
once in a slot.  Rules that speak of events, first uses, courses, totals or moments are not told to the solver: it then finds
more ways, never fewer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from dermalint.packs.model import LinkedRule
from dermalint.proof.matching import Matching
from dermalint.proof.waiting import LONGEST, Waits
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison

DAYS = 7
SLOTS = ("morning", "midday", "afternoon", "evening")
MINUTES = (420, 750, 930, 1290)
DAY = 1440
_WINDOWS = {"day": 1, "week": 7, "month": 30}
LIMIT = 20_000  # conflicts that one call of the solver may meet
_OPPOSITE = {Comparison.AT_LEAST: Comparison.BELOW, Comparison.AT_MOST: Comparison.ABOVE}

_COMMON = """
{ use(P, D, S) } :- product(P), day(D), slot(S).
{ prec(P, Q, D, S) } :- use(P, D, S), use(Q, D, S), P < Q.
prec(Q, P, D, S) :- use(P, D, S), use(Q, D, S), P < Q, not prec(P, Q, D, S).
:- prec(P, Q, D, S), prec(Q, R, D, S), prec(R, P, D, S), P < Q, P < R.
used(P) :- use(P, _, _).
"""


def is_told(rule: nodes.Rule) -> bool:
    """Whether a rule can be told to the solver."""
    from dermalint.proof.ground import own_terms, parts

    moments = (nodes.Has, nodes.Around, nodes.DuringFirst, nodes.SkinIs)
    if any(isinstance(part, moments) for part in parts(rule.conditions)):
        return False
    strange = (nodes.EventIs, nodes.FirstUse, nodes.PatchTest)
    if any(isinstance(part, strange) for term in own_terms(rule.requirement) for part in parts(term)):
        return False
    requirement = rule.requirement
    if isinstance(requirement, nodes.UseFor | nodes.Renew | nodes.ApplyDirectly):
        return False
    if isinstance(requirement, nodes.Limit) and requirement.total:
        return False
    if isinstance(requirement, nodes.UseCount) and (
        requirement.per == "cycle" or requirement.counted not in ("times", "days", *SLOTS)
    ):
        return False
    if isinstance(requirement, nodes.UseProducts) and requirement.per == "cycle":
        return False
    if isinstance(requirement, nodes.ExpectEvery) and requirement.slot not in (*SLOTS, "day", "routine"):
        return False
    if isinstance(requirement, nodes.ExpectAround):
        reach = requirement.reach
        if reach.where == "every":
            return reach.slot in (*SLOTS, "day")
    return True


class Placing:
    """A solver that knows some products and rules; each rule can be switched on by itself."""

    def __init__(
        self, products: Sequence[nodes.ExampleStep], rules: Sequence[LinkedRule], matching: Matching,
        days: int = DAYS, slots: Sequence[int] = (0, 1, 2, 3), longest_wait: int = LONGEST,
    ) -> None:  # fmt: skip
        import clingo

        self.days = days
        self.slots = tuple(slots)
        self.matching = matching
        self.waits = Waits(longest_wait)
        self.products = products
        self._clingo = clingo
        lines = [
            _COMMON,
            *(f"product({number})." for number in range(len(products))),
            f"day(0..{days - 1}).",
            *(f"slot({slot})." for slot in self.slots),
            *(f"lap({p},{q})." for p in range(len(products)) for q in range(len(products)) if matching.overlap(p, q)),
            *(f"covers({p},{q})." for p in range(len(products)) for q in range(len(products)) if matching.covers(p, q)),
        ]
        for number, linked in enumerate(rules):
            lines += [f"{{ on({number}) }}.", *self._rule(number, linked.rule)]
        lines += self.waits.program()
        self._control = clingo.Control(["--warn=none"])
        self._control.configuration.solve.solve_limit = str(LIMIT)  # type: ignore[union-attr]
        self._control.add("base", [], "\n".join(lines))
        self._control.ground([("base", [])])

    def holds(self, on: Iterable[int], used: Iterable[int] = ()) -> bool | None:
        """Whether the week can be filled so that these rules hold and these products are used; None where undecided."""
        number, function = self._clingo.Number, self._clingo.Function
        given = [(function("on", [number(one)]), True) for one in on]
        given += [(function("used", [number(one)]), True) for one in used]
        result = self._control.solve(assumptions=given)
        if result.satisfiable:
            return True
        return False if result.unsatisfiable else None

    # --- one rule ---

    def _rule(self, number: int, rule: nodes.Rule) -> Iterator[str]:
        requirement: Any = rule.requirement
        how = _TOLD[type(requirement)]
        for head in how(self, requirement):
            yield f":- on({number}), {head}."

    def _among(self, variable: str, found: Iterable[int]) -> str | None:
        listed = [str(number) for number in found]
        return f"{variable} = ({'; '.join(listed)})" if listed else None

    def _means(self, term: nodes.Term, rinsed_too: bool = True) -> list[int]:
        found = [p for p, yes in enumerate(self.matching.of(term)) if yes]
        if not rinsed_too:
            found = [p for p in found if not self.matching.is_rinsed(p)]
        return found

    def _near(self, minutes: int | None, days: int | None) -> Iterator[tuple[int, int, int, int, int]]:
        """Pairs of places nearer than a distance, with 1 where the first lies before the second, -1 after it, 0 in one.

        Of clocks only what is nearer whatever waits there are; one place, where they decide, is left out.
        """
        laps = range(-((days or 0) // self.days) - 2, (days or 0) // self.days + 3)
        for d in range(self.days):
            for s in self.slots:
                for e in range(self.days):
                    for t in self.slots:
                        for lap in laps:
                            other = e + lap * self.days
                            gap = (other * DAY + MINUTES[t]) - (d * DAY + MINUTES[s])
                            if minutes is not None:
                                near = gap != 0 and abs(gap) < minutes - self.waits.longest
                            else:
                                near = abs(other - d) < (days or 0)
                            if near:
                                yield d, s, e, t, (gap > 0) - (gap < 0)

    def _separate(self, requirement: nodes.Separate) -> Iterator[str]:
        from dermalint.proof.implied import _mentions_rinsed

        ones = self._means(requirement.first, _mentions_rinsed(requirement.first))
        twos = self._means(requirement.second, _mentions_rinsed(requirement.second))
        a, b = self._among("P", ones), self._among("Q", twos)
        if a is None or b is None:
            return
        apart = requirement.apart
        if apart.within == "routine":
            yield f"use(P, D, S), use(Q, D, S), P != Q, lap(P, Q), {a}, {b}"
        elif apart.within == "day":
            yield f"use(P, D, _), use(Q, D, _), P != Q, lap(P, Q), {a}, {b}"
        elif apart.within == "duration" and apart.distance is not None:
            pairs = {(d, s, e, t) for d, s, e, t, _ in self._near(*_distance(apart.distance))}
            if pairs:
                yield f"use(P, D, S), use(Q, E, T), P != Q, lap(P, Q), {a}, {b}, {_listed(pairs)}"
            if apart.distance.by_clock:
                yield from self._in_one_routine(ones, twos, apart.distance.minutes)
                yield from self._in_one_routine(twos, ones, apart.distance.minutes)
        else:
            for length, side in ((apart.before, 1), (apart.after, -1)):
                if length is None:
                    continue
                near = list(self._near(*_distance(length)))
                pairs = {(d, s, e, t) for d, s, e, t, way in near if way == side}
                if pairs:
                    yield f"use(P, D, S), use(Q, E, T), P != Q, lap(P, Q), {a}, {b}, {_listed(pairs)}"
                before, after = ("P", "Q") if side == 1 else ("Q", "P")
                if length.by_clock:
                    yield from self._in_one_routine(*((ones, twos) if side == 1 else (twos, ones)), length.minutes)
                elif length.count:
                    yield f"use(P, D, S), use(Q, D, S), prec({before}, {after}, D, S), lap(P, Q), {a}, {b}"

    def _in_one_routine(self, first: Sequence[int], second: Sequence[int], minutes: int) -> Iterator[str]:
        """What forbids that the second follow the first in a routine by less than so many minutes."""
        for p in first if minutes else ():
            for q in second:
                if p != q and self.matching.overlap(p, q):
                    yield self.waits.nearer(p, q, "D, S", minutes)

    def _wait(self, requirement: nodes.Wait) -> Iterator[str]:
        ones, twos = self._means(requirement.first), self._means(requirement.second)
        yield from self._in_one_routine(ones, twos, requirement.duration.minutes)

    def _separate_uses(self, requirement: nodes.SeparateUses) -> Iterator[str]:
        a = self._means(requirement.term)
        one, two = self._among("P", a), self._among("Q", a)
        if one is None or two is None:
            return
        laps = range(-9, 10)
        minutes, days = _distance(requirement.distance)
        pairs = set()
        for d in range(self.days):
            for s in self.slots:
                for e in range(self.days):
                    for t in self.slots:
                        for lap in laps:
                            other = e + lap * self.days
                            gap = abs((other - d) * DAY + MINUTES[t] - MINUTES[s])
                            if other > d and (
                                gap < minutes - self.waits.longest if minutes is not None else other - d < (days or 0)
                            ):
                                pairs.add((d, s, e, t))
        if pairs:
            yield f"use(P, D, S), use(Q, E, T), lap(P, Q), {one}, {two}, {_listed(pairs)}"

    def _chain(self, requirement: nodes.ApplyChain) -> Iterator[str]:
        place: dict[int, int] = {}
        for link, term in enumerate(requirement.links):
            for product in self._means(term):
                place[product] = link
        wrong = [(p, q) for p in place for q in place if p != q and place[p] > place[q]]
        for p, q in wrong:
            yield f"prec({p}, {q}, D, S), lap({p}, {q})"

    def _edge(self, requirement: nodes.ApplyEdge) -> Iterator[str]:
        means = set(self._means(requirement.term))
        but = set(self._means(requirement.but)) if requirement.but is not None else set()
        slot = f", S = {SLOTS.index(requirement.slot)}" if requirement.slot in SLOTS else ""
        for p in sorted(means):
            for q in range(len(self.products)):
                if q not in means and q not in but:
                    pair = f"prec({q}, {p}, D, S)" if requirement.edge == "first" else f"prec({p}, {q}, D, S)"
                    yield f"{pair}, lap({p}, {q}){slot}"

    def _only(self, requirement: nodes.UseOnly) -> Iterator[str]:
        allowed = {slot.text for slot in requirement.slots}
        for p in self._means(requirement.term):
            for slot in self.slots:
                if SLOTS[slot] not in allowed:
                    yield f"use({p}, _, {slot})"

    def _never(self, requirement: nodes.NeverUse) -> Iterator[str]:
        slot = (
            str(SLOTS.index(requirement.slot.text)) if requirement.slot is not None and requirement.slot.text in SLOTS else "_"
        )
        if requirement.slot is None or requirement.slot.text in SLOTS:
            for p in self._means(requirement.term):
                yield f"use({p}, _, {slot})"

    def _limit(self, requirement: nodes.Limit) -> Iterator[str]:
        beyond = nodes.Measured(
            requirement.term, requirement.measure.text, _OPPOSITE[requirement.bound], requirement.quantity, requirement.span
        )
        for p in self._means(beyond):
            yield f"use({p}, _, _)"

    def _count(self, requirement: nodes.UseCount) -> Iterator[str]:
        a = self._among("P", self._means(requirement.term))
        if a is None:
            return
        slot = SLOTS.index(requirement.counted) if requirement.counted in SLOTS else None
        counted = "I, S, P" if requirement.counted == "times" else "I"
        at = f", S = {slot}" if slot is not None else ""
        if requirement.per == "routine":
            if requirement.counted == "times":
                bound = f"> {requirement.number}" if requirement.bound is Comparison.AT_MOST else f"< {requirement.number}"
                has = "" if requirement.bound is Comparison.AT_MOST else f"use(P0, D, S), {a.replace('P', 'P0', 1)}, "
                yield f"day(D), slot(S), {has}#count {{ P : use(P, D, S), {a} }} {bound}"
            return
        window = requirement.number + 1 if requirement.per == "row" else _WINDOWS.get(requirement.per, requirement.window)
        bound = f"> {requirement.number}" if requirement.bound is Comparison.AT_MOST else f"< {requirement.number}"
        has = "" if requirement.bound is Comparison.AT_MOST else f"used(P0), {a.replace('P', 'P0', 1)}, "
        yield (
            f"day(W), {has}#count {{ {counted} : use(P, D, S), I = 0..{window - 1}, "
            f"D = (W + I) \\ {self.days}, {a}{at} }} {bound}"
        )

    def _products(self, requirement: nodes.UseProducts) -> Iterator[str]:
        a = self._among("P", self._means(requirement.term))
        if a is None:
            return
        bound = f"> {requirement.number}" if requirement.bound is Comparison.AT_MOST else f"< {requirement.number}"
        has = a.replace("P", "P0", 1)
        if requirement.per == "routine":
            trigger = "" if requirement.bound is Comparison.AT_MOST else f"use(P0, D, S), {has}, "
            yield f"day(D), slot(S), {trigger}#count {{ P : use(P, D, S), {a} }} {bound}"
            return
        window = _WINDOWS.get(requirement.per, requirement.window)
        # A stretch without any is not asked how many.
        inside = f"use(P0, D0, _), {has}, I0 = 0..{window - 1}, D0 = (W + I0) \\ {self.days}, "
        trigger = "" if requirement.bound is Comparison.AT_MOST else inside
        yield f"day(W), {trigger}#count {{ P : use(P, D, _), I = 0..{window - 1}, D = (W + I) \\ {self.days}, {a} }} {bound}"

    def _around(self, requirement: nodes.ExpectAround) -> Iterator[str]:
        companions = self._means(requirement.companion)
        triggers = self._means(requirement.trigger)
        area = isinstance(requirement.companion, nodes.OnArea)
        after = requirement.side == "after"
        reach = requirement.reach
        for p in triggers:
            fit = [q for q in companions if area or self.matching.covers(q, p)]
            itself = p in companions and reach.where in ("routine", "day", "within")
            if itself:
                continue
            for d in range(self.days):
                for s in self.slots:
                    yield from self._companion(p, d, s, fit, reach, after)

    def _companion(self, p: int, d: int, s: int, fit: list[int], reach: nodes.Reach, after: bool) -> Iterator[str]:
        pairs = [(p, q) if after else (q, p) for q in fit if q != p]
        clock = reach.duration.minutes if reach.duration is not None and reach.duration.by_clock else None
        least = clock or 0 if reach.where == "ahead" else 0
        most = clock if reach.where == "within" else None
        together = (self.waits.follows(first, second, f"{d}, {s}", least, most) for first, second in pairs)
        ways = [way for way in together if way is not None]
        trigger = f"use({p}, {d}, {s})"
        if reach.where == "every":
            length = reach.duration.days if reach.duration is not None else 0
            for i in range(length + 1):
                day = (d + i) % self.days if after else (d - i) % self.days
                if reach.slot == "day":
                    places = [f"use({q}, {day}, {t})" for q in fit for t in self.slots]
                    if i == 0:
                        continue
                else:
                    slot = SLOTS.index(str(reach.slot))
                    if i == 0 and (slot < s if after else slot > s):
                        continue
                    places = [f"use({q}, {day}, {slot})" for q in fit]
                yield ", ".join([trigger, *(f"not {place}" for place in places)])
            return
        if reach.where == "day":
            ways += [f"use({q}, {d}, {t})" for q in fit for t in self.slots if (t > s if after else t < s)]
        elif reach.where in ("within", "ahead") and reach.duration is not None:
            minutes, days = _distance(reach.duration)
            if reach.where == "ahead" and minutes is None:
                ways = []
            for lap in range(-(days or 2) // self.days - 2, (days or 2) // self.days + 3):
                for e in range(self.days):
                    for t in self.slots:
                        other = e + lap * self.days
                        gap = (other - d) * DAY + MINUTES[t] - MINUTES[s]
                        gap = gap if after else -gap
                        apart = gap if minutes is not None else abs(other - d)
                        bound = minutes if minutes is not None else days or 0
                        more = self.waits.longest if minutes is not None else 0
                        fits = gap > 0 and (apart + more >= bound if reach.where == "ahead" else apart - more <= bound)
                        if fits:
                            ways += [f"use({q}, {e}, {t})" for q in fit]
        yield ", ".join([trigger, *(f"not {way}" for way in dict.fromkeys(ways))])

    def _every(self, requirement: nodes.ExpectEvery) -> Iterator[str]:
        companions = self._means(requirement.companion)
        having = self._means(requirement.having) if requirement.having is not None else None
        area = isinstance(requirement.companion, nodes.OnArea)
        for d in range(self.days):
            slots = [SLOTS.index(requirement.slot)] if requirement.slot in SLOTS else list(self.slots)
            spans = [list(self.slots)] if requirement.slot == "day" else [[slot] for slot in slots if slot in self.slots]
            for span in spans:
                if having is None:
                    some = [f"not use({q}, {d}, {t})" for q in companions for t in span]
                    if requirement.slot == "routine":
                        for p in range(len(self.products)):
                            yield ", ".join([f"use({p}, {d}, {span[0]})", *some])
                    else:
                        yield ", ".join([f"day({d})", *some])
                    continue
                for p in having:
                    fit = [q for q in companions if area or self.matching.covers(q, p)]
                    if p in fit:
                        continue
                    some = [f"not use({q}, {d}, {t})" for q in fit for t in span]
                    for t in span:
                        yield ", ".join([f"use({p}, {d}, {t})", *some])


def _distance(length: nodes.Duration) -> tuple[int | None, int | None]:
    return (length.minutes, None) if length.by_clock else (None, length.days)


def _listed(pairs: Iterable[tuple[int, int, int, int]]) -> str:
    return f"(D, S, E, T) = ({'; '.join(str(pair) for pair in sorted(pairs))})"


_TOLD: dict[type, Any] = {
    nodes.Separate: Placing._separate,
    nodes.SeparateUses: Placing._separate_uses,
    nodes.Wait: Placing._wait,
    nodes.ApplyChain: Placing._chain,
    nodes.ApplyEdge: Placing._edge,
    nodes.UseOnly: Placing._only,
    nodes.NeverUse: Placing._never,
    nodes.Limit: Placing._limit,
    nodes.UseCount: Placing._count,
    nodes.UseProducts: Placing._products,
    nodes.ExpectAround: Placing._around,
    nodes.ExpectEvery: Placing._every,
}
