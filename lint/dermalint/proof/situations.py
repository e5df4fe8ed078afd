"""Small plans in which a rule might be broken, for every sort of requirement: what the engine is then asked about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from dermalint.packs.model import LinkedRule
from dermalint.proof.clauses import clauses
from dermalint.proof.cubes import TooMany
from dermalint.proof.drafts import (
    BED,
    EVENT_DAY,
    EVENT_MINUTE,
    SLOTS,
    a_little_nearer,
    another_like,
    as_new,
    at_minute,
    but_not,
    companioned,
    event_on,
    for_days,
    on_same_skin,
    routine,
    used_since,
    with_test,
)
from dermalint.proof.ground import Ground
from dermalint.proof.plans import Plan
from dermalint.proof.samples import HERE, Event, Sample, Samples, length, remark, wait_of
from dermalint.proof.settings import Setting, given, settings_for
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison, ExampleEvent, ExampleStep, Unit
from dermalint_grammar.record import replace

_OPPOSITE = {Comparison.AT_LEAST: Comparison.BELOW, Comparison.AT_MOST: Comparison.ABOVE}
_PLUGGED = (1, 3, 5, 10, 20, 30, 50, 100, 200, 400, 600, 1000, 2000, 5000)  # hundredths of a per cent
_ANY = nodes.AnyProduct(HERE)


class Situations:
    """Makes plans for rules of one ground."""

    def __init__(self, ground: Ground, samples: Samples | None = None, wide: bool = False) -> None:
        self.ground = ground
        self._wide = 4 if wide else 1  # how many times more of the alternatives of a term are tried
        self.samples = samples or Samples(ground.world, ground.cubes, ground.seen)

    def of(self, linked: LinkedRule, most: int = 400) -> Iterator[Plan]:
        """Plans that might break a rule, the plainest first; at most ``most`` of them."""
        return islice(self._all(linked), most)

    def _all(self, linked: LinkedRule) -> Iterator[Plan]:
        try:
            found = self.ground.clauses.possible(clauses(linked.rule.conditions))
        except TooMany:
            found = []
        settings = settings_for(self.ground, found)[:8]
        for variant in range(3):
            skeletons = list(islice(self._skeletons(linked.rule.requirement, variant), 60 * self._wide))
            for setting in settings:
                for plan in skeletons:
                    yield from self._set(plan, setting)

    # --- conditions ---

    def _set(self, plan: Plan, setting: Setting) -> Iterator[Plan]:
        """The plan in a setting, with what its moments ask for beside it."""
        plans = [replace(plan, givens=(*setting.givens, *plan.givens), skin=setting.skin or plan.skin)]
        for condition in setting.moments:
            plans = [after for before in plans for after in self._bring_about(before, condition)]
        yield from plans[:6]

    def _bring_about(self, plan: Plan, condition: nodes.Condition) -> Iterator[Plan]:
        match condition:
            case nodes.Has(where, term, order, anchor):
                for sample in self.samples.of(term, 2):
                    if isinstance(sample, Event):
                        yield replace(plan, events=(*plan.events, event_on(sample)))
                        continue
                    yield from self._beside(plan, sample, where, order)
                    if anchor is not None:
                        for other in self.samples.of(anchor, 1):
                            if isinstance(other, ExampleStep):
                                pair = (other, sample) if order == "after" else (sample, other)
                                for first in self._beside(plan, pair[0], where, None):
                                    yield from self._beside(first, pair[1], where, None)
            case nodes.Around(side, term, duration):
                for sample in self.samples.of(term, 2):
                    yield from self._near(plan, sample, side, duration)
            case nodes.DuringFirst(duration, term, pause=pause):
                yield from self._early(plan, term, duration, pause)

    def _beside(self, plan: Plan, step: ExampleStep, where: str, order: str | None) -> Iterator[Plan]:
        first = plan.routines[0] if plan.routines else routine("evening")
        rest = plan.routines[1:]
        behind = replace(first, steps=(*first.steps, step))
        before = replace(first, steps=(step, *first.steps))
        pair = (behind, before) if order != "before" else (before, behind)
        for changed in pair:
            yield replace(plan, routines=(changed, *rest))
        if where != "routine":
            slot = "morning" if first.slot != "morning" else "evening"
            yield replace(plan, routines=(*plan.routines, routine(slot, step, day=first.day)))

    def _near(self, plan: Plan, sample: Sample, side: str, duration: nodes.Duration) -> Iterator[Plan]:
        if isinstance(sample, Event):
            if sample.event in ("bed", "daylight"):
                yield replace(plan, outdoors=(480, 1080))
                return
            if duration.by_clock and len(plan.routines) == 1 and len(plan.routines[0].steps) == 1:
                step = plan.routines[0].steps[0]
                for minutes in (duration.minutes, duration.minutes + 1):
                    minute = EVENT_MINUTE + (minutes if side == "after" else -minutes)
                    yield replace(plan, routines=(at_minute(minute, step),), events=(*plan.events, event_on(sample)))
            days = duration.days
            for distance in dict.fromkeys((0, days, max(days - 1, 0), 1)):
                day = 1 + distance if side == "before" else 1
                moved = [replace(one, day=(one.day or 1) + (distance if side == "after" else 0)) for one in plan.routines]
                yield replace(plan, routines=tuple(moved), events=(*plan.events, event_on(sample, day)), event_area=sample.area)
            yield replace(plan, events=(*plan.events, event_on(sample, 3)), event_area=sample.area)
            return
        yield from self._beside(plan, sample, "routine", "before" if side == "after" else "after")

    def _early(self, plan: Plan, term: nodes.Term, duration: nodes.Duration, pause: nodes.Duration | None) -> Iterator[Plan]:
        if pause is not None:
            cycle = pause.days + max([2, *(one.day or 0 for one in plan.routines)]) + 1
            days = [one if one.day is not None else replace(one, day=1) for one in plan.routines]
            rest = tuple(one for one in plan.givens if one.kind != "cycle")
            yield replace(plan, routines=tuple(days), givens=(*rest, given("cycle", "", None, length(cycle, Unit.DAY))))
            return
        new = tuple(replace(one, steps=tuple(as_new(step) for step in one.steps)) for one in plan.routines)
        started = replace(plan, routines=new)
        yield started
        for less in (1, 0):  # in use almost so long, and just so long
            since = remark("used", "used", None, length(max(duration.days - less, 1), Unit.DAY))
            yield replace(plan, routines=tuple(used_since(one, since) for one in plan.routines))
        for sample in self.samples.of(term, 1):
            if isinstance(sample, ExampleStep):
                yield from self._beside(started, as_new(sample), "day", None)

    # --- requirements ---

    def _steps(self, term: nodes.Term, most: int, variant: int) -> list[Sample]:
        return self.samples.of(term, most * self._wide, variant)

    def _neutral(self, *out: nodes.Term | None) -> list[ExampleStep]:
        """Steps that are none of some terms."""
        term: nodes.Term = _ANY
        terms = tuple(one for one in out if one is not None)
        if terms:
            term = nodes.NotTerm(nodes.OneOf(terms, HERE) if len(terms) > 1 else terms[0], HERE)
        return [one for one in self.samples.of(term, 2) if isinstance(one, ExampleStep)]

    def _skeletons(self, requirement: nodes.Requirement, variant: int) -> Iterator[Plan]:
        match requirement:
            case nodes.NeverUse(term, slot):
                yield from self._used(term, [slot.text] if slot else ["evening", "morning"], variant)
            case nodes.UseOnly(term, slots):
                allowed = {slot.text for slot in slots}
                yield from self._used(term, [slot for slot in SLOTS if slot not in allowed] or ["evening"], variant)
            case nodes.Separate(first, second, apart):
                yield from self._separate(first, second, apart, variant)
            case nodes.SeparateUses(term, distance):
                yield from self._separate_uses(term, distance, variant)
            case nodes.ApplyChain(links):
                for place, link in enumerate(links):
                    for later in links[place + 1 :]:
                        for a, b in self._pairs(link, later, variant):
                            yield Plan((routine("evening", b, a),))
            case nodes.ApplyEdge(term, edge, but, slot):
                for one in self._steps(term, 3, variant):
                    for x in self._neutral(term, but):
                        if isinstance(one, ExampleStep):
                            pair = (x, one) if edge == "first" else (one, x)
                            yield Plan((routine(slot or "evening", *pair),))
            case nodes.ApplyDirectly(first, second):
                for a, b in self._pairs(first, second, variant):
                    for x in self._neutral(first, second):
                        yield Plan((routine("evening", a, x, b),))
            case nodes.Wait(duration, first, second):
                yield from self._wait(duration, first, second, variant)
            case nodes.UseCount():
                yield from self._count(requirement, variant)
            case nodes.UseProducts():
                yield from self._products(requirement, variant)
            case nodes.UseFor(term, bound, duration):
                for one in self._steps(term, 3, variant):
                    if isinstance(one, ExampleStep):
                        days = duration.days + (1 if bound is Comparison.AT_MOST else -1)
                        yield for_days(Plan((routine("evening", one),)), max(days, 1))
                        yield Plan((routine("evening", one),))
            case nodes.ExpectAround():
                yield from self._around(requirement, variant)
            case nodes.ExpectEvery():
                yield from self._every(requirement, variant)
            case nodes.Renew(companion, duration):
                for one in self._steps(companion, 2, variant):
                    if isinstance(one, ExampleStep):
                        yield Plan((routine("morning", one),), outdoors=(480, 480 + duration.minutes + 1))
            case nodes.Limit():
                yield from self._limit(requirement, variant)

    def _pairs(self, one: nodes.Term, two: nodes.Term, variant: int) -> Iterator[tuple[ExampleStep, ExampleStep]]:
        """Different products for two terms; those that are only one of them first."""
        chosen: list[tuple[ExampleStep, ExampleStep]] = []
        for narrow in (True, False):
            left = self._steps(but_not(one, two) if narrow else one, 3, variant)
            right = self._steps(but_not(two, one) if narrow else two, 3, variant)
            for a in left:
                for b in right:
                    if isinstance(a, ExampleStep) and isinstance(b, ExampleStep):
                        chosen.append((a, another_like(b) if a == b else b))
        yield from dict.fromkeys(chosen)

    def _used(self, term: nodes.Term, slots: Sequence[str], variant: int) -> Iterator[Plan]:
        for sample in self._steps(term, 6, variant):
            if isinstance(sample, Event):
                yield Plan((), (event_on(sample, 3),), event_area=sample.area)
                continue
            for slot in slots:
                yield Plan((routine(slot, sample),))
                yield Plan((routine(slot, sample, day=1),))

    def _separate(self, first: nodes.Term, second: nodes.Term, apart: nodes.Apart, variant: int) -> Iterator[Plan]:
        ones, twos = self._steps(first, 3, variant), self._steps(second, 3, variant)
        for one in ones:
            for two in twos:
                if isinstance(one, Event) and isinstance(two, Event):
                    for distance in (apart.distance, apart.before, apart.after):
                        days = max(distance.days - 1, 0) if distance is not None else 0
                        for pair in ((EVENT_DAY, EVENT_DAY + days), (EVENT_DAY + days, EVENT_DAY)):
                            yield Plan((), (event_on(one, pair[0]), event_on(two, pair[1])))
        for event in (*ones, *twos):
            if isinstance(event, Event):
                steps = [one for one in (*ones, *twos) if isinstance(one, ExampleStep)]
                yield from self._around_event(event, steps, apart, event in twos)
                return
        for a, b in self._pairs(first, second, variant):
            if apart.within == "routine":
                yield Plan((routine("evening", a, b),))
                yield Plan((routine("evening", a, b, day=1),))
                yield Plan((routine("evening", b, a, day=1),))
            elif apart.within == "day":
                yield Plan((routine("morning", a), routine("evening", b)))
                yield Plan((routine("morning", a, day=1), routine("evening", b, day=1)))
            elif apart.within == "duration" and apart.distance is not None:
                yield from a_little_nearer(a, b, apart.distance)
                yield Plan((routine("evening", a, b, day=1),))
            else:
                if apart.before is not None:
                    yield from a_little_nearer(a, b, apart.before)
                    yield Plan((routine("evening", a, b, day=1),))
                if apart.after is not None:
                    yield from a_little_nearer(b, a, apart.after)
                    yield Plan((routine("evening", b, a, day=1),))

    def _around_event(
        self, event: Event, steps: Sequence[ExampleStep], apart: nodes.Apart, event_second: bool
    ) -> Iterator[Plan]:
        """A use before the event and one after it, each as near as the rule just forbids."""
        lengths = [(apart.distance, -1), (apart.distance, 1), (apart.before, -1), (apart.after, 1)]
        for step in steps:
            for distance, way in lengths:
                if distance is None:
                    continue
                side = way if event_second or apart.within == "duration" else -way
                if distance.by_clock:
                    minute = EVENT_MINUTE + side * max(distance.minutes - 1, 0)
                    yield Plan((at_minute(minute, step),), (event_on(event),), event_area=event.area)
                else:
                    day = EVENT_DAY + side * max(distance.days - 1, 0)
                    moved = EVENT_DAY + max(1 - day, 0)
                    slot = "evening" if side > 0 else "morning"
                    yield Plan((routine(slot, step, day=max(day, 1)),), (event_on(event, moved),), event_area=event.area)

    def _separate_uses(self, term: nodes.Term, distance: nodes.Duration, variant: int) -> Iterator[Plan]:
        for a in self._steps(term, 4, variant):
            if isinstance(a, ExampleStep):
                days = max(distance.days - 1, 1)
                cycle = given("cycle", "", None, length(2 * days + 9, Unit.DAY))
                yield Plan((routine("evening", a, day=1), routine("evening", a, day=1 + days)), givens=(cycle,))
                yield Plan((routine("evening", a),))

    def _wait(self, duration: nodes.Duration, first: nodes.Term, second: nodes.Term, variant: int) -> Iterator[Plan]:
        minutes = max(duration.minutes - 1, 0)
        ones, twos = self._steps(first, 3, variant), self._steps(second, 3, variant)
        for one in ones:
            for two in twos:
                if isinstance(one, Event) and isinstance(two, ExampleStep):
                    yield Plan((at_minute(EVENT_MINUTE + minutes, two),), (event_on(one),), event_area=one.area)
                elif isinstance(one, ExampleStep) and isinstance(two, Event):
                    if two.event == "bed":
                        yield Plan((at_minute(BED - minutes, one),))
                        yield Plan((routine("evening", one),))
                    elif two.event == "daylight":
                        yield Plan((routine("morning", one, day=1),), outdoors=(420 + minutes, 900))
                    else:
                        yield Plan((at_minute(EVENT_MINUTE - minutes, one),), (event_on(two),), event_area=two.area)
        for a, b in self._pairs(first, second, variant):
            between = (wait_of(minutes),) if minutes else ()
            yield Plan((routine("evening", a, *between, b),))
            yield Plan((routine("evening", a, b),))

    def _count(self, requirement: nodes.UseCount, variant: int) -> Iterator[Plan]:
        at_most = requirement.bound is Comparison.AT_MOST
        number = requirement.number + 1 if at_most else max(requirement.number - 1, 0)
        slot = requirement.counted if requirement.counted in SLOTS else "evening"
        for a in self._steps(requirement.term, 4, variant):
            if not isinstance(a, ExampleStep):
                continue
            if requirement.per in ("day", "routine"):
                if requirement.counted == "times" and requirement.per == "day":
                    several = [a, another_like(a), another_like(another_like(a))]
                    steps = [(several[place // 4 % 3], SLOTS[place % 4]) for place in range(number)]
                    yield Plan(tuple(routine(s, step, day=1) for step, s in steps))
                    yield Plan(tuple(routine(s, step) for step, s in steps))
                else:
                    copies = [a]
                    while len(copies) < number:
                        copies.append(another_like(copies[-1]))
                    yield Plan((routine(slot, *copies[: max(number, 1)], day=1),))
                continue
            window = {"week": 7, "month": 31, "row": number}.get(requirement.per, requirement.window)
            if at_most:
                cycle = (
                    (given("cycle", "", None, length(2 * window + 7, Unit.DAY)),)
                    if window > 7 or requirement.per == "row"
                    else ()
                )
                days = range(1, min(number, window) + 1)
                extra = tuple(routine(s, a, day=1) for s in SLOTS[: max(number - window, 0)] if s != slot)
                yield Plan((*(routine(slot, a, day=day) for day in days), *extra), givens=cycle)
                yield Plan((routine(slot, a),))
            else:
                for length_of in (max(window, 2), window + 1):
                    cycle = (given("cycle", "", None, length(length_of, Unit.DAY)),)
                    for often in (max(number, 1), requirement.number):
                        days = range(1, often + 1)
                        yield Plan(tuple(routine(slot, a, day=day) for day in days), givens=cycle)

    def _products(self, requirement: nodes.UseProducts, variant: int) -> Iterator[Plan]:
        number = requirement.number + (1 if requirement.bound is Comparison.AT_MOST else -1)
        found = [one for one in self._steps(requirement.term, 8, variant) if isinstance(one, ExampleStep)]
        if not found:
            return
        for one in found[:3]:
            copies = [one]
            while len(copies) < number:
                copies.append(another_like(copies[-1]))
            yield Plan((routine("evening", *copies[: max(number, 1)], day=1),))
        yield Plan((routine("evening", *(found * (number + 1))[: max(number, 1)], day=1),))

    def _around(self, requirement: nodes.ExpectAround, variant: int) -> Iterator[Plan]:
        triggers = self._steps(requirement.trigger, 5, variant)
        companion = requirement.companion
        companions = [] if isinstance(companion, nodes.PatchTest) else self._steps(companion, 2, variant)
        for trigger in triggers:
            events: tuple[ExampleEvent, ...] = ()
            steps: tuple[ExampleStep, ...] = ()
            area = ""
            if isinstance(trigger, Event):
                events, area = (event_on(trigger, 3),), trigger.area
            else:
                steps = (trigger,)
            alone = Plan((routine("evening", *steps),) if steps else (), events, event_area=area)
            yield alone
            yield replace(alone, routines=tuple(replace(one, day=1) for one in alone.routines))
            if isinstance(companion, nodes.PatchTest) and steps and steps[0].what is not None:
                yield replace(alone, routines=(routine("evening", as_new(steps[0])),))
                yield from with_test(alone, as_new(steps[0]), requirement.reach)
            for other in companions:
                if isinstance(other, ExampleStep):
                    yield from companioned(alone, on_same_skin(other, steps), requirement.reach)

    def _every(self, requirement: nodes.ExpectEvery, variant: int) -> Iterator[Plan]:
        slot = requirement.slot if requirement.slot in SLOTS else "evening"
        if requirement.having is not None:
            for a in self._steps(requirement.having, 5, variant):
                if isinstance(a, ExampleStep):
                    yield Plan((routine(slot, a),))
                    yield Plan((routine(slot, a, day=1),))
                    for b in self._steps(requirement.companion, 2, variant):
                        if isinstance(b, ExampleStep):
                            yield Plan((routine(slot, a, b),))
            return
        for x in self._neutral(requirement.companion):
            yield Plan((routine("evening", x),))
            yield Plan((routine("morning", x),))
        for b in self._steps(requirement.companion, 2, variant):
            if isinstance(b, ExampleStep):
                yield Plan((routine(slot, b, day=1),))

    def _limit(self, requirement: nodes.Limit, variant: int) -> Iterator[Plan]:
        measure, term, quantity = requirement.measure.text, requirement.term, requirement.quantity
        beyond = nodes.Measured(term, measure, _OPPOSITE[requirement.bound], quantity, HERE)
        if requirement.total:
            pair = [one for one in self._steps(term, 2, variant) if isinstance(one, ExampleStep)]
            half = quantity.value // 2
            for half_of in pair:
                a = replace(half_of, strength=half)
                b = another_like(replace(half_of, strength=quantity.value - half + BILLION))
                slots = ("evening", "evening") if requirement.per == "routine" else ("morning", "evening")
                if slots[0] == slots[1]:
                    yield Plan((routine("evening", a, b),))
                else:
                    yield Plan((routine(slots[0], a), routine(slots[1], b)))
            return
        if measure == "amount":
            for one in self._steps(term, 2, variant):
                if isinstance(one, ExampleStep):
                    more = quantity.value + (BILLION if requirement.bound is Comparison.AT_MOST else -quantity.value // 2)
                    yield Plan((routine("evening", one),), amount=f"{more / BILLION:g} g")
            return
        if measure in ("strength", "ph", "spf", "months-open", "days-past-expiry"):
            yield from self._used(beyond, ["evening", "morning"], variant)
            return
        for one in self._steps(term, 6, variant):  # what a plugin computes
            if isinstance(one, ExampleStep):
                for hundredths in _PLUGGED:
                    strength = replace(one, strength=hundredths * BILLION // 100) if one.strength is not None else one
                    yield Plan((routine("evening", strength),))
