"""What is compared: families and substances that the rules keep apart or put in order, named ones, or a regimen's products."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench
from dermalint.packs.model import LinkedRule
from dermalint.packs.references import walk
from dermalint.pairings.model import TOGETHER, Grid, Subject
from dermalint.pairings.probe import NOWHERE, Prober
from dermalint.regimen.model import ApplyStep, Content, Mention, Phase, Product, Regimen
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.record import replace

# Requirements that speak of two applications; any other may do so through a clause (`if routine has …`).
_OF_TWO = (nodes.Separate, nodes.ApplyChain, nodes.ApplyEdge, nodes.ApplyDirectly, nodes.Wait)
_OF_MANY = (nodes.UseCount, nodes.UseProducts, nodes.UseFor, nodes.SeparateUses, nodes.Limit)


class UnknownSubjectError(Exception):
    """A name that is neither a family's nor a substance's; ``name`` is it."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


def compare_names(bench: Bench, asked: Asked, names: Sequence[str] = ()) -> Grid:
    """The grid of the named families and substances; without names, of all that rules about two things name and that is in no
    other of these.  What is in the other is no pair with it.

    Each is stood for by a serum of water that has it, in a strength that is not stated, on the face.  Raises
    :class:`UnknownSubjectError`.
    """
    world = bench.world
    for name in names:
        if name not in world.families and name not in world.substances:
            raise UnknownSubjectError(name)
    rules = tuple(rules_of_two(bench))
    chosen = list(dict.fromkeys(names)) or _widest(_named(rules, world), world)
    empty = Regimen("Pairings", {}, (), NOWHERE)
    grid = _compare(bench, asked, [_stand_in(name, world) for name in chosen], rules, empty, regimen=None)
    return grid if names else _without_loners(grid)


def compare_products(bench: Bench, asked: Asked, regimen: Regimen) -> Grid:
    """The grid of the products that a regimen uses, for its person, each as it is first applied."""
    subjects: dict[str, Subject] = {}
    for phase in regimen.phases:
        for step in _applications(phase):
            for mention in step.products:
                product = regimen.products.get(mention.name)
                if product is not None and product.key not in subjects:
                    alone = replace(
                        step, products=(mention,), as_needed=False, at_most=None, repeat_minutes=None, repeat_until=None
                    )
                    subjects[product.key] = Subject(product.key, product.name or product.key, product, alone)
    return _compare(bench, asked, list(subjects.values()), tuple(rules_of_two(bench)), regimen, regimen=regimen)


def _applications(phase: Phase) -> Iterator[ApplyStep]:
    for routine in phase.routines:
        yield from (step for step in routine.steps if isinstance(step, ApplyStep))


def rules_of_two(bench: Bench) -> Iterator[LinkedRule]:
    """The rules that may speak of how two products are used together."""
    for linked in bench.rules:
        rule = linked.rule
        has = any(isinstance(part, nodes.Has | nodes.Around) for condition in rule.conditions for part in walk(condition))
        if isinstance(rule.requirement, _OF_TWO) or (has and not isinstance(rule.requirement, _OF_MANY)):
            yield linked


def _compare(
    bench: Bench, asked: Asked, subjects: list[Subject], rules: tuple[LinkedRule, ...], base: Regimen, regimen: Regimen | None
) -> Grid:
    suspending = tuple(linked for linked in bench.rules if linked.suspends and linked not in rules)
    prober = Prober(Bench(bench.world, (*rules, *suspending), bench.plugins), asked, base)
    pairs = ((one, other) for one, other in combinations(subjects, 2) if regimen or not _related(one, other, bench.world))
    return Grid(tuple(subjects), tuple(prober.pair(one, other) for one, other in pairs), regimen)


def _named(rules: Iterable[LinkedRule], world: World) -> set[str]:
    """The families and substances that rules which separate or wait name; an order alone is mostly about bases and kinds."""
    found: set[str] = set()
    for linked in rules:
        if isinstance(linked.rule.requirement, nodes.Separate | nodes.Wait):
            found |= _matter(linked.rule.requirement, world, set())
    return found


def _without_loners(grid: Grid) -> Grid:
    """The grid without what no rule keeps apart from anything: what it is kept from may be no family."""
    said = [pairing for pairing in grid.pairings if pairing.ruling.kind != TOGETHER or pairing.some]
    names = {subject.name for pairing in said for subject in (pairing.one, pairing.other)}
    return Grid(
        tuple(subject for subject in grid.subjects if subject.name in names),
        tuple(pairing for pairing in grid.pairings if pairing.one.name in names and pairing.other.name in names),
    )


def _widest(names: set[str], world: World) -> list[str]:
    """The names that are in none of the others: what is said of a family need not be said again of each in it."""
    return sorted(name for name in names if not (world.ancestors.get(name, frozenset()) - {name}) & names)


def _related(one: Subject, other: Subject, world: World) -> bool:
    """Whether one thing is in the other, so that there is no pair."""
    return one.name in world.ancestors.get(other.name, ()) or other.name in world.ancestors.get(one.name, ())


def _matter(node: nodes.Node, world: World, groups: set[str]) -> set[str]:
    found: set[str] = set()
    for part in walk(node):
        if not isinstance(part, nodes.Named):
            continue
        if part.name in world.families or part.name in world.substances:
            found.add(part.name)
        elif part.name in world.groups and part.name not in groups:
            groups.add(part.name)
            found |= _matter(world.groups[part.name].term, world, groups)
    return found


def _stand_in(name: str, world: World) -> Subject:
    if name in world.families:
        title = world.families[name].title
    else:
        title = next(iter(world.substances[name].inci), name)
    product = Product(
        name,
        NOWHERE,
        kinds=(Mention("serum", NOWHERE),) if "serum" in world.kinds else (),
        base=Mention("water", NOWHERE) if "water" in world.bases else None,
        contains=(Content(name, None, NOWHERE),),
    )
    return Subject(name, title, product, ApplyStep((Mention(name, NOWHERE),), NOWHERE))
