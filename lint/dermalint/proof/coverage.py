"""Which clauses and boundaries of a rule its examples show, and examples that would show the others.

A boundary is shown when some example would come out otherwise with the number a step lower, and some with it a step higher: one
at the number, one just beyond it.  A clause is shown when some example would come out otherwise without it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from pathlib import Path

from dermalint.checks.examples import try_examples
from dermalint.checks.judge import Bench
from dermalint.packs.model import LinkedRule
from dermalint.proof.alike import told_apart_by, why_alike
from dermalint.proof.clauses import clauses
from dermalint.proof.cubes import TooMany
from dermalint.proof.ground import Ground
from dermalint.proof.mutants import BOUNDARY, CLAUSE, Mutant, as_linked, mutants
from dermalint.proof.nearby import aimed, same_everywhere, stepped
from dermalint.proof.plans import Judge, Plan, merged
from dermalint.proof.settings import settings_for
from dermalint.proof.situations import Situations
from dermalint.proof.witness import witness_regimen
from dermalint.regimen.write import write_regimen
from dermalint_grammar.nodes import ExampleStep
from dermalint_grammar.record import Record, replace

STARTS, WALK, WIDE = 40, 1200, 160  # plans begun with, all that are looked at, those of rarer alternatives
ASIDE = 3  # plans of a rule changed so that a clause does not hold
KINDS = 14  # sets of products near which examples are looked for


class Shown(Record):
    """A mutant, and whether the rule's examples tell it from the rule; ``alike`` says why none can, where that is proven."""

    mutant: Mutant
    by_examples: bool
    alike: str = ""


class Coverage(Record):
    """What a rule's examples show."""

    rule: str
    shown: tuple[Shown, ...]

    def of(self, sort: str) -> tuple[int, int]:
        """How many changes of a sort (boundary or clause) the examples tell apart, of those that some example could."""
        mine = [one for one in self.shown if one.mutant.sort == sort and not one.alike]
        return sum(one.by_examples for one in mine), len(mine)


class Missing(Record):
    """An example that would show what none shows: for which part, and the example; None where none was found."""

    rule: str
    mutant: Mutant
    plan: Plan | None
    breaks: bool = False


class Covering:
    """Measures coverage and looks for missing examples."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self.narrow = Situations(ground)
        self.situations = Situations(ground, self.narrow.samples, wide=True)

    def measure(self, linked: LinkedRule) -> Coverage:
        """The coverage of a rule."""
        usual = self._outcome(linked)
        found = []
        for mutant in mutants(linked):
            changed = self._outcome(as_linked(linked, mutant, self.ground.world))
            by_examples = changed != usual
            found.append(Shown(mutant, by_examples, "" if by_examples else why_alike(self.ground, linked, mutant)))
        return Coverage(linked.id, tuple(found))

    def _outcome(self, linked: LinkedRule) -> tuple[bool, ...]:
        bench = Bench(self.ground.world, (linked,), self.ground.plugins)
        folder: Path = self.ground.folders[linked.pack]
        return tuple(bool(result.findings) for result in try_examples(bench, linked, folder))

    def missing(self, linked: LinkedRule, coverage: Coverage, sort: str = BOUNDARY) -> Iterator[Missing]:
        """An example for each mutant of a sort that the rule's own do not tell apart; one example may serve for several."""
        left = [one.mutant for one in coverage.shown if one.mutant.sort == sort and not (one.by_examples or one.alike)]
        judge = Judge(self.ground, linked)
        pool = _Pool(self._pool(linked), judge)
        while left:
            mutant = left.pop(0)
            other = Judge(self.ground, as_linked(linked, mutant, self.ground.world))
            own = self._aside(linked, mutant) if sort == CLAUSE else iter(())
            near = ((one, bool(judge.alone(one))) for one in map(merged, own))
            plan = _telling(other, near, in_notation=True)
            plan = plan or _telling(other, pool, in_notation=True) or _telling(other, pool, in_notation=False)
            if plan is None:
                yield Missing(linked.id, mutant, None)
                continue
            breaks = bool(judge.alone(plan))
            yield Missing(linked.id, mutant, plan, breaks)
            left = [
                one for one in left if bool(Judge(self.ground, as_linked(linked, one, self.ground.world)).alone(plan)) is breaks
            ]

    def _aside(self, linked: LinkedRule, mutant: Mutant) -> Iterator[Plan]:
        """Plans that the rule itself would not think of: those of its change, and its own where the clause does not hold."""
        yield from self.narrow.of(as_linked(linked, mutant, self.ground.world), STARTS)
        first = list(islice(self.narrow.of(linked), ASIDE))
        samples = [self.narrow.samples.make(cube) for cube in told_apart_by(self.ground, linked, mutant)[:KINDS]]
        try:
            otherwise = self.ground.clauses.possible(clauses(linked.rule.conditions, False))
        except TooMany:
            otherwise = []
        for plan in first:
            for step in dict.fromkeys(step for one in plan.routines for step in one.steps if step.what is not None):
                for sample in samples:
                    if isinstance(sample, ExampleStep):
                        yield same_everywhere(plan, step, sample)
            for setting in settings_for(self.ground, otherwise)[:KINDS]:
                yield replace(plan, givens=(*setting.givens, *(one for one in plan.givens if one.kind in ("for", "cycle"))))

    def _pool(self, linked: LinkedRule) -> Iterator[Plan]:
        """Plans about the rule, what is likeliest to tell first: those that might break it, and those a step or two away."""
        seen: set[Plan] = set()

        def fresh(plans: Iterable[Plan]) -> Iterator[Plan]:
            for plan in map(merged, plans):
                if plan not in seen and len(seen) < WALK:
                    seen.add(plan)
                    yield plan

        judge = Judge(self.ground, linked)
        first = list(islice(self.narrow.of(linked), STARTS))
        first.sort(key=lambda plan: not judge.alone(plan))
        yield from fresh(first)
        ring = [*first[:3], *_unlike_each_other(first, 4)]
        for plan in dict.fromkeys(ring):
            yield from fresh(change.plan for change in stepped(plan))
            yield from fresh(aimed(plan, linked.rule))
        for plan in first[:2]:
            for other in aimed(plan, linked.rule):
                yield from fresh(aimed(other, linked.rule))
        wide = _unlike_each_other(list(islice(self.situations.of(linked), WIDE)), KINDS)
        yield from fresh(wide)
        for plan in wide:
            yield from fresh(aimed(plan, linked.rule))
        for plan in first[:4]:
            for change in stepped(plan):
                yield from fresh(further.plan for further in stepped(change.plan))


