"""Why wishes cannot be met together: the smallest set that clashes, and what would help."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.arrange.arranging import Arranged, Change, Desk
from dermalint.arrange.puzzle import Demand, Puzzle, unmet
from dermalint_grammar.record import Record, replace

MOST_RELAXATIONS = 5
MOST_FIRST = 8  # smaller wishes that a second one is looked for
MOST_PAIRS = 30  # pairs of smaller wishes that are arranged where no single one is enough
KEPT_WISH = 2  # what giving up a slot kept free, or an order, costs; one day less costs one


class Core(Record):
    """Wishes (by name) and rules (by full name) that exclude each other; none of them can be left out of the clash.

    ``cycle``: the wish does not fit into the length of the cycle, whatever else is wished.
    """

    wishes: tuple[str, ...]
    rules: tuple[str, ...]
    stretch: int
    cycle: bool = False


class Relaxation(Record):
    """A smaller wish, or two, with which more is met than now, as the engine confirmed, and the price."""

    say: str
    price: int


def find_cores(arranged: Arranged) -> tuple[Core, ...]:
    """A smallest clash for each wish that is not met, the same one once; none has a part that could be left out."""
    found: dict[tuple[tuple[str, ...], tuple[str, ...]], Core] = {}
    attempt = arranged.attempt
    for number, (puzzle, plan) in enumerate(zip(attempt.puzzles, attempt.plans, strict=True)):
        for demand in puzzle.demands if plan is None else unmet(puzzle, plan):
            if any(demand.wish in core.wishes for core in found.values()):
                continue
            core = Core((demand.wish,), (), number, True) if demand.never else _shrink(arranged.desk, puzzle, demand, number)
            if core is not None:
                found.setdefault((core.wishes, core.rules), core)
    return tuple(found.values())


def _shrink(desk: Desk, puzzle: Puzzle, missed: Demand, stretch: int) -> Core | None:
    """Leave out one wish or rule after the other, as long as the rest still clashes."""
    asked = (demand.wish for demand in puzzle.demands if not demand.never)
    wishes = list(dict.fromkeys([*asked, *(fact.because for fact in puzzle.facts if _wished(fact.because))]))
    rules = list(dict.fromkeys(fact.because for fact in puzzle.facts if not _wished(fact.because)))
    never = frozenset(demand.wish for demand in puzzle.demands if demand.never)

    def clashes(gone: frozenset[str]) -> bool:
        plan, proven = desk.solver(puzzle.without(gone | never, frozenset()), True)
        return plan is None and proven

    gone: frozenset[str] = frozenset()
    if not clashes(gone):
        return None
    for name in sorted((*wishes, *rules), key=lambda name: name == missed.wish):
        if clashes(gone | {name}):
            gone |= {name}
    return Core(tuple(name for name in wishes if name not in gone), tuple(name for name in rules if name not in gone), stretch)


def _wished(name: str) -> bool:
    return name.startswith("wish ") or name == "introduce"


def find_relaxations(arranged: Arranged, cores: tuple[Core, ...]) -> tuple[Relaxation, ...]:
    """Smaller wishes with which more is met than now, the cheapest first; each was arranged anew and accepted.

    Where none keeps every wish at least in part, two smaller wishes at once are tried, too.
    """
    single = [_Smaller((name,), price, say, change, keeps) for price, name, say, change, keeps in _candidates(arranged, cores)]
    found = _helping(arranged, single)
    if not any(one.keeps for one in found):
        found += _helping(arranged, sorted(_pairs(arranged, [one for one in single if one.keeps]), key=_rank)[:MOST_PAIRS])
    return tuple(Relaxation(one.say, one.price) for one in sorted(found, key=_rank)[:MOST_RELAXATIONS])


class _Smaller(Record):
    """Wishes made smaller; ``keeps`` says that none of them is given up."""

    names: tuple[str, ...]
    price: int
    say: str
    change: Change
    keeps: bool


def _pairs(arranged: Arranged, single: list[_Smaller]) -> Iterator[_Smaller]:
    """Each smaller wish with one that what still clashes then could do with."""
    known: set[tuple[str, ...]] = set()
    for one in sorted(single, key=_rank)[:MOST_FIRST]:
        then = replace(arranged, attempt=arranged.desk.attempt(arranged.attempt.length, one.change))
        for price, name, say, change, keeps in _candidates(then, find_cores(then)):
            pair = tuple(sorted((one.say, say)))
            if keeps and name not in one.names and pair not in known:
                known.add(pair)
                yield _Smaller((*one.names, name), one.price + price, f"{one.say} {say}", _both(one.change, change), True)


def _rank(one: _Smaller) -> tuple[int, tuple[str, ...], str]:
    return one.price, one.names, one.say


def _helping(arranged: Arranged, tried: list[_Smaller]) -> list[_Smaller]:
    """Those with which more is met than now; of the same wishes the cheapest only."""
    now = len(arranged.attempt.missed())
    length = arranged.attempt.length
    found: dict[tuple[str, ...], _Smaller] = {}
    for one in sorted(tried, key=_rank):
        if one.names in found:
            continue
        if len(found) == MOST_RELAXATIONS:
            break
        if now == 1:
            helps = arranged.desk.holds(length, one.change)
        else:
            attempt = arranged.desk.attempt(length, one.change)
            helps = attempt.accepted and len(attempt.missed()) < now
        if helps:
            found[one.names] = one
    return list(found.values())


def _both(one: Change, other: Change) -> Change:
    return lambda puzzle: other(one(puzzle))


def _candidates(arranged: Arranged, cores: tuple[Core, ...]) -> Iterator[tuple[int, str, str, Change, bool]]:
    wanted, length = arranged.desk.wanted, arranged.attempt.length
    demands = {demand.wish: demand for puzzle in arranged.attempt.puzzles for demand in puzzle.demands}
    for name in dict.fromkeys(name for core in cores for name in core.wishes):
        said = wanted.said.get(name, name)
        if name not in demands:
            yield KEPT_WISH, name, f"Give up “{said}”.", _dropping(name), False
            continue
        demand = demands[name]
        product, _, rate = said.partition(": ")
        slot = rate.partition(" ")[0]
        if name.endswith(" ramp"):
            yield demand.least + 1, name, f"Leave out the ramp of {product}.", _dropping(name), False
            continue
        top = demand.most if demand.never else demand.least - 1
        for least in range(top, 0, -1):
            often = f"{least} in {length} days" if length != 7 else f"{least} per week"
            say = f"{product}: {slot} {often} instead of {rate.partition(' ')[2]}."
            yield max(1, demand.least - least), name, say, _lowered(name, least), True
        yield demand.least + 1, name, f"{product}: leave it out instead of {rate}.", _lowered(name, 0), False


def _dropping(name: str) -> Change:
    return lambda puzzle: puzzle.without(frozenset({name}), frozenset())


def _lowered(name: str, least: int) -> Change:
    def change(puzzle: Puzzle) -> Puzzle:
        demands = tuple(
            replace(demand, least=least, most=least if demand.never else demand.most, never=False)
            if demand.wish == name
            else demand
            for demand in puzzle.demands
        )
        return replace(puzzle, demands=demands)

    return change
