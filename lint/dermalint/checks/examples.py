"""A rule's ``breaks`` and ``holds`` examples: from compact notation to a regimen, and whether they do what they say."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

from dermalint.checks.asked import Asked
from dermalint.checks.contents import add_months
from dermalint.checks.judge import STRICT, Bench, judge
from dermalint.packs.model import LinkedRule
from dermalint.regimen.model import (
    ApplyStep,
    Contact,
    Content,
    Days,
    Event,
    Medicine,
    Mention,
    PastUse,
    Person,
    Phase,
    Product,
    Regimen,
    Routine,
    Step,
    WaitStep,
)
from dermalint.regimen.read import read_regimen
from dermalint.spans import Place
from dermalint.verdict.findings import Finding
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Unit
from dermalint_grammar.record import Record, replace

MONDAY = date(2026, 3, 2)  # an example's first day where it says none, so that day numbers and weekdays agree


class ExampleResult(Record):
    """Whether an example gave what it promises: a finding of its rule for ``breaks``, none at all for ``holds``."""

    example: nodes.Example
    kept: bool
    findings: tuple[Finding, ...]
    problem: str | None = None


def try_examples(bench: Bench, linked: LinkedRule, folder: Path) -> list[ExampleResult]:
    """Judge all examples of a rule by that rule alone; ``folder`` is where the files it names lie."""
    rule = linked.rule
    alone = Bench(bench.world, (linked,), bench.plugins)
    results: list[ExampleResult] = []
    for example in rule.examples:
        as_of = next((date.fromisoformat(given.name) for given in example.givens if given.kind == "as-of"), MONDAY)
        region = next((given.name for given in example.givens if given.kind == "region"), None)
        if example.file is not None:
            path = folder / example.file
            reading = read_regimen(path, shown=example.file)
            if not reading.regimens:
                said = reading.problems[0].message if reading.problems else "it holds no regimen"
                results.append(ExampleResult(example, False, (), f"{example.file}: {said}"))
                continue
            regimens = reading.regimens
        else:
            regimens = (build_example(example, bench.world),)
        findings: list[Finding] = []
        for regimen in regimens:
            stance = STRICT if rule.severity is None else regimen.stance or "usual"
            where = region or (regimen.region.name if regimen.region else None)
            judged_on = regimen.starts if example.file is not None and regimen.starts else as_of
            findings += judge(alone, regimen, Asked(judged_on, where, stance))[0]
        findings = [finding for finding in findings if finding.suspended_by is None]
        results.append(ExampleResult(example, bool(findings) is example.breaks, tuple(findings)))
    return results


def build_example(example: nodes.Example, world: World) -> Regimen:
    """The regimen that an example in compact notation stands for.

    Steps of equal wording are one product.  With an event, or a step that says ``used`` or ``new``, the line is dated and
    begins on a Monday; otherwise it has no beginning.
    """
    builder = _Builder(world, example)
    return builder.build()


class _Builder:
    def __init__(self, world: World, example: nodes.Example) -> None:
        self.world = world
        self.example = example
        self.products: dict[str, Product] = {}
        self.past: list[PastUse] = []
        self.keys: dict[tuple[object, ...], str] = {}
        as_of = [date.fromisoformat(given.name) for given in example.givens if given.kind == "as-of"]
        self.begins = as_of[0] - timedelta(days=as_of[0].weekday()) if as_of else MONDAY

    def build(self) -> Regimen:
        example = self.example
        given = {entry.kind: entry for entry in example.givens}
        cycle = given["cycle"].duration if "cycle" in given else None
        length = given["for"].duration if "for" in given else None
        routines = tuple(self._routine(part) for part in example.parts if isinstance(part, nodes.ExampleRoutine))
        words = {remark.word if remark.kind == "mark" else remark.kind for remark in self._remarks()}
        historic = bool(words & {"new", "used"})
        events = tuple(self._event(part) for part in example.parts if isinstance(part, nodes.ExampleEvent))
        days = cycle.days if cycle is not None else max([7, *(p.day or 0 for p in example.parts)])
        phase = Phase(length.days if length is not None else None, days, routines, self._place(example.span))
        return Regimen(
            title="example",
            products=self.products,
            phases=(phase,),
            place=self._place(example.span),
            starts=self.begins if events or historic or length is not None else None,
            person=self._person(example.givens),
            events=events,
            history=tuple(self.past) if historic else None,
        )

    def _remarks(self) -> Iterable[nodes.Remark]:
        for part in self.example.parts:
            if isinstance(part, nodes.ExampleRoutine):
                for step in part.steps:
                    yield from step.remarks

    def _place(self, span: nodes.Span) -> Place:
        return Place(span.start, span.end)

    def _mention(self, name: str, span: nodes.Span) -> Mention:
        return Mention(name, self._place(span))

    def _person(self, givens: Iterable[nodes.Given]) -> Person:
        person = Person()
        for given in givens:
            mention = self._mention(given.name, given.span)
            if given.kind == "trait":
                if given.name in self.world.symptoms:
                    person = replace(person, symptoms=(*person.symptoms, mention))
                else:
                    person = replace(person, traits=(*person.traits, mention))
            elif given.kind == "allergic":
                person = replace(person, allergies=(*person.allergies, mention))
            elif given.kind == "reason":
                person = replace(person, reasons=(*person.reasons, mention))
            elif given.kind == "takes":
                person = replace(person, takes=(*person.takes, Medicine(given.name, mention.place)))
            elif given.kind == "phototype":
                person = replace(person, phototype=given.number)
            elif given.kind == "age" and given.duration is not None:
                person = replace(person, age_months=_months(given.duration))
        return person

    def _event(self, part: nodes.ExampleEvent) -> Event:
        place = self._place(part.span)
        return Event(Mention(part.event, place), place, on=self.begins + timedelta(days=part.day - 1))

    def _routine(self, part: nodes.ExampleRoutine) -> Routine:
        days = Days()
        if part.day is not None:
            days = Days(weekdays=(part.day,)) if part.weekday else Days(numbers=(part.day,))
        steps = tuple(self._step(step) for step in part.steps)
        return Routine(self._mention(part.slot, part.span), steps, self._place(part.span), days)

    def _step(self, step: nodes.ExampleStep) -> Step:
        place = self._place(step.span)
        if step.what is None:
            return WaitStep(step.wait.minutes if step.wait is not None else 0, place)
        key = self._product(step)
        areas = tuple(self._mention(remark.word, remark.span) for remark in step.remarks if remark.kind == "area")
        as_needed = any(remark.kind == "mark" and remark.word == "as-needed" for remark in step.remarks)
        return ApplyStep((Mention(key, place),), place, areas=areas, as_needed=as_needed)

    def _product(self, step: nodes.ExampleStep) -> str:
        assert step.what is not None
        on_product = [remark for remark in step.remarks if remark.kind != "area" and remark.word != "as-needed"]
        wording = (step.what.text, step.strength, *((r.kind, r.word, r.value, _same(r.duration)) for r in on_product))
        key = self.keys.get(wording)
        if key is not None:
            return key
        key = step.what.text
        number = 2
        while key in self.products:
            key, number = f"{step.what.text}-{number}", number + 1
        self.keys[wording] = key
        product = self._with(Product(key, self._place(step.span)), step.what.text, step.strength, step.what.span)
        for remark in on_product:
            product = self._remark(product, remark)
        self.products[key] = product
        return key

    def _with(self, product: Product, name: str, strength: int | None, span: nodes.Span) -> Product:
        if name in self.world.kinds and strength is None:
            return replace(product, kinds=(*product.kinds, self._mention(name, span)))
        return replace(product, contains=(*product.contains, Content(name, strength, self._place(span))))

    def _remark(self, product: Product, remark: nodes.Remark) -> Product:
        if remark.kind == "contact":
            minutes = remark.duration.minutes if remark.duration is not None else None
            return replace(product, contact=Contact(remark.word, minutes))
        if remark.kind == "base":
            return replace(product, base=self._mention(remark.word, remark.span))
        if remark.kind == "measure":
            return self._measure(product, remark)
        if remark.kind == "content":
            return self._with(product, remark.word, remark.value, remark.span)
        if remark.kind == "used":
            assert remark.duration is not None
            self.past.append(
                PastUse(Mention(product.key, product.place), product.place, since=_before(self.begins, remark.duration))
            )
            return product
        if remark.word == "prescribed":
            return replace(product, prescribed=True)
        if remark.word == "made-up":
            return replace(product, made_up=True)
        if remark.word == "encapsulated":
            return replace(product, form="encapsulated")
        return product

    def _measure(self, product: Product, remark: nodes.Remark) -> Product:
        assert remark.value is not None
        if remark.word == "ph":
            return replace(product, ph=remark.value)
        if remark.word == "spf":
            return replace(product, spf=remark.value)
        whole = remark.value // BILLION
        as_of = next((date.fromisoformat(g.name) for g in self.example.givens if g.kind == "as-of"), MONDAY)
        if remark.word == "months-open":
            opened = add_months(as_of, -whole)
            return replace(product, opened=opened, dispensed=opened)
        if remark.word == "days-past-expiry":
            return replace(product, expires=as_of - timedelta(days=whole))
        return product


def _same(duration: nodes.Duration | None) -> object:
    return None if duration is None else (duration.count, duration.unit)


def _months(duration: nodes.Duration) -> int:
    if duration.unit is Unit.YEAR:
        return duration.count * 12 // BILLION
    return duration.count // BILLION if duration.unit is Unit.MONTH else duration.days // 30


def _before(day: date, duration: nodes.Duration) -> date:
    if duration.unit in (Unit.MONTH, Unit.YEAR):
        return add_months(day, -_months(duration))
    return day - timedelta(days=duration.days)
