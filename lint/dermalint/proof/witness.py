"""Witnesses: for a rule the smallest regimen found that breaks it and no other, and the nearest one that holds."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench, judge
from dermalint.packs.model import LinkedRule
from dermalint.proof.beside import never_without
from dermalint.proof.clauses import clauses
from dermalint.proof.cubes import TooMany
from dermalint.proof.drafts import SLOTS, routine
from dermalint.proof.ground import Ground, own_terms
from dermalint.proof.nearby import Change, same_everywhere, smaller, stepped
from dermalint.proof.plans import Judge, Plan, own_examples, regimen_of, say_step
from dermalint.proof.samples import length, remark, step_of
from dermalint.proof.settings import given, settings_for
from dermalint.proof.situations import Situations
from dermalint.regimen.model import Mention, Product, Regimen
from dermalint.regimen.read import read_regimen_bytes
from dermalint.regimen.write import write_regimen
from dermalint.spans import Place
from dermalint.verdict.findings import CERTAIN
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison, ExampleStep
from dermalint_grammar.record import Record, replace

SEARCHED = 300  # plans looked at for one that breaks a rule
ALIKE, KEPT = 2, 24  # of those that do, how many with the same products, and how many in all, are looked at further
ROUNDS = 6  # things put beside a plan so that other rules hold
REPAIRS, MEMBERS = 140, 12  # changes tried in each round, other products of a term among them
MOST_JUDGED = 900  # plans judged for one rule


class Witness(Record):
    """What was found for a rule.

    ``breaks`` is None where no plan within the bounds breaks the rule; ``others`` are rules that it breaks too, where none
    was found that breaks this one alone.  Where there can be none, ``always`` are rules of which one fires wherever this one
    does.  ``holds`` is one change away, which ``change`` says.
    """

    rule: str
    breaks: Plan | None
    others: tuple[str, ...] = ()
    always: tuple[str, ...] = ()
    holds: Plan | None = None
    change: str = ""
    judged: int = 0


class Witnesses:
    """Looks for witnesses among all rules of a ground."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self.situations = Situations(ground)
        self._bench = Bench(ground.world, ground.rules, ground.plugins)

    def of(self, linked: LinkedRule) -> Witness:
        """The witness of a rule."""
        judge = Judge(self.ground, linked, self._bench)
        breaking = _unlike(self._breaking(judge, linked))
        if not breaking:
            return Witness(linked.id, None, judged=judge.asked)
        fewest = sorted((len(_others(judge, plan)), place) for place, plan in enumerate(breaking))
        best: tuple[int, Plan] | None = None
        for _, place in fewest:
            cleaned, left = self._cleaned(judge, breaking[place])
            if best is None or left < best[0]:
                best = left, cleaned
            if left == 0 or judge.asked > MOST_JUDGED:
                break
        assert best is not None
        plan = self._shrunk(judge, best[1], best[0])
        others = tuple(sorted(_others(judge, plan)))
        always = never_without(self.ground, linked, judge.stance) if others else ()
        holds, change = self._holding(judge, plan, others, bound=bool(always))
        return Witness(linked.id, plan, others, always, holds, change, judge.asked)

    def _breaking(self, judge: Judge, linked: LinkedRule) -> Iterator[Plan]:
        """Plans that break a rule: those made for it, then its author's examples, which may be the only ones without others."""
        seen: set[Plan] = set()
        for plan in (*self.situations.of(linked, SEARCHED), *own_examples(linked)):
            if plan not in seen:
                seen.add(plan)
                if breaks(judge, plan):
                    # A regimen file has something that is put on.
                    yield plan if plan.routines else replace(plan, routines=(routine("evening", self._harmless()),))

    def _harmless(self) -> ExampleStep:
        kinds = self.ground.world.kinds
        kind = next((one for one in ("moisturiser", *sorted(kinds)) if one in kinds), None)
        return step_of(kind or min(self.ground.world.substances))

    def _cleaned(self, judge: Judge, plan: Plan) -> tuple[Plan, int]:
        """The plan with things beside it that let other rules hold, and how many do not."""
        others = _others(judge, plan)
        for _ in range(ROUNDS):
            if not others:
                break
            for changed in islice(self._repairs(plan, judge.linked, others), REPAIRS):
                if judge.asked > MOST_JUDGED or not breaks(judge, changed):
                    continue
                left = _others(judge, changed)
                if len(left) < len(others):
                    plan, others = changed, left
                    break
            else:
                break
        return plan, len(others)

    def _repairs(self, plan: Plan, linked: LinkedRule, others: set[str]) -> Iterator[Plan]:
        """Changes that might let other rules hold, by what each of them asks for."""
        for rule_id in sorted(others):
            requirement = self.ground.by_id[rule_id].rule.requirement
            if isinstance(requirement, nodes.ExpectAround | nodes.ExpectEvery | nodes.Renew):
                if isinstance(requirement.companion, nodes.PatchTest):
                    heads = dict.fromkeys(s.what.text for one in plan.routines for s in one.steps if s.what is not None)
                    yield replace(plan, tests=tuple((head, 4, 24) for head in heads))
                    continue
                for sample in self.situations.samples.of(requirement.companion, 3):
                    if isinstance(sample, ExampleStep):
                        yield from _with_companion(plan, sample)
            yield from self._excepted(plan, rule_id)
        yield from _short_or_known(plan)
        yield from self._other_members(plan, linked)
        yield from _plainer(plan)

    def _other_members(self, plan: Plan, linked: LinkedRule) -> Iterator[Plan]:
        """The plan with other products of what the rule speaks of."""
        terms = own_terms(linked.rule.requirement)
        fitting = [sample for term in terms for sample in self.situations.samples.of(term, MEMBERS)]
        for step in dict.fromkeys(step for one in plan.routines for step in one.steps if step.what is not None):
            for sample in fitting:
                if isinstance(sample, ExampleStep) and sample.what != step.what:
                    yield same_everywhere(plan, step, sample)

    def _excepted(self, plan: Plan, rule_id: str) -> Iterator[Plan]:
        """The plan for somebody (somewhere, some day) of whom the other rule does not speak."""
        try:
            free = self.ground.clauses.possible(clauses(self.ground.by_id[rule_id].rule.conditions, False))
        except TooMany:
            return
        for setting in settings_for(self.ground, free)[:6]:
            more = tuple(one for one in setting.givens if one not in plan.givens)
            kinds = {one.kind for one in plan.givens}
            if more and not any(one.kind in ("age", "phototype", "region", "as-of") and one.kind in kinds for one in more):
                yield replace(plan, givens=(*more, *plan.givens))

    def _shrunk(self, judge: Judge, plan: Plan, others: int) -> Plan:
        shrinking = True
        while shrinking and judge.asked < MOST_JUDGED + 200:
            shrinking = False
            for less in (*smaller(plan), *_shorter_course(judge.linked, plan)):
                if breaks(judge, less) and len(_others(judge, less)) <= others:
                    plan, shrinking = less, True
                    break
        return plan

    def _holding(self, judge: Judge, plan: Plan, others: tuple[str, ...], *, bound: bool) -> tuple[Plan | None, str]:
        """The nearest plan that holds; where the rule is bound to others, these may go on being broken."""
        fallback: tuple[Plan | None, str] = (None, "")
        for change in (*stepped(plan), *self._exchanged(judge, plan)):
            if judge.alone(change.plan):
                continue
            left = _others(judge, change.plan)
            if not left or (bound and left <= {*others}):
                return change.plan, change.say
            if fallback[0] is None and left <= {*others}:
                fallback = change.plan, change.say
        return fallback

    def _exchanged(self, judge: Judge, plan: Plan) -> Iterator[Change]:
        """Where no step of a number helps: what the rule asks for beside it, another place, another product."""
        requirement = judge.linked.rule.requirement
        if isinstance(requirement, nodes.ExpectAround | nodes.ExpectEvery) and not isinstance(
            requirement.companion, nodes.PatchTest
        ):
            for sample in self.situations.samples.of(requirement.companion, 3):
                if isinstance(sample, ExampleStep):
                    for changed in _with_companion(plan, sample):
                        yield Change(changed, f"{say_step(sample)} beside it")
        for changed in _plainer(plan):
            yield Change(changed, "with the change that the file shows")
        for place, one in enumerate(plan.routines):
            for number, step in enumerate(one.steps):
                if step.what is not None:
                    for kind in ("moisturiser", "serum", *sorted(self.ground.world.kinds)[:3]):
                        steps = (*one.steps[:number], step_of(kind), *one.steps[number + 1 :])
                        routines = (*plan.routines[:place], replace(one, steps=steps), *plan.routines[place + 1 :])
                        yield Change(replace(plan, routines=routines), f"{kind} in place of {step.what.text}")


