"""The plain search: every choice of days, one item after the other.  For small puzzles, without any extra."""

from __future__ import annotations

from itertools import combinations

from dermalint.arrange.puzzle import Ban, Clash, Count, Fact, Plan, Puzzle, breaks, cost, free_items, items_of, unmet

MOST_CHOICES = 30_000  # partial plans that are looked at before the search gives up


class TooLarge(Exception):
    """The puzzle has more choices than the plain search looks at."""


def search(puzzle: Puzzle, hard: bool = False) -> Plan | None:
    """The cheapest plan by :func:`~dermalint.arrange.puzzle.cost`, or None; ``hard``: any plan that meets every demand.

    Raises :class:`TooLarge`.
    """
    return _Search(puzzle, hard).run()


class _Search:
    """The state of one search."""

    def __init__(self, puzzle: Puzzle, hard: bool) -> None:
        self.puzzle, self.hard = puzzle, hard
        self.order = sorted(free_items(puzzle), key=lambda item: (puzzle.items[item].usual, item))
        self.plan = [item.fixed or frozenset() for item in puzzle.items]
        self.seen = 0
        self.best: tuple[tuple[int, ...], Plan] | None = None
        place = {item: number for number, item in enumerate(self.order)}
        self.ready: list[list[Fact]] = [[] for _ in range(len(self.order) + 1)]
        for fact in puzzle.facts:
            self.ready[max((place.get(item, -1) for item in items_of(fact)), default=-1) + 1].append(fact)
        self.decided: list[list[int]] = [[] for _ in range(len(self.order) + 1)]
        for number, demand in enumerate(puzzle.demands):
            self.decided[max((place.get(item, -1) for item in demand.items), default=-1) + 1].append(number)
        self.levels = sorted({demand.level for demand in puzzle.demands})
        self.choices = [self._choices(item) for item in self.order]

    def _choices(self, item: int) -> list[frozenset[int]]:
        """All sets of days that are possible for an item by itself; those that meet what is wished of it first."""
        days = range(self.puzzle.length)
        own = [fact for fact in self.puzzle.facts if set(items_of(fact)) == {item} and isinstance(fact, Ban | Clash | Count)]
        wished = [demand for demand in self.puzzle.demands if item in demand.items]
        found = []
        trial = [frozenset[int]()] * len(self.puzzle.items)
        for number in range(self.puzzle.length + 1):
            for chosen in map(frozenset, combinations(days, number)):
                trial[item] = chosen
                if not breaks(self.puzzle, trial, own):
                    found.append(chosen)
        found.sort(key=lambda chosen: (not all(d.least <= len(chosen) <= d.most for d in wished), len(chosen), sorted(chosen)))
        return found

    def run(self) -> Plan | None:
        if not breaks(self.puzzle, self.plan, self.ready[0]):
            self._go(0, self._missed(0, (0,) * len(self.levels)))
        return None if self.best is None else self.best[1]

    def _missed(self, depth: int, before: tuple[int, ...]) -> tuple[int, ...]:
        missed = list(before)
        for number in self.decided[depth]:
            demand = self.puzzle.demands[number]
            if demand.never or not demand.least <= sum(len(self.plan[item]) for item in demand.items) <= demand.most:
                missed[self.levels.index(demand.level)] += 1
        return tuple(missed)

    def _go(self, depth: int, missed: tuple[int, ...]) -> None:
        if self.hard and (any(missed) or self.best is not None):
            return
        if self.best is not None and missed > self.best[0][: len(missed)]:
            return
        if depth == len(self.order):
            plan = tuple(self.plan)
            price = cost(self.puzzle, plan)
            if self.best is None or price < self.best[0]:
                self.best = price, plan
            return
        item = self.order[depth]
        for chosen in self.choices[depth]:
            self.seen += 1
            if self.seen > MOST_CHOICES:
                raise TooLarge
            self.plan[item] = chosen
            if not breaks(self.puzzle, self.plan, self.ready[depth + 1]):
                self._go(depth + 1, self._missed(depth + 1, missed))
        self.plan[item] = frozenset()


def feasible(puzzle: Puzzle) -> bool:
    """Whether a plan meets every demand and fact.  Raises :class:`TooLarge`."""
    plan = search(puzzle, hard=True)
    return plan is not None and not unmet(puzzle, plan)
