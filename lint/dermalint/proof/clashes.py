"""Rules that cannot hold together: what one asks for, others forbid.  The cores are minimal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib.util import find_spec

from dermalint.checks.judge import severity_in
from dermalint.packs.model import LinkedRule
from dermalint.packs.references import walk
from dermalint.proof.clauses import clauses, together
from dermalint.proof.cubes import Cube, TooMany, join
from dermalint.proof.flaws import FAULT, Answer, Flaw, Undecided, place_of, spot_of
from dermalint.proof.ground import STANCES, Ground, own_terms, parts
from dermalint.proof.matching import Matching
from dermalint.proof.placing import LIMIT, Placing, is_told
from dermalint.proof.plans import say_step
from dermalint.proof.samples import Samples
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison
from dermalint_grammar.write import write_term

LARGEST = 4  # rules in a core that is told
CORES = 5  # cores looked for, one rule and product
TRIGGERS, COMPANIONS, ROUNDS = 3, 6, 3
FREE = 12  # alternatives kept of a companion of which other rules do not speak
BEYOND = {Comparison.AT_MOST: Comparison.ABOVE, Comparison.AT_LEAST: Comparison.BELOW}
NO_SOLVER = 'the solver is not installed: pip install "dermalint[solver]"'


def prove_clashes(ground: Ground) -> Answer:
    """Ask for every rule that wants something to be used whether that can be, beside all others that then apply."""
    flaws: dict[frozenset[str], Flaw] = {}
    undecided: list[Undecided] = []
    for flaw in _limits(ground):
        flaws.setdefault(frozenset(flaw.rules), flaw)
    if find_spec("clingo") is None:
        undecided.append(Undecided("which rules cannot hold together in a week", NO_SOLVER))
        return Answer(tuple(flaws.values()), tuple(undecided))
    told = _Told(ground)
    for linked in told.rules:
        wanted = _wanted(linked.rule.requirement)
        if wanted is None:
            continue
        for flaw in _of_rule(ground, linked, wanted, told, undecided):
            key = frozenset(flaw.rules)
            if not any(known <= key for known in flaws):
                flaws[key] = flaw
    return Answer(tuple(flaws[key] for key in sorted(flaws, key=sorted)), tuple(dict.fromkeys(undecided)))


class _Wanted:
    """What a rule wants used (its trigger, None where it asks for something anyway) and what may serve as a companion."""

    def __init__(self, trigger: nodes.Term | None, companion: nodes.Term | None, needs_rule: bool) -> None:
        self.trigger = trigger
        self.companion = companion
        self.needs_rule = needs_rule


def _wanted(requirement: nodes.Requirement) -> _Wanted | None:
    match requirement:
        case nodes.ExpectAround(trigger=trigger, companion=companion):
            return _Wanted(trigger, companion, True)
        case nodes.ExpectEvery(companion=companion, having=having):
            return _Wanted(having, companion, True)
        case nodes.UseCount(term=term, bound=Comparison.AT_LEAST) | nodes.UseProducts(term=term, bound=Comparison.AT_LEAST):
            return _Wanted(term, None, True)
        case nodes.UseOnly(term=term):
            return _Wanted(term, None, True)
        case nodes.NeverUse(term=term, slot=nodes.Name()):
            return _Wanted(term, None, True)
    return None


class _Told:
    """The rules that the solver is told of, and what is asked of them again and again."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self.samples = Samples(ground.world, ground.cubes, ground.seen)
        self.rules = [linked for linked in ground.rules if is_told(linked.rule)]
        self.names: dict[str, frozenset[str]] = {}  # of each rule; empty where it speaks of any product
        self._avoided: list[tuple[frozenset[str], nodes.Term]] = []
        self._companions: dict[str, list[nodes.ExampleStep]] = {}
        for linked in self.rules:
            requirement = linked.rule.requirement
            spoken = []
            for term in own_terms(requirement):
                spoken.append(ground.cubes.names_of(term))
                if isinstance(requirement, nodes.Limit):
                    beyond = BEYOND[requirement.bound]
                    term = nodes.Measured(term, requirement.measure.text, beyond, requirement.quantity, term.span)
                self._avoided.append((spoken[-1], term))
            self.names[linked.id] = frozenset[str]().union(*spoken) if all(spoken) else frozenset()

    def companions(self, term: nodes.Term) -> list[nodes.ExampleStep]:
        """Products that could serve: the plainest, and those of which as few other rules speak as can be."""
        text = write_term(term)
        if text not in self._companions:
            made = [self.samples.make(cube) for cube in self._free(term)]
            further = [sample for sample in made if isinstance(sample, nodes.ExampleStep)]
            self._companions[text] = list(dict.fromkeys([*_steps(self.samples, term, COMPANIONS), *further[:COMPANIONS]]))
        return self._companions[text]

    def _free(self, term: nodes.Term) -> list[Cube]:
        cubes = self.ground.cubes
        names = cubes.names_of(term)
        near = _near(self.ground, names)
        free: list[Cube] = []
        try:
            free = cubes.possible(cubes.of(term))[:FREE]
            for spoken, other in self._avoided:
                if names and spoken and spoken.isdisjoint(near):
                    continue
                away = cubes.of(other, False)
                freed = [cube | denied for cube in free for denied in away if cubes.contradiction(cube | denied) is None]
                free = sorted(freed, key=len)[:FREE] or free
        except TooMany:
            pass  # those found so far will do
        return free


