"""From wishes to a regimen that the engine accepts, or to what clashes.

The search proposes, the engine judges the whole regimen, and each refusal teaches facts that keep the next proposal from the
same fault; see DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from dermalint.arrange.lay import Order, lay
from dermalint.arrange.puzzle import Demand, Plan, Puzzle, cost, levels, unmet
from dermalint.arrange.search import search
from dermalint.arrange.solve import has_solver, solve
from dermalint.arrange.teacher import Teacher
from dermalint.arrange.wanted import NOWHERE, Stretch, Wanted, near_plan, read_wanted, set_puzzle
from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench
from dermalint.regimen.model import ApplyStep, Mention, Phase, Regimen, Step
from dermalint.settings.model import NOTHING_SET, Part
from dermalint.verdict.findings import Finding
from dermalint_grammar.record import Record, replace

MOST_ROUNDS = 80  # proposals for one length of cycle
MOST_HELPERS = 4  # times that products nobody wished are taken in because a rule asks for them
Change = Callable[[Puzzle], Puzzle]
Solver = Callable[[Puzzle, bool], tuple[Plan | None, bool]]


def with_clingo(puzzle: Puzzle, hard: bool) -> tuple[Plan | None, bool]:
    """The best plan by clingo, and whether it is proven to be."""
    return solve(puzzle, hard)


def plainly(puzzle: Puzzle, hard: bool) -> tuple[Plan | None, bool]:
    """The best plan by the plain search.  Raises :class:`~dermalint.arrange.search.TooLarge`."""
    return search(puzzle, hard), True


class Attempt(Record):
    """What came of one length of cycle.

    ``plans`` are by stretch, None where there is none; ``refused`` are the findings of the last proposal where the search gave
    up, so that the regimen is not one that is accepted.
    """

    length: int
    puzzles: tuple[Puzzle, ...]
    plans: tuple[Plan | None, ...]
    regimen: Regimen | None
    proven: bool
    refused: tuple[Finding, ...]
    rounds: int

    @property
    def accepted(self) -> bool:
        """Whether there is a regimen and the engine accepts it."""
        return self.regimen is not None and not self.refused

    def missed(self) -> tuple[Demand, ...]:
        """The wishes that are not met, each once."""
        found: dict[str, Demand] = {}
        for puzzle, plan in zip(self.puzzles, self.plans, strict=True):
            for demand in puzzle.demands if plan is None else unmet(puzzle, plan):
                found.setdefault(demand.wish, demand)
        return tuple(found.values())


@dataclass(slots=True)
class Desk:
    """Everything at hand while one file is arranged."""

    wanted: Wanted
    teacher: Teacher
    solver: Solver
    near: Regimen | None

    def attempt(self, length: int, change: Change = lambda puzzle: puzzle) -> Attempt:
        """The best plan for a length of cycle that the engine accepts; ``change`` alters the wishes."""
        wanted, teacher = self.wanted, self.teacher
        near = None if self.near is None else near_plan(wanted, self.near, length)
        bare = [
            replace(change(set_puzzle(wanted, stretch, length, teacher.bench.world)), near=near) for stretch in wanted.stretches
        ]
        seen: dict[int, tuple[Puzzle, Plan | None, bool]] = {}
        refused: tuple[Finding, ...] = ()
        for count in range(1, MOST_ROUNDS + 1):
            for number, one in enumerate(bare):
                scoped = teacher.scoped.get((length, number), {})
                puzzle = replace(one, facts=(*one.facts, *teacher.facts, *scoped))
                if number not in seen or seen[number][0] != puzzle:
                    seen[number] = (puzzle, *self.solver(puzzle, False))
            puzzles = tuple(seen[number][0] for number in range(len(bare)))
            plans = tuple(seen[number][1] for number in range(len(bare)))
            proven = all(seen[number][2] for number in range(len(bare)))
            if any(plan is None for plan in plans):
                return Attempt(length, puzzles, plans, None, proven, (), count)
            whole = tuple(plan for plan in plans if plan is not None)
            regimen = build_regimen(wanted, teacher.order, whole, length)
            refused = teacher.judge(teacher.bench, regimen)
            if not refused:
                return Attempt(length, puzzles, plans, regimen, proven, (), count)
            helpers = len(teacher.helpers)
            learnt = [self._learn(finding, length, whole) for finding in refused]
            if not any(learnt) or len(teacher.helpers) > helpers:
                break
        return Attempt(length, puzzles, plans, regimen, proven, refused, count)

    def holds(self, length: int, change: Change) -> bool:
        """Whether changed wishes can all be met by a plan that the engine accepts."""
        wanted, teacher = self.wanted, self.teacher
        plans: list[Plan] = []
        for number, stretch in enumerate(wanted.stretches):
            puzzle = change(set_puzzle(wanted, stretch, length, teacher.bench.world))
            scoped = teacher.scoped.get((length, number), {})
            plan, _ = self.solver(replace(puzzle, facts=(*puzzle.facts, *teacher.facts, *scoped)), True)
            if plan is None:
                return False
            plans.append(plan)
        if not teacher.judge(teacher.bench, build_regimen(wanted, teacher.order, tuple(plans), length)):
            return True
        attempt = self.attempt(length, change)
        return attempt.accepted and not attempt.missed()

    def _learn(self, finding: Finding, length: int, plans: tuple[Plan, ...]) -> bool:
        phases = sorted({place.phase - 1 for place in finding.occurs}) or [0]
        learnt = False
        for number in (
            phases if len(phases) > 1 and self.teacher.bench.first_weeks(self.teacher.rule(finding.rule)) else phases[-1:]
        ):
            learnt = self.teacher.learn(finding, (length, number), plans[number]) or learnt
        return learnt


def open_desk(
    bench: Bench,
    regimen: Regimen,
    asked: Asked,
    *,
    near: Regimen | None = None,
    severity: str = "caution",
    solver: Solver | None = None,
    part: Part = NOTHING_SET,
    helpers: Iterable[tuple[str, str]] = (),
) -> Desk:
    """Read the wishes and learn what the engine says of each product by itself and beside each other.

    ``severity`` is the least that a finding must have to be a violation, once settings (``part``) have given rules another one.
    Raises :class:`~dermalint.arrange.wanted.WishError`.
    """
    wanted = read_wanted(regimen, helpers)
    base = replace(regimen, wishes=(), wished_cycle=None, longest_cycle=None, phases=())
    order = Order(wanted.items, dict(regimen.products))
    teacher = Teacher(bench, base, asked, wanted.items, max(wanted.lengths), severity, order, part)
    teacher.first_facts()
    return Desk(wanted, teacher, solver or (with_clingo if has_solver() else plainly), near)


def build_regimen(wanted: Wanted, order: Order, plans: tuple[Plan, ...], length: int) -> Regimen:
    """The regimen of a plan for each stretch."""
    phases: list[Phase] = []
    for stretch, plan in zip(wanted.stretches, plans, strict=True):
        routines = (*lay(order, plan, length), *wanted.kept)
        phases.append(Phase(stretch.days, length, routines, NOWHERE))
    regimen = wanted.regimen
    used = {name.name for phase in phases for routine in phase.routines for step in routine.steps for name in _products(step)}
    used |= {past.product.name for past in regimen.history or ()}
    used |= {name.name for waiver in regimen.waivers for name in waiver.products}
    # Of files that several regimens share only what is used comes along, as the new file stands alone.
    products = {key: product for key, product in regimen.products.items() if key in used or product.place.path is None}
    return replace(regimen, products=products, phases=tuple(phases), wishes=(), wished_cycle=None, longest_cycle=None)


def _products(step: Step) -> tuple[Mention, ...]:
    return step.products if isinstance(step, ApplyStep) else ()


class Arranged(Record):
    """What a file came to: the best attempt, the desk it was made on, and how many lengths of cycle were tried."""

    attempt: Attempt
    desk: Desk
    tried: int

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """The stretches of the plan."""
        return self.desk.wanted.stretches


def arrange(
    bench: Bench,
    regimen: Regimen,
    asked: Asked,
    *,
    near: Regimen | None = None,
    severity: str = "caution",
    solver: Solver | None = None,
    part: Part = NOTHING_SET,
) -> Arranged:
    """The best regimen for the wishes of a file.

    Raises :class:`~dermalint.arrange.wanted.WishError`, and :class:`~dermalint.arrange.search.TooLarge` where the plain search
    is not enough.
    """
    helpers: set[tuple[str, str]] = set()
    for _ in range(MOST_HELPERS):
        desk = open_desk(bench, regimen, asked, near=near, severity=severity, solver=solver, part=part, helpers=helpers)
        attempts = [desk.attempt(length) for length in desk.wanted.lengths]
        if desk.teacher.helpers <= helpers:
            break
        helpers |= desk.teacher.helpers
    best = min(attempts, key=_worth)
    return Arranged(best, desk, len(attempts))


def _worth(attempt: Attempt) -> tuple[object, ...]:
    """The order of attempts with different cycles; counts are taken per 100 days, and a week comes before other lengths."""
    if not attempt.accepted:
        return (1, len(attempt.refused), attempt.length)
    missed: dict[int, int] = {}
    far = disliked = size = total = uneven = 0
    for puzzle, plan in zip(attempt.puzzles, attempt.plans, strict=True):
        assert plan is not None
        price = cost(puzzle, plan)
        order = levels(puzzle)
        for place, level in enumerate(order):
            missed[level] = missed.get(level, 0) + price[place]
        rest = price[len(order) :]
        far += rest[0]
        disliked += rest[1] * 2520 // attempt.length
        size = max(size, rest[2])
        total += rest[3] * 2520 // attempt.length
        uneven += rest[4] * 2520 // attempt.length
    by_level = tuple(missed.get(level, 0) for level in range(10))
    return (0, by_level, far, disliked, size, total, uneven, attempt.length != 7, attempt.length)
