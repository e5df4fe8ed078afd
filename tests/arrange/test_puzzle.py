"""The solver, the plain search and a search that leaves nothing out find the same plan."""

from __future__ import annotations

from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dermalint.arrange.puzzle import Ban, Clash, Count, Fact, Item, Liking, Need, Puzzle, Refused, breaks, cost, unmet
from dermalint.arrange.puzzle import Demand as Wished
from dermalint.arrange.search import TooLarge, search
from dermalint.arrange.solve import solve
from dermalint.regimen.model import ApplyStep
from dermalint.spans import Place

STEP = ApplyStep((), Place(0, 0))


@st.composite
def puzzles(draw: st.DrawFn) -> Puzzle:
    length, number = draw(st.integers(1, 4)), draw(st.integers(1, 3))
    day, item = st.integers(0, length - 1), st.integers(0, number - 1)
    days = st.frozensets(day)
    several = st.lists(item, min_size=1, max_size=number, unique=True).map(tuple)
    slot = st.sampled_from(["morning", "evening"])
    items = [
        Item(f"p{place}", draw(slot), STEP, None, draw(st.none() | st.none() | days), draw(st.booleans()))
        for place in range(number)
    ]
    least = st.integers(0, length)
    demands = draw(
        st.lists(
            st.builds(
                lambda i, n, more, lv, never: Wished(f"w{lv}", i, n, n + more, lv, never),
                several,
                least,
                st.integers(0, 2),
                st.integers(0, 2),
                st.just(False) | st.booleans(),
            ),
            max_size=3,
        )
    )
    likings = st.builds(Liking, item, days=days) | st.builds(
        Liking, item, st.none(), several, st.integers(-1, 2), st.booleans()
    )
    facts = (
        st.builds(Ban, st.just("r"), item, st.none() | days)
        | st.builds(Clash, st.just("r"), item, item, st.integers(0, length))
        | st.builds(Count, st.just("r"), several, st.integers(1, 9), st.integers(0, 5), st.booleans())
        | st.builds(Need, st.just("r"), item, several, st.lists(st.integers(-1, length), min_size=1, max_size=2).map(tuple))
        | st.builds(lambda i, chosen: Refused("r", ((i, chosen),)), item, days)
    )
    near = draw(st.none() | st.tuples(*[days] * number))
    return Puzzle(
        length, tuple(items), tuple(demands), tuple(draw(st.lists(likings, max_size=2))),
        tuple(draw(st.lists(facts, max_size=4))), near,
    )  # fmt: skip


def every_plan(puzzle: Puzzle) -> list[tuple[frozenset[int], ...]]:
    """All plans that break no fact."""
    chosen = [frozenset(days) for number in range(puzzle.length + 1) for days in combinations(range(puzzle.length), number)]
    choices = [chosen if item.fixed is None else [item.fixed] for item in puzzle.items]
    return [plan for plan in product(*choices) if not breaks(puzzle, plan, puzzle.facts)]


@settings(max_examples=80, deadline=None)
@given(puzzles())
def test_no_plan_is_better(puzzle: Puzzle) -> None:
    plans = every_plan(puzzle)
    best = min(plans, key=lambda plan: cost(puzzle, plan), default=None)
    assert search(puzzle) == best
    assert solve(puzzle) == (best, True)
    whole = [plan for plan in plans if not unmet(puzzle, plan)]
    for found in (search(puzzle, hard=True), solve(puzzle, hard=True)[0]):
        assert found in whole if whole else found is None


def test_the_plain_search_gives_up() -> None:
    facts: tuple[Fact, ...] = tuple(Clash("r", one, two, 0) for one in range(9) for two in range(one))
    items = tuple(Item(f"p{number}", "evening", STEP) for number in range(9))
    demands = tuple(Wished(f"w{number}", (number,), 1, 2, 0) for number in range(9))
    with pytest.raises(TooLarge):
        search(Puzzle(8, items, demands, (), facts))