def _of_rule(
    ground: Ground,
    linked: LinkedRule,
    wanted: _Wanted,
    told: _Told,
    undecided: list[Undecided],
) -> Iterator[Flaw]:
    names, samples = told.names, told.samples
    if not ground.concerns(linked):
        near = _near(ground, names[linked.id])
        proven = (other for other in told.rules if ground.concerns(other))
        if not any(not names[other.id] or not names[other.id].isdisjoint(near) for other in proven):
            return
    triggers = _steps(samples, wanted.trigger, TRIGGERS) if wanted.trigger is not None else []
    companions = told.companions(wanted.companion) if wanted.companion is not None else []
    if wanted.trigger is not None and not triggers:
        return
    products = list(dict.fromkeys([*triggers, *companions]))
    if not products:
        return
    for _ in range(ROUNDS):  # what serves as a companion may need one itself
        more = [step for step in _needed(told, products) if step not in products]
        if not more:
            break
        products += more
    answers = _answers(ground, products)
    beside = [
        other
        for other in told.rules
        if other is not linked
        and ground.concerns(linked, other)
        and (not names[other.id] or not names[other.id].isdisjoint(answers))
        and _applies(ground, linked, other)
    ]
    if not beside:
        return
    # Rules with conditions come first: they are taken out of a core first, so that what always clashes is told.
    rules = [linked, *sorted(beside, key=lambda other: -len(other.rule.conditions))]
    # Of a second product of what the trigger is, some rules (`at least 2 products`) need as many as they ask for.
    if isinstance(linked.rule.requirement, nodes.UseProducts):
        products = _several(samples, wanted.trigger, linked.rule.requirement.number, products)
    placing = Placing(products, rules, Matching(ground, products))
    everything = range(len(rules))
    for start in range(len(triggers)) if triggers else (None,):
        used = () if start is None else (start,)
        if not placing.holds((0,), used):
            continue  # it forbids that itself
        left = list(everything[1:])
        for _ in range(CORES):
            core, decided = _core_with_first(placing, left, used)
            if not decided:
                why = f"the solver met {LIMIT:,} conflicts and was stopped"
                undecided.append(Undecided(f"whether {linked.id} can hold beside other rules", why, (linked.id,)))
            if not core:
                break
            found = [linked, *(rules[number] for number in core)]
            if len(found) <= LARGEST and _can_meet(ground, found):
                yield _flaw(ground, found, None if start is None else products[start])
            left.remove(core[0])


