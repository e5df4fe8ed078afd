"""Orders that go round in a circle: products of which no order keeps all rules, shown as the circle."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from dermalint.checks.asked import Asked
from dermalint.checks.examples import MONDAY, build_example
from dermalint.checks.judge import Bench, judge
from dermalint.packs.model import LinkedRule
from dermalint.proof.clauses import clauses, together
from dermalint.proof.cubes import Cube, TooMany, join
from dermalint.proof.flaws import FAULT, Answer, Flaw, Undecided, place_of, spot_of
from dermalint.proof.ground import STANCES, Ground
from dermalint.proof.samples import HERE, Event, Samples
from dermalint.proof.settings import Setting, settings_for
from dermalint.verdict.findings import CERTAIN
from dermalint_grammar import nodes
from dermalint_grammar.record import Record
from dermalint_grammar.write import write_term

LONGEST = 4  # rules in a circle
MOST_TRIED = 2000  # circles looked at

_ANY = nodes.AnyProduct(HERE)


class Edge(Record):
    """One rule says that the first comes before the second."""

    linked: LinkedRule
    before: nodes.Term
    after: nodes.Term
    slot: str | None


def prove_orders(ground: Ground) -> Answer:
    """Look for circles in which at least one rule is to be proven; the engine must object to every order of the products."""
    edges = [edge for linked in ground.rules for edge in _edges(linked)]
    samples = Samples(ground.world, ground.cubes, ground.seen)
    flaws: dict[frozenset[str], Flaw] = {}
    undecided: list[Undecided] = []
    tried = 0
    for circle in _circles(ground, edges):
        rules = frozenset(edge.linked.id for edge in circle)
        if rules in flaws or not ground.concerns(*(edge.linked for edge in circle)):
            continue
        if any(known <= rules for known in flaws):
            continue
        tried += 1
        if tried > MOST_TRIED:
            undecided.append(Undecided("whether there are further circles of orders", f"{MOST_TRIED} were looked at"))
            break
        shown = _confirmed(ground, circle, samples)
        if shown is not None:
            flaws[rules] = _flaw(ground, circle, shown)
    return Answer(tuple(flaws[key] for key in sorted(flaws, key=sorted)), tuple(undecided))


def _edges(linked: LinkedRule) -> Iterator[Edge]:
    requirement = linked.rule.requirement
    if isinstance(requirement, nodes.ApplyChain):
        links = requirement.links
        for place, one in enumerate(links):
            for later in links[place + 1 :]:
                yield Edge(linked, one, later, None)
    elif isinstance(requirement, nodes.ApplyEdge):
        wide = requirement.term if requirement.but is None else nodes.OneOf((requirement.term, requirement.but), HERE)
        rest = nodes.NotTerm(wide, HERE)
        first = requirement.edge == "first"
        before, after = (requirement.term, rest) if first else (rest, requirement.term)
        yield Edge(linked, before, after, requirement.slot)


def _circles(ground: Ground, edges: list[Edge]) -> Iterator[list[Edge]]:
    """Circles of edges, the shortest first: what comes second in one can be what comes first in the next."""
    follows: dict[int, list[int]] = {}
    for number, edge in enumerate(edges):
        follows[number] = [other for other, next_edge in enumerate(edges) if other != number and _meet(ground, edge, next_edge)]
    walks = [[number] for number in range(len(edges))]
    for length in range(2, LONGEST + 1):
        longer: list[list[int]] = []
        for walk in walks:
            for other in follows[walk[-1]]:
                if other > walk[0] and other not in walk and len(longer) < 50_000:
                    longer.append([*walk, other])
        for walk in longer:
            if len(walk) == length and walk[0] in follows[walk[-1]]:
                yield [edges[number] for number in walk]
        walks = longer


def _meet(ground: Ground, edge: Edge, other: Edge) -> bool:
    """Whether a product can be second in one rule and first in the other, and counts as that (the later link wins)."""
    if edge.slot is not None and other.slot is not None and edge.slot != other.slot:
        return False
    try:
        return bool(ground.cubes.possible(_between(ground, edge, other)))
    except TooMany:
        return False


def _between(ground: Ground, edge: Edge, other: Edge) -> list[Cube]:
    """What is second in the one rule and first in the other, by one nature: `retinol` as `retinoid`, not as a `serum` too."""
    cubes = ground.cubes
    alike = [one | two for one in cubes.of(edge.after) for two in cubes.of(other.before) if ground.cubes.one_nature(one, two)]
    return join(alike, cubes.of(other.after, False)) if alike else []


def _confirmed(ground: Ground, circle: list[Edge], samples: Samples) -> list[nodes.ExampleStep] | None:
    """Products of which every order is objected to; None where the engine accepts one."""
    rules = list(dict.fromkeys(edge.linked for edge in circle))
    stance = next((s for s in STANCES if all(_speaks(linked, s) for linked in rules)), None)
    if stance is None:
        return None
    try:
        joint = ground.clauses.possible(together(*(clauses(linked.rule.conditions) for linked in rules)))
    except TooMany:
        return None
    steps: list[nodes.ExampleStep] = []
    for number, edge in enumerate(circle):
        cubes = ground.cubes.possible(_between(ground, circle[number - 1], edge))
        made = [sample for cube in sorted(cubes, key=len) if (sample := samples.make(cube, number)) is not None]
        step = next((one for one in made if not isinstance(one, Event) and one not in steps), None)
        if not isinstance(step, nodes.ExampleStep):
            return None
        steps.append(step)
    slot = next((edge.slot for edge in circle if edge.slot), "evening")
    bench = Bench(ground.world, tuple(rules), ground.plugins)
    for setting in settings_for(ground, joint)[:3]:
        if all(_objects(ground, bench, order, slot, setting, stance) for order in permutations(steps)):
            return steps
    return None


def _speaks(linked: LinkedRule, stance: str) -> bool:
    from dermalint.checks.judge import severity_in

    return severity_in(linked.rule, stance) is not None


def _objects(
    ground: Ground, bench: Bench, order: tuple[nodes.ExampleStep, ...], slot: str, setting: Setting, stance: str
) -> bool:
    routine = nodes.ExampleRoutine(None, False, slot, order, HERE)
    example = nodes.Example(True, setting.givens, (routine,), None, HERE)
    regimen = setting.edit(build_example(example, ground.world))
    found, _ = judge(bench, regimen, Asked(setting.as_of or MONDAY, setting.region, stance))
    return any(finding.certainty == CERTAIN for finding in found)


def _flaw(ground: Ground, circle: list[Edge], steps: list[nodes.ExampleStep]) -> Flaw:
    from dermalint.proof.plans import say_step

    walk = "; ".join(
        f"`{write_term(edge.before)}` before `{write_term(edge.after)}` in {ground.quoted(edge.linked)}" for edge in circle
    )
    shown = ", ".join(say_step(step) for step in steps)
    message = f"These orders go round in a circle: {walk}. Of {shown} in one routine, no order keeps them all."
    first, *rest = circle
    return Flaw(
        "order-cycle", FAULT, message, tuple(dict.fromkeys(edge.linked.id for edge in circle)), place_of(first.linked),
        tuple(spot_of(edge.linked, f"{write_term(edge.before)} before {write_term(edge.after)}") for edge in rest),
        "Take one order out, or except what they share.",
    )  # fmt: skip