def _unlike(plans: Iterator[Plan]) -> list[Plan]:
    """The first plans of each set of products and slots, so that not one product alone is tried in every way."""
    kept: dict[tuple[object, ...], list[Plan]] = {}
    for plan in plans:
        named = {step.what.text for one in plan.routines for step in one.steps if step.what is not None}
        alike = kept.setdefault((frozenset(named), frozenset(one.slot for one in plan.routines)), [])
        if len(alike) < ALIKE:
            alike.append(plan)
        if sum(map(len, kept.values())) == KEPT:
            break
    return [plan for alike in kept.values() for plan in alike]


def breaks(judge: Judge, plan: Plan) -> bool:
    """Whether a plan certainly breaks the judge's rule."""
    return any(finding.certainty == CERTAIN for finding in judge.alone(plan))


def _others(judge: Judge, plan: Plan) -> set[str]:
    return {finding.rule for finding in judge.all(plan)} - {judge.linked.id}


def _with_companion(plan: Plan, step: ExampleStep) -> Iterator[Plan]:
    """A companion in the morning of every day, in each routine behind the rest, before it, or once a day elsewhere."""
    mornings = [place for place, one in enumerate(plan.routines) if one.slot == "morning"]
    if not mornings:
        yield replace(plan, routines=(routine("morning", step), *plan.routines))
    for place, one in enumerate(plan.routines):
        for steps in ((*one.steps, step), (step, *one.steps)):
            if step not in one.steps:
                changed = replace(one, steps=steps)
                yield replace(plan, routines=(*plan.routines[:place], changed, *plan.routines[place + 1 :]))
    everywhere = tuple(replace(one, steps=(*one.steps, step)) for one in plan.routines if step not in one.steps)
    if len(everywhere) > 1:
        yield replace(plan, routines=everywhere)
        yield replace(plan, routines=(*everywhere, routine("morning", step)))
    for slot in SLOTS:
        yield replace(plan, routines=(*plan.routines, routine(slot, step)))


