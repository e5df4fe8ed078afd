"""The same puzzle for clingo: ground rules, and the costs as optimisation levels in the order of :func:`cost`."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.util import find_spec

from dermalint.arrange.puzzle import Ban, Clash, Count, Fact, Need, Plan, Puzzle, free_items, levels

SECONDS = 20  # for one search; beyond it the best plan so far stands, and is said not to be proven
_ALWAYS = ("--seed=1", "--parallel-mode=1", "--warn=none")
# Cores are what proves crowding and spacing quickly; improving one model after the other took a hundred times as long.
_BEST = ("--models=0", "--opt-strategy=usc,oll", "--opt-usc-shrink=min")


def has_solver() -> bool:
    """Whether clingo is installed."""
    return find_spec("clingo") is not None


def solve(puzzle: Puzzle, hard: bool = False) -> tuple[Plan | None, bool]:
    """The cheapest plan, or None, and whether that is proven; ``hard``: any plan that meets every demand."""
    import clingo

    control = clingo.Control([*_ALWAYS, *(("--models=1",) if hard else _BEST)])
    control.add("base", [], "\n".join(_program(puzzle, hard)))
    control.ground([("base", [])])
    found: list[list[tuple[int, int]]] = []

    def keep(model: clingo.Model) -> None:
        found[:] = [[(atom.arguments[0].number, atom.arguments[1].number) for atom in model.symbols(shown=True)]]

    with control.solve(on_model=keep, async_=True) as handle:
        done = handle.wait(SECONDS)
        if not done:
            handle.cancel()
        result = handle.get()
    if not found:
        return None, bool(result.unsatisfiable)
    plan = [set[int]() for _ in puzzle.items]
    for item, day in found[0]:
        plan[item].add(day)
    return tuple(map(frozenset, plan)), done and (hard or bool(result.exhausted))


def _program(puzzle: Puzzle, hard: bool) -> Iterator[str]:
    length = puzzle.length
    for number, item in enumerate(puzzle.items):
        if item.fixed is None:
            yield f"{{use({number},0..{length - 1})}}."
        else:
            yield from (f"use({number},{day})." for day in sorted(item.fixed))
    yield "#show use/2. #defined use/2."
    for fact in puzzle.facts:
        yield from _fact(puzzle, fact)
    for number, demand in enumerate(puzzle.demands):
        counted = _counted(puzzle, demand.items)
        if demand.never:
            yield f"never({number})." if not hard else ":- ."
        else:
            yield f"met({number}) :- {demand.least} <= #count{{{counted}}} <= {demand.most}."
            if hard:
                yield f":- not met({number})."
    yield "#defined met/1. #defined never/1."
    if not hard:
        yield from _costs(puzzle)


def _counted(puzzle: Puzzle, items: tuple[int, ...]) -> str:
    return "; ".join(f"{item},{day} : use({item},{day})" for item in items for day in range(puzzle.length))


def _fact(puzzle: Puzzle, fact: Fact) -> Iterator[str]:
    length, days = puzzle.length, range(puzzle.length)
    if isinstance(fact, Ban):
        yield from (f":- use({fact.item},{day})." for day in (days if fact.days is None else sorted(fact.days)))
    elif isinstance(fact, Clash):
        if fact.first != fact.second or fact.off:
            for day in days:
                yield f":- use({fact.first},{day}), use({fact.second},{(day + fact.off) % length})."
    elif isinstance(fact, Need):
        for day in days:
            for off in fact.offs:
                lacks = "".join(f", not use({other},{(day + off) % length})" for other in fact.others)
                yield f":- use({fact.item},{day}){lacks}."
    elif isinstance(fact, Count):
        for start in days:
            weights: dict[int, int] = {}
            for step in range(fact.window):
                day = (start + step) % length
                weights[day] = weights.get(day, 0) + 1
            parts = "; ".join(
                f"{weight},{day}{'' if fact.days else f',{item}'} : use({item},{day})"
                for day, weight in sorted(weights.items())
                for item in fact.items
            )
            yield f":- #sum{{{parts}}} > {fact.number}."
    else:
        whole = [f"{'' if day in chosen else 'not '}use({item},{day})" for item, chosen in fact.days for day in days]
        yield f":- {', '.join(whole)}."


def _costs(puzzle: Puzzle) -> Iterator[str]:
    length, days = puzzle.length, range(puzzle.length)
    order = levels(puzzle)
    for number, demand in enumerate(puzzle.demands):
        if not demand.never:
            yield f":~ not met({number}). [1@{100 - order.index(demand.level)},{number}]"
        counted = _counted(puzzle, demand.items)
        for wanted in range(1, demand.least + 1):
            yield f":~ #count{{{counted}}} < {wanted}. [1@80,{number},{wanted}]"
        for over in range(demand.most + 1, length * len(demand.items) + 1):
            yield f":~ #count{{{counted}}} >= {over}. [1@80,{number},{over}]"
    for number, liking in enumerate(puzzle.likings):
        for day in days:
            use = f"use({liking.item},{day})"
            there = [f"use({other},{(day + liking.off) % length})" for other in liking.others]
            if liking.days is not None:
                if day not in liking.days:
                    yield f":~ {use}. [1@70,{number},{day}]"
            elif liking.near:
                yield f":~ {', '.join([use, *(f'not {atom}' for atom in there)])}. [1@70,{number},{day}]"
            else:
                yield from (f":~ {use}, {atom}. [1@70,{number},{day}]" for atom in there)
    slots = sorted({item.slot for item in puzzle.items})
    for slot in slots:
        inside = [number for number, item in enumerate(puzzle.items) if item.slot == slot]
        for size in range(1, len(inside) + 1):
            for day in days:
                parts = "; ".join(f"{number} : use({number},{day})" for number in inside)
                yield f"over({slot},{size}) :- #count{{{parts}}} >= {size}."
            yield f":~ over({slot},{size}). [1@60,{slot},{size}]"
    yield "#defined over/2."
    for number in free_items(puzzle):
        for day in days:
            yield f":~ use({number},{day}). [1@50,{number},{day}]"
            for gap in range(1, length + 1) if not puzzle.items[number].usual else ():
                between = "".join(f", not use({number},{(day + step) % length})" for step in range(1, gap))
                until = f", use({number},{(day + gap) % length})" if gap < length else ""
                yield f":~ use({number},{day}){until}{between}. [{gap * gap}@40,{number},{day}]"
            if puzzle.near is not None:
                was = "not " if day in puzzle.near[number] else ""
                yield f":~ {was}use({number},{day}). [1@30,{number},{day}]"
    for place, number in enumerate(free_items(puzzle)):
        yield from (f":~ use({number},{day}). [{1 << day}@{20 - place},{number},{day}]" for day in days)
