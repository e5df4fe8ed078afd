"""Plans: small regimens being built, as steps on days and slots, and how the engine finds them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from dermalint.checks.asked import Asked
from dermalint.checks.examples import MONDAY, build_example
from dermalint.checks.judge import STRICT, Bench, judge
from dermalint.packs.model import LinkedRule
from dermalint.proof.ground import Ground
from dermalint.proof.samples import HERE
from dermalint.regimen.model import ApplyStep, DayClock, Mention, Outdoors, PastTest, Regimen
from dermalint.spans import Place
from dermalint.verdict.findings import Finding
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.record import Record, replace
from dermalint_grammar.write import write_example

_NOWHERE = Place(0, 0)


class Plan(Record):
    """An example, and what no example can say: the state of the skin, time outdoors, patch tests, areas of events.

    ``outdoors`` are the minutes of the day between which daylight is stated; ``tests`` the heads of steps whose
    patch test began so many days before the line and ran so many hours.  ``took`` is the date (ISO) on which medicines ended.
    """

    routines: tuple[nodes.ExampleRoutine, ...] = ()
    events: tuple[nodes.ExampleEvent, ...] = ()
    givens: tuple[nodes.Given, ...] = ()
    skin: str | None = None
    outdoors: tuple[int, int] | None = None
    tests: tuple[tuple[str, int, int], ...] = ()
    took: str = ""
    event_area: str = ""
    amount: str = ""
    bed: int | None = None

    @property
    def in_notation(self) -> bool:
        """Whether the compact notation says all of it."""
        return not (
            self.skin or self.outdoors or self.tests or self.event_area or self.amount or self.took or self.bed is not None
        )

    @property
    def as_of(self) -> date:
        """The date on which it is judged."""
        return next((date.fromisoformat(one.name) for one in self.givens if one.kind == "as-of"), MONDAY)

    @property
    def region(self) -> str | None:
        """The region it is judged for."""
        return next((one.name for one in self.givens if one.kind == "region"), None)

    def example(self, breaks: bool) -> nodes.Example:
        """The example, without what no example can say."""
        parts: tuple[nodes.ExampleRoutine | nodes.ExampleEvent, ...] = (*self.events, *self.routines)
        return nodes.Example(breaks, self.givens, parts, None, HERE)

    def written(self) -> str:
        """The example as text."""
        return write_example(self.example(True))

    def size(self) -> tuple[int, int, int, int]:
        """Smaller plans come first: steps, then routines and events, what is said beside, letters."""
        steps = sum(step.what is not None for routine in self.routines for step in routine.steps)
        beside = len(self.givens) + (not self.in_notation)
        doubled = len(self.routines) - len({(routine.day, routine.slot) for routine in self.routines})
        return steps + 10 * doubled, len(self.routines) + len(self.events), beside, len(self.written())


def own_examples(linked: LinkedRule, breaks: bool = True) -> Iterator[Plan]:
    """The examples of a rule that break it (or hold), but for those in files."""
    for example in linked.rule.examples:
        if example.breaks is breaks and example.file is None:
            routines = tuple(part for part in example.parts if isinstance(part, nodes.ExampleRoutine))
            events = tuple(part for part in example.parts if isinstance(part, nodes.ExampleEvent))
            yield Plan(routines, events, example.givens)


def merged(plan: Plan) -> Plan:
    """The plan with routines of one day and slot written as one, which is what they are."""
    found: dict[tuple[int | None, str], nodes.ExampleRoutine] = {}
    for routine in plan.routines:
        key = (routine.day, routine.slot)
        have = found.get(key)
        found[key] = routine if have is None else replace(have, steps=(*have.steps, *routine.steps))
    return replace(plan, routines=tuple(found.values())) if len(found) < len(plan.routines) else plan


def regimen_of(plan: Plan, world: World) -> Regimen:
    """The regimen that a plan stands for."""
    regimen = build_example(plan.example(True), world)
    if plan.skin or plan.amount:
        regimen = _with_steps(regimen, plan.skin, plan.amount)
    if plan.outdoors is not None:
        regimen = replace(regimen, outdoors=(Outdoors(_NOWHERE, start=plan.outdoors[0], end=plan.outdoors[1]),))
    if plan.bed is not None:
        regimen = replace(regimen, clock=DayClock({"bed": plan.bed}))
    if plan.event_area:
        areas = (Mention(plan.event_area, _NOWHERE),)
        regimen = replace(regimen, events=tuple(replace(event, areas=areas) for event in regimen.events))
    if plan.took:
        ended = tuple(replace(medicine, until=date.fromisoformat(plan.took)) for medicine in regimen.person.takes)
        regimen = replace(regimen, person=replace(regimen.person, takes=ended))
    if plan.tests:
        starts = regimen.starts or MONDAY
        tests = tuple(
            PastTest(Mention(head, _NOWHERE), _NOWHERE, first=starts - timedelta(days=days), hours=hours, reaction="none")
            for head, days, hours in plan.tests
        )
        regimen = replace(regimen, starts=starts, history=(*(regimen.history or ()), *tests))
    return regimen


def _with_steps(regimen: Regimen, skin: str | None, amount: str) -> Regimen:
    phases = tuple(
        replace(
            phase,
            routines=tuple(
                replace(
                    routine,
                    steps=tuple(
                        replace(step, skin=skin or step.skin, amount=amount or step.amount)
                        if isinstance(step, ApplyStep)
                        else step
                        for step in routine.steps
                    ),
                )
                for routine in phase.routines
            ),
        )
        for phase in regimen.phases
    )
    return replace(regimen, phases=phases)


class Judge:
    """Judges plans, by one rule alone or by all; counts how often."""

    def __init__(self, ground: Ground, linked: LinkedRule, everything: Bench | None = None) -> None:
        self.ground = ground
        self.linked = linked
        self.stance = STRICT if linked.rule.severity is None else "usual"
        self._alone = Bench(ground.world, (linked,), ground.plugins)
        self._all = everything or ground.bench
        self.asked = 0

    def alone(self, plan: Plan) -> tuple[Finding, ...]:
        """The findings of the rule itself."""
        return self._judge(self._alone, plan)

    def all(self, plan: Plan) -> tuple[Finding, ...]:
        """The findings of all rules in force, suspended ones left out."""
        return tuple(finding for finding in self._judge(self._all, plan) if finding.suspended_by is None)

    def _judge(self, bench: Bench, plan: Plan) -> tuple[Finding, ...]:
        self.asked += 1
        asked = Asked(plan.as_of, plan.region, self.stance)
        return judge(bench, regimen_of(plan, self.ground.world), asked)[0]


def say_step(step: nodes.ExampleStep) -> str:
    """A step as an example writes it."""
    routine = nodes.ExampleRoutine(None, False, "evening", (step,), HERE)
    return write_example(nodes.Example(True, (), (routine,), None, HERE)).removeprefix("evening: ")