def _plainer(plan: Plan) -> Iterator[Plan]:
    """The plan with products that fewer rules speak of: other strengths, contact, marks, places, days, moments."""
    for place, one in enumerate(plan.routines):
        for step in one.steps:
            if step.what is None:
                continue
            for changed in _other_steps(step):
                yield same_everywhere(plan, step, changed)
        for slot in SLOTS:
            if slot != one.slot:
                moved = replace(one, slot=slot)
                yield replace(plan, routines=(*plan.routines[:place], moved, *plan.routines[place + 1 :]))
        if one.day is None:
            first = replace(one, day=1)
            yield replace(plan, routines=(*plan.routines[:place], first, *plan.routines[place + 1 :]))
    if all(one.kind != "age" for one in plan.givens):
        yield replace(plan, givens=(given("age", "", None, length(30, nodes.Unit.YEAR)), *plan.givens))
    if plan.outdoors is not None:
        yield replace(plan, outdoors=(plan.outdoors[0], plan.outdoors[0] + 60))


def _short_or_known(plan: Plan) -> Iterator[Plan]:
    """The plan for a few days, and with everything else in use for long."""
    yield from _shorter(plan)
    known = [
        replace(one, steps=tuple(
            replace(step, remarks=(*step.remarks, remark("used", "used", None, length(6, nodes.Unit.MONTH))))
            if step.what is not None and not {"new", "used"} & {r.word for r in step.remarks} else step
            for step in one.steps
        ))
        for one in plan.routines
    ]  # fmt: skip
    yield replace(plan, routines=tuple(known))


def _shorter(plan: Plan) -> Iterator[Plan]:
    """The plan for a few days only, or in a long cycle: courses then end, and things come seldom."""
    if any(one.kind in ("for", "cycle") for one in plan.givens):
        return
    last = max((one.day or 1 for one in plan.routines), default=1)
    for days in (max(last, 2), max(last, 7), last + 14):
        yield replace(plan, givens=(*plan.givens, given("for", "", None, length(days, nodes.Unit.DAY))))
    once = tuple(one if one.day is not None else replace(one, day=1) for one in plan.routines)
    yield replace(plan, routines=once, givens=(*plan.givens, given("cycle", "", None, length(30, nodes.Unit.DAY))))


def _shorter_course(linked: LinkedRule, plan: Plan) -> Iterator[Plan]:
    """The plan a day shorter, where that brings it nearer to what holds."""
    requirement = linked.rule.requirement
    if isinstance(requirement, nodes.UseFor) and requirement.bound is Comparison.AT_MOST:
        for place, one in enumerate(plan.givens):
            if one.kind == "for" and one.duration is not None and one.duration.days > 1:
                less = replace(one, duration=length(one.duration.days - 1, nodes.Unit.DAY))
                yield replace(plan, givens=(*plan.givens[:place], less, *plan.givens[place + 1 :]))