class _Pool:
    """Plans with what a rule says of them, made and judged when they are first asked for."""

    def __init__(self, plans: Iterator[Plan], judge: Judge) -> None:
        self._plans = plans
        self._judge = judge
        self._known: list[tuple[Plan, bool]] = []

    def __iter__(self) -> Iterator[tuple[Plan, bool]]:
        place = 0
        while True:
            if place == len(self._known):
                plan = next(self._plans, None)
                if plan is None:
                    return
                self._known.append((plan, bool(self._judge.alone(plan))))
            yield self._known[place]
            place += 1


def _unlike_each_other(plans: list[Plan], most: int) -> list[Plan]:
    """The first plans of each set of products, so that every alternative of a term is near one of them."""
    kept: dict[tuple[object, ...], Plan] = {}
    for plan in plans:
        heads: tuple[object, ...] = tuple(
            sorted(f"{s.what.text} {s.strength}" for one in plan.routines for s in one.steps if s.what is not None)
        )
        kept.setdefault((*heads, *plan.events), plan)
    return list(kept.values())[:most]


def _telling(other: Judge, pool: Iterable[tuple[Plan, bool]], *, in_notation: bool) -> Plan | None:
    """The smallest of the first few plans in which the rule and its mutant come out otherwise."""
    telling = (plan for plan, broken in pool if plan.in_notation is in_notation and bool(other.alone(plan)) is not broken)
    return min(islice(telling, 3), key=Plan.size, default=None)


def line_of(missing: Missing) -> str:
    """The line to write into the pack."""
    assert missing.plan is not None
    said = missing.plan.written() if missing.plan.in_notation else f'file "{file_of(missing)}"'
    return f"{'breaks' if missing.breaks else 'holds '} {said}"


def file_of(missing: Missing) -> str:
    """The name of the regimen file for a plan that the compact notation cannot say."""
    words = "".join(letter if letter.isalnum() else "-" for letter in f"{missing.mutant.change}")
    return f"examples/{missing.rule.partition('.')[2]}-{words}.regimen.yaml"


def text_of(missing: Missing, ground: Ground) -> str:
    """The text of that file."""
    assert missing.plan is not None
    linked = ground.by_id[missing.rule]
    title = f"{linked.rule.name.text.replace('-', ' ')}: {missing.mutant.change}".capitalize()
    return write_regimen(witness_regimen(missing.plan, ground, linked, title))