def _core_with_first(placing: Placing, members: Sequence[int], used: Sequence[int]) -> tuple[list[int] | None, bool]:
    """A minimal set of rules that cannot hold beside the first, and could without it; and whether all was decided.

    Rules that clash among themselves whatever the first says are a matter of their own: one of them is left aside.
    """
    beside = list(members)
    for _ in members:
        full = placing.holds((0, *beside), used)
        if full is not False:
            return None, full is True
        without = placing.holds(beside, used)
        if without is None:
            return None, False
        if without:
            core = _core(placing, beside, used)
            return core, core is not None
        own = _core(placing, beside, used, first=())
        if not own:
            return None, own is not None
        beside.remove(own[-1])
    return None, True


def _core(placing: Placing, members: list[int], used: Sequence[int], first: Sequence[int] = (0,)) -> list[int] | None:
    """A minimal set of rules that cannot hold with ``first``: each is taken out in turn, and stays if that would help.

    None where the solver reached its bound.
    """
    kept = list(members)
    half = len(kept) // 2
    while half >= 1:  # whole stretches first, so that few calls are needed
        for begin in range(0, len(kept), half):
            rest = kept[:begin] + kept[begin + half :]
            if placing.holds((*first, *rest), used) is False:
                kept = rest
                break
        else:
            half //= 2
            continue
        half = min(half, max(len(kept) // 2, 1)) if kept else 0
    for member in list(kept):
        without = placing.holds((*first, *(one for one in kept if one != member)), used)
        if without is None:
            return None
        if without is False:
            kept.remove(member)
    return kept


def _near(ground: Ground, names: frozenset[str]) -> frozenset[str]:
    """These names, the families above them and what is in them."""
    above = frozenset[str]().union(*(ground.world.ancestors.get(name, frozenset((name,))) for name in names))
    below = frozenset[str]().union(*(ground.world.members.get(name, frozenset((name,))) for name in names))
    return above | below | names


def _steps(samples: Samples, term: nodes.Term, most: int) -> list[nodes.ExampleStep]:
    return [sample for sample in samples.of(term, most) if isinstance(sample, nodes.ExampleStep)]


def _several(
    samples: Samples, term: nodes.Term | None, number: int, products: list[nodes.ExampleStep]
) -> list[nodes.ExampleStep]:
    more = [] if term is None else _steps(samples, term, number + 2)
    return list(dict.fromkeys([*products, *more]))


def _needed(told: _Told, products: Sequence[nodes.ExampleStep]) -> list[nodes.ExampleStep]:
    """Companions that rules ask for beside these products, or anyway where they speak of one of these."""
    matching = Matching(told.ground, products)
    answers = _answers(told.ground, products)
    found: list[nodes.ExampleStep] = []
    for linked in told.rules:
        requirement = linked.rule.requirement
        names = told.names[linked.id]
        if names and names.isdisjoint(answers):
            continue
        if isinstance(requirement, nodes.ExpectAround):
            calls: nodes.Term | None = requirement.trigger
        elif isinstance(requirement, nodes.ExpectEvery):
            calls = requirement.having
        else:
            continue
        if calls is None or any(matching.of(calls)):
            found += told.companions(requirement.companion)
    return list(dict.fromkeys(found))


def _answers(ground: Ground, products: Sequence[nodes.ExampleStep]) -> set[str]:
    """All names that the products answer to, families and the groups of these included."""
    names: set[str] = set()
    for product in products:
        for part in walk(product):
            word = part.text if isinstance(part, nodes.Name) else part.word if isinstance(part, nodes.Remark) else None
            if word is not None:
                names |= ground.world.ancestors.get(word, frozenset((word,)))
    return names


def _applies(ground: Ground, linked: LinkedRule, other: LinkedRule) -> bool:
    """Whether another rule speaks where this one does.

    What is never to be used under a condition is an exception that its author made; it counts only where the condition is
    one of this rule's own.
    """
    if not any(severity_in(linked.rule, stance) and severity_in(other.rule, stance) for stance in STANCES):
        return False
    requirement = other.rule.requirement
    if isinstance(requirement, nodes.NeverUse | nodes.Limit) and other.rule.conditions:
        return bool(ground.clauses.implies(linked.rule.conditions, other.rule.conditions))
    return bool(ground.clauses.can_hold(linked.rule, other.rule))


def _can_meet(ground: Ground, rules: Sequence[LinkedRule]) -> bool:
    if ground.stance_of(*rules) is None:
        return False
    if any(other.id in linked.suspends for linked in rules for other in rules):
        return False
    return bool(ground.clauses.can_hold(*(linked.rule for linked in rules)))


def _flaw(ground: Ground, rules: Sequence[LinkedRule], step: nodes.ExampleStep | None) -> Flaw:
    first, *rest = rules
    how_many = "These two rules" if len(rules) == 2 else f"These {len(rules)} rules"
    listed = "; ".join(ground.quoted(linked) for linked in rules)
    week = "week at the usual clocks, with waits of up to an hour in a routine," if any(map(_by_clock, rules)) else "week"
    shown = f"no {week} keeps all of them{_when(ground, rules)}"
    if step is not None:
        shown = f"with {say_step(step)} in it, {shown}"
    minimal = " Without any one of them some week does." if len(rules) > 1 else ""
    return Flaw(
        "clash", FAULT, f"{how_many} cannot hold together: {listed}: {shown}.{minimal}",
        tuple(linked.id for linked in rules), place_of(first), tuple(spot_of(other, "cannot hold beside it") for other in rest),
        "Change one, or say under which conditions each holds.",
    )  # fmt: skip


def _by_clock(linked: LinkedRule) -> bool:
    return any(isinstance(part, nodes.Duration) and part.by_clock for part in parts(linked.rule.requirement))


def _when(ground: Ground, rules: Sequence[LinkedRule]) -> str:
    from dermalint_grammar.write import write_condition

    try:
        joint = ground.clauses.possible(together(*(clauses(linked.rule.conditions) for linked in rules)))
    except TooMany:
        return ""
    best = min(joint, key=len, default=())
    said = dict.fromkeys(("" if yes else "not ") + write_condition(condition) for yes, condition in best)
    return f" where {' and '.join(said)}" if said else ""


def _limits(ground: Ground) -> Iterator[Flaw]:
    """Limits that leave no value: at least this, at most less."""
    limits = [linked for linked in ground.rules if isinstance(linked.rule.requirement, nodes.Limit)]
    for number, linked in enumerate(limits):
        for other in limits[number + 1 :]:
            one, two = linked.rule.requirement, other.rule.requirement
            assert isinstance(one, nodes.Limit)
            assert isinstance(two, nodes.Limit)
            if one.bound is two.bound or one.measure.text != two.measure.text or one.total or two.total:
                continue
            if not ground.concerns(linked, other) or not _can_meet(ground, (linked, other)):
                continue
            if _no_value(ground, one, two):
                message = (
                    f"These two rules cannot hold together: {ground.quoted(linked)}; {ground.quoted(other)}: "
                    f"no {one.measure.text} of what is both `{write_term(one.term)}` and `{write_term(two.term)}` keeps both."
                )
                yield Flaw(
                    "clash", FAULT, message, (linked.id, other.id), place_of(linked), (spot_of(other, "the other limit"),),
                    "Change one of the limits.",
                )  # fmt: skip


def _no_value(ground: Ground, one: nodes.Limit, two: nodes.Limit) -> bool:
    cubes = ground.cubes
    try:
        alike = [a | b for a in cubes.of(one.term) for b in cubes.of(two.term) if cubes.one_nature(a, b)]
        kept = [nodes.Measured(limit.term, limit.measure.text, limit.bound, limit.quantity, limit.span) for limit in (one, two)]
        left = cubes.possible(alike)
        return bool(left) and not cubes.possible(join(left, *(cubes.of(term) for term in kept)))
    except TooMany:
        return False
