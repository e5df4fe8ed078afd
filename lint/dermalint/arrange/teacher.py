"""Learning facts from the engine: what a finding forbids, found by asking its rule about small regimens."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from dermalint.arrange.lay import Order
from dermalint.arrange.puzzle import Ban, Clash, Count, Fact, Item, Need, Plan, Refused
from dermalint.arrange.wanted import NOWHERE
from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench, judge
from dermalint.packs.model import LinkedRule
from dermalint.packs.references import walk
from dermalint.regimen.model import Days, Mention, Phase, Regimen, Routine, Step, WaitStep
from dermalint.review import with_severities
from dermalint.settings.model import NOTHING_SET, Part
from dermalint.verdict.findings import CERTAIN, SEVERITIES, Finding
from dermalint.verdict.waivers import waive
from dermalint_grammar import nodes
from dermalint_grammar.record import replace

WIDE = 61  # days of the small regimens' cycle, wider than any distance that is tried twice
MIDDLE = 30
LONGEST_WAIT = 60  # minutes; what must be further apart belongs in another routine
_ORDER = (nodes.ApplyChain, nodes.ApplyEdge, nodes.ApplyDirectly, nodes.Wait)
_EXPECT = (nodes.ExpectAround, nodes.ExpectEvery, nodes.Renew)


@dataclass(slots=True)
class Teacher:
    """What the engine has said so far.

    ``part`` is what settings say for the file: other severities of rules.  ``facts`` hold whatever the cycle; ``refused`` are
    plans of one length of cycle and one stretch that were refused;
    ``helpers`` are products (with a slot) that a rule asks for and no wish names.
    """

    bench: Bench
    base: Regimen
    asked: Asked
    items: tuple[Item, ...]
    farthest: int
    severity: str
    order: Order
    part: Part = NOTHING_SET
    facts: dict[Fact, None] = field(default_factory=dict)
    scoped: dict[tuple[int, int], dict[Fact, None]] = field(default_factory=dict)  # by length and stretch
    helpers: set[tuple[str, str]] = field(default_factory=set)
    judged: int = 0
    _rules: dict[str, LinkedRule] = field(default_factory=dict)
    _asked_before: set[tuple[str, tuple[str, ...]]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._rules = {linked.id: linked for linked in self.bench.rules}

    def rule(self, name: str) -> LinkedRule:
        """A rule in force, by its full name."""
        return self._rules[name]

    # --- asking ---

    def judge(self, bench: Bench, regimen: Regimen) -> tuple[Finding, ...]:
        """The findings that make a regimen one that is not accepted."""
        self.judged += 1
        found, _ = judge(bench, regimen, self.asked)
        return self.refusals(found, regimen)

    def refusals(self, found: Iterable[Finding], regimen: Regimen) -> tuple[Finding, ...]:
        """Of these findings those that count: certain, of weight, not waived, not suspended."""
        marked, _ = waive(with_severities(found, self.part), regimen.waivers, self.asked.as_of)
        worst = SEVERITIES.index(self.severity)
        return tuple(
            finding
            for finding in marked
            if finding.certainty == CERTAIN
            and SEVERITIES.index(finding.severity) <= worst
            and finding.waived is None
            and finding.suspended_by is None
        )

    def first_facts(self) -> None:
        """Learn from a regimen that has every item every day, and find the order of its routines."""
        self._learn_order()
        routines = []
        for slot in dict.fromkeys(item.slot for item in self.items):
            there = [number for number, item in enumerate(self.items) if item.slot == slot]
            routines.append(Routine(Mention(slot, NOWHERE), self.order.steps(there), NOWHERE))
        regimen = replace(self.base, phases=(Phase(None, 1, tuple(routines), NOWHERE),))
        timeless = Bench(
            self.bench.world,
            tuple(
                linked
                for linked in self.bench.rules
                if not self.bench.first_weeks(linked) and not isinstance(linked.rule.requirement, (*_ORDER, *_EXPECT))
            ),
            self.bench.plugins,
        )
        for finding in self.judge(timeless, regimen):
            self.learn(finding, None, None)

    # --- learning ---

    def learn(self, finding: Finding, where: tuple[int, int] | None, plan: Plan | None) -> bool:
        """Learn what a finding forbids; ``where`` and ``plan`` say what was refused.  False where nothing new came of it."""
        linked = self._rules[finding.rule]
        requirement = linked.rule.requirement
        key = (finding.rule, tuple(sorted(finding.products)))
        lasting = not self.bench.first_weeks(linked)
        new: list[Fact] = []
        if key not in self._asked_before:
            if lasting:
                self._asked_before.add(key)
            if isinstance(requirement, nodes.UseCount | nodes.UseProducts):
                new = self._counts(linked, finding.products)
            elif isinstance(requirement, _EXPECT):
                new = self._companions(linked, finding.products)
            elif isinstance(requirement, _ORDER) and lasting and self._learn_order():
                return True
            elif len(finding.products) == 1:
                new = self._alone(linked, finding.products[0])
            elif len(finding.products) == 2:
                new = self._pair(linked, *finding.products)
        if new:
            store = self.facts if lasting or where is None else self.scoped.setdefault(where, {})
            fresh = [fact for fact in new if fact not in store]
            store |= dict.fromkeys(fresh)
            if fresh:
                return True
        if where is None or plan is None:
            return False
        chosen = [number for number, item in enumerate(self.items) if item.product in finding.products and item.fixed is None]
        if not chosen:
            return False
        refused = Refused(finding.rule, tuple((number, plan[number]) for number in chosen))
        store = self.scoped.setdefault(where, {})
        if refused in store:
            return False
        store[refused] = None
        return True

    def _of(self, product: str) -> list[int]:
        return [number for number, item in enumerate(self.items) if item.product == product]

    def _single(self, linked: LinkedRule) -> Bench:
        return Bench(self.bench.world, (linked,), self.bench.plugins)

    def _objects(self, linked: LinkedRule, days: dict[int, Sequence[int]], wait: int = 0, products: Sequence[str] = ()) -> bool:
        """Whether a rule objects to items on days of a wide cycle; ``wait`` minutes stand between two of one routine."""
        routines = []
        places: dict[tuple[str, tuple[int, ...]], list[int]] = {}
        by_place: dict[tuple[str, int], list[int]] = {}
        for item, chosen in days.items():
            for day in chosen:
                by_place.setdefault((self.items[item].slot, day), []).append(item)
        for (slot, day), there in by_place.items():
            places.setdefault((slot, tuple(there)), []).append(day)
        for (slot, there_), chosen_days in places.items():
            steps: list[Step] = []
            for item in self.order.sort(there_):
                if steps and wait:
                    steps.append(WaitStep(wait, NOWHERE))
                steps.append(self.items[item].step)
            numbers = tuple(day + 1 for day in sorted(set(chosen_days)))
            routines.append(Routine(Mention(slot, NOWHERE), tuple(steps), NOWHERE, Days(numbers=numbers)))
        regimen = replace(self.base, phases=(Phase(None, WIDE, tuple(routines), NOWHERE),), events=(), starts=None)
        found = self.judge(self._single(linked), regimen)
        return any(set(finding.products) >= set(products) for finding in found) if products else bool(found)

    def _alone(self, linked: LinkedRule, product: str) -> list[Fact]:
        facts: list[Fact] = []
        for item in self._of(product):
            if self._objects(linked, {item: [MIDDLE]}):
                facts.append(Ban(linked.id, item))
            else:
                for off in range(1, self.farthest + 1):
                    if not self._objects(linked, {item: [MIDDLE, MIDDLE + off]}):
                        break
                    facts.append(Clash(linked.id, item, item, off))
        return facts

    def _pair(self, linked: LinkedRule, one: str, two: str) -> list[Fact]:
        facts: list[Fact] = []
        for first in self._of(one):
            for second in self._of(two):
                facts += self._apart(linked, first, second)
        return facts

    def _apart(self, linked: LinkedRule, first: int, second: int) -> list[Fact]:
        both = (self.items[first].product, self.items[second].product)
        facts: list[Fact] = []
        if self._objects(linked, {first: [MIDDLE], second: [MIDDLE]}, 0, both):
            wait = self._enough(linked, first, second, both)
            if wait is not None:
                self.order.waits[first, second] = self.order.waits[second, first] = wait
            else:
                facts.append(Clash(linked.id, first, second, 0))
        for one, two in ((first, second), (second, first)):
            for off in range(1, self.farthest + 1):
                if not self._objects(linked, {one: [MIDDLE], two: [MIDDLE + off]}, 0, both):
                    break
                facts.append(Clash(linked.id, one, two, off))
        return facts

    def _enough(self, linked: LinkedRule, first: int, second: int, both: tuple[str, str]) -> int | None:
        """The wait between two items of one routine that a rule about minutes is content with."""
        apart = getattr(linked.rule.requirement, "apart", None)
        distance = apart.distance if isinstance(apart, nodes.Apart) else None
        if self.items[first].slot != self.items[second].slot or distance is None or not distance.by_clock:
            return None
        wait = int(distance.minutes)
        if wait > LONGEST_WAIT or self._objects(linked, {first: [MIDDLE], second: [MIDDLE]}, wait, both):
            return None
        return wait

    def _counts(self, linked: LinkedRule, products: Sequence[str]) -> list[Fact]:
        """A rule's own number, where it is about the items whatever stands around them."""
        rule = linked.rule
        requirement = rule.requirement
        assert isinstance(requirement, nodes.UseCount | nodes.UseProducts)
        around = any(isinstance(part, nodes.Has | nodes.Around) for condition in rule.conditions for part in walk(condition))
        if requirement.bound is not nodes.Comparison.AT_MOST or around:
            return []
        items = tuple(number for number, item in enumerate(self.items) if item.product in products)
        number, per = requirement.number, requirement.per
        slots = dict.fromkeys(self.items[item].slot for item in items)
        if isinstance(requirement, nodes.UseProducts):
            if per != "routine":
                return []
            return [Count(linked.id, tuple(i for i in items if self.items[i].slot == slot), 1, number, False) for slot in slots]
        by_days = requirement.counted != "times"
        if requirement.counted in slots:
            items = tuple(item for item in items if self.items[item].slot == requirement.counted)
        if per == "row":
            return [Count(linked.id, items, number + 1, number, True)]
        window = {"week": 7, "day": 1, "month": 30, "days": requirement.window}.get(per)
        return [] if window is None else [Count(linked.id, items, window, number, by_days)]

    def _companions(self, linked: LinkedRule, products: Sequence[str]) -> list[Fact]:
        """Which items, on which days, content a rule that asks for a companion."""
        facts: list[Fact] = []
        for product in products:
            for item in self._of(product):
                if not self._objects(linked, {item: [MIDDLE]}):
                    continue
                need = self._needed(linked, item)
                if need is not None:
                    facts.append(need)
        return facts

    def _needed(self, linked: LinkedRule, item: int) -> Need | Ban | None:
        """What an item needs; where nothing contents the rule it cannot stand.  None: helpers are to be taken in."""
        others = [number for number, one in enumerate(self.items) if one.product != self.items[item].product]
        whole = [other for other in others if not self._objects(linked, {item: [MIDDLE], other: range(WIDE)})]
        if not whole:
            before = len(self.helpers)
            self._look_for_helpers(linked, item)
            return Ban(linked.id, item) if len(self.helpers) == before else None
        for offs in ((0,), (1,), (-1,), (0, 1), tuple(range(self.farthest))):
            fitting = tuple(
                other for other in whole if not self._objects(linked, {item: [MIDDLE], other: [MIDDLE + off for off in offs]})
            )
            if fitting:
                return Need(linked.id, item, fitting, offs)
        return Need(linked.id, item, tuple(whole), tuple(range(self.farthest)))

    def _look_for_helpers(self, linked: LinkedRule, item: int) -> None:
        """Products that the file declares and nobody wishes may content the rule."""
        known = {(one.product, one.slot) for one in self.items}
        mine = self.items
        for product in self.base.products:
            for slot in ("morning", "evening"):
                if (product, slot) in known or product == mine[item].product:
                    continue
                from dermalint.arrange.wanted import apply_step

                extra = Item(product, slot, apply_step(product), usual=True)
                self.items = self.order.items = (*mine, extra)
                if not self._objects(linked, {item: [MIDDLE], len(mine): range(WIDE)}):
                    self.helpers.add((product, slot))
                self.items = self.order.items = mine

    def _learn_order(self) -> bool:
        """Find an order of each slot's items that the rules about order accept, as far as there is one."""
        rules = Bench(
            self.bench.world,
            tuple(linked for linked in self.bench.rules if isinstance(linked.rule.requirement, _ORDER)),
            self.bench.plugins,
        )
        learnt = False
        for slot in dict.fromkeys(item.slot for item in self.items):
            there = [number for number, item in enumerate(self.items) if item.slot == slot]
            for _ in range(len(there) * 2):
                routine = Routine(Mention(slot, NOWHERE), self.order.steps(there), NOWHERE)
                regimen = replace(self.base, phases=(Phase(None, 1, (routine,), NOWHERE),), events=())
                changed = False
                for finding in self.judge(rules, regimen):
                    changed = self._turn_round(finding, there) or changed
                learnt = learnt or changed
                if not changed:
                    break
        return learnt

    def _turn_round(self, finding: Finding, there: list[int]) -> bool:
        requirement = self._rules[finding.rule].rule.requirement
        ordered = self.order.sort(there)
        mine = [item for item in ordered if self.items[item].product in finding.products]
        if isinstance(requirement, nodes.ApplyEdge):
            edge = requirement.edge
            new = {
                (other, item) if edge == "last" else (item, other) for item in mine[:1] for other in ordered if other != item
            }
        elif len(mine) != 2:
            return False
        elif isinstance(requirement, nodes.Wait) and (mine[1], mine[0]) not in self.order.before:
            minutes = int(requirement.duration.minutes)
            if self.order.waits.get((mine[0], mine[1]), 0) >= minutes:
                return False
            self.order.waits[mine[0], mine[1]] = minutes
            return True
        else:
            new = {(mine[1], mine[0])}
        new = {pair for pair in new if pair[::-1] not in self.order.before} - self.order.before
        self.order.before |= new
        return bool(new)