_STRENGTHS = (BILLION // 100, BILLION // 10, BILLION // 2, BILLION, 2 * BILLION, 5 * BILLION, 8 * BILLION, 12 * BILLION)


def _other_steps(step: ExampleStep) -> Iterator[ExampleStep]:
    words = {one.word for one in step.remarks}
    if step.strength is not None:
        for strength in _STRENGTHS:
            if strength != step.strength:
                yield replace(step, strength=strength)
    for extra in (
        remark("mark", "prescribed"),
        remark("base", "water"),
        remark("base", "emulsion"),
        remark("measure", "ph", 5 * BILLION),
        remark("measure", "ph", 3 * BILLION),
        remark("measure", "spf", 50 * BILLION),
        remark("contact", "rinsed"),
        remark("area", "chin"),
        remark("area", "neck"),
        remark("area", "hands"),
        remark("content", "moisturiser"),
        remark("content", "serum"),
        remark("content", "treatment"),
        remark("mark", "encapsulated"),
    ):
        kinds = {one.kind for one in step.remarks}
        if extra.word not in words and not (extra.kind in ("base", "area", "contact") and extra.kind in kinds):
            yield replace(step, remarks=(*step.remarks, extra))
    both = [remark("base", "water"), remark("measure", "ph", 4 * BILLION)]
    if not words & {"ph", "water"}:
        yield replace(step, remarks=(*step.remarks, *both))


def witness_regimen(plan: Plan, ground: Ground, linked: LinkedRule, title: str) -> Regimen:
    """A plan as a regimen that says by itself how it is to be judged: its region, its stance."""
    regimen = regimen_of(plan, ground.world)
    regimen = replace(regimen, title=title, products={key: _as_stated(product) for key, product in regimen.products.items()})
    if plan.region is not None:
        regimen = replace(regimen, region=Mention(plan.region, Place(0, 0)))
    if linked.rule.severity is None:
        regimen = replace(regimen, stance="strict")
    return regimen


def _as_stated(product: Product) -> Product:
    """A product as a file can state it: an SPF of none and the dispensing of what nobody made up are not stated."""
    return replace(product, spf=product.spf or None, dispensed=product.dispensed if product.made_up else None)


class Confirmed(Record):
    """A witness as two regimen files, and whether reading and judging them again says the same."""

    witness: Witness
    breaks: str
    holds: str
    well: bool


def confirm(witness: Witness, ground: Ground) -> Confirmed:
    """Write a witness as files, read these and judge them by all rules, as a review does."""
    linked = ground.by_id[witness.rule]
    texts: list[str] = []
    well = witness.breaks is not None and witness.holds is not None
    for plan, word in ((witness.breaks, "breaks"), (witness.holds, "holds")):
        if plan is None:
            texts.append("")
            continue
        regimen = witness_regimen(plan, ground, linked, f"What {word} {linked.id}")
        text = _note(witness, plan, word, linked, ground) + write_regimen(regimen)
        reading, _ = read_regimen_bytes(text.encode(), Path(f"{linked.id}.{word}.regimen.yaml"), shown=linked.id)
        found = {
            finding.rule
            for again in reading.regimens
            for finding in judge(
                ground.bench, again, Asked(plan.as_of, again.region.name if again.region else None, again.stance or "usual")
            )[0]
            if finding.suspended_by is None
        }
        expected = {linked.id, *witness.others} if word == "breaks" else None
        well = well and not reading.problems and bool(reading.regimens)
        well = well and (found == expected if expected is not None else linked.id not in found)
        texts.append(text)
    return Confirmed(witness, texts[0], texts[1], well)


def why_not_alone(witness: Witness) -> str:
    """Why a rule's witness breaks others too, in words."""
    if witness.always:
        return f"whatever breaks the rule breaks {' or '.join(witness.always)}"
    return "no plan was found that breaks this rule alone"


def _note(witness: Witness, plan: Plan, word: str, linked: LinkedRule, ground: Ground) -> str:
    lines = [f"{linked.id}: {ground.sentence(linked)}"]
    if word == "holds":
        lines.append(f"One change away: {witness.change}.")
    elif witness.others:
        lines.append(f"It breaks {', '.join(witness.others)} too: {why_not_alone(witness)}.")
    lines.append(f"dermalint review FILE --as-of {plan.as_of.isoformat()} --fail-at advice")
    return "".join(f"# {line}\n" for line in lines)
