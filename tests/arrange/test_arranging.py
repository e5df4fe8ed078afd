"""Whole files: what is arranged is accepted, keeps what was wished, and says why it cannot be when it cannot."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from dermalint.arrange.arranging import Arranged, Solver, arrange, plainly, with_clingo
from dermalint.arrange.clash import find_cores, find_relaxations
from dermalint.arrange.wanted import WishError
from dermalint.checks.asked import Asked as AskedOfCase
from dermalint.checks.judge import Bench, judge
from dermalint.regimen.model import ERROR, ApplyStep, Regimen
from dermalint.regimen.read import read_regimen_bytes
from dermalint.regimen.write import write_regimen
from dermalint.review import Asked, open_desk
from judging import link_rules

ASKED = AskedOfCase(date(2026, 3, 2), "eu", "usual")
PRODUCTS = """
regimen: To be arranged
person: {age: 41, reasons: [ageing]}
products:
  wash: {kind: cleanser, base: gel, contact: rinsed}
  vitamin-c: {kind: serum, base: water, ph: 3.2, contains: {ascorbic-acid: 10 %}}
  retinol: {kind: serum, base: emulsion, contains: {retinol: 0.3 %}}
  lactic: {kind: serum, base: water, ph: 3.8, contains: {lactic-acid: 8 %}}
  cream: {kind: moisturiser, base: emulsion, contains: {glycerin: 5 %}}
  shield: {kind: sunscreen, base: emulsion, spf: 50, filters: both, broad-spectrum: true}
"""


@pytest.fixture(scope="module")
def bench() -> Bench:
    desk, _ = open_desk(Asked(as_of=ASKED.as_of))
    return desk.bench


def regimen_of(text: str) -> Regimen:
    reading, _ = read_regimen_bytes((PRODUCTS + text).encode(), Path("wishes.regimen.yaml"), shown="wishes")
    assert [problem.message for problem in reading.problems if problem.level == ERROR] == []
    return reading.regimens[0]


def arranged(bench: Bench, text: str, solver: Solver = with_clingo, near: Regimen | None = None) -> Arranged:
    return arrange(bench, regimen_of(text), ASKED, solver=solver, near=near)


def days_of(regimen: Regimen, product: str, phase: int = -1) -> list[tuple[str, tuple[int, ...]]]:
    """The slots and days of a product."""
    return [
        (routine.slot.name, routine.days.weekdays or routine.days.numbers)
        for routine in regimen.phases[phase].routines
        for step in routine.steps
        if isinstance(step, ApplyStep) and step.products[0].name == product
    ]


def accepted(bench: Bench, regimen: Regimen) -> bool:
    """Whether a file of the regimen, written and read again, has no finding of weight."""
    reading, _ = read_regimen_bytes(write_regimen(regimen).encode(), Path("plan.regimen.yaml"), shown="plan")
    assert [problem.message for problem in reading.problems if problem.level == ERROR] == []
    found, _ = judge(bench, reading.regimens[0], ASKED)
    return not [finding for finding in found if finding.severity != "advice" and finding.certainty == "certain"]


WEEK = """
cycle: 7 days
wishes:
  - {product: wash, evenings: every}
  - {product: shield, mornings: every}
  - {product: retinol, evenings: 3 per week}
  - {product: vitamin-c, evenings: 2 per week}
  - {product: lactic, evenings: "1 to 2 per week, not before retinol"}
  - {keep-free: [sunday evening]}
"""


def test_a_week_of_wishes(bench: Bench) -> None:
    found = arranged(bench, WEEK)
    regimen = found.attempt.regimen
    assert regimen is not None
    assert accepted(bench, regimen)
    assert found.attempt.missed() == ()
    assert found.attempt.proven
    retinol = {day for _, days in days_of(regimen, "retinol") for day in days}
    lactic = {day for _, days in days_of(regimen, "lactic") for day in days}
    assert len(retinol) == 3
    assert lactic
    assert not lactic & retinol
    assert not {day % 7 + 1 for day in lactic} & retinol
    assert 7 not in {
        day for routine in regimen.phases[0].routines if routine.slot.name == "evening" for day in routine.days.weekdays
    }


def test_the_plain_search_and_a_second_run_give_the_same_file(bench: Bench) -> None:
    wishes = WEEK.replace("  - {product: vitamin-c, evenings: 2 per week}\n", "")
    texts = {
        write_regimen(found.attempt.regimen)
        for solver in (with_clingo, with_clingo, plainly)
        if (found := arranged(bench, wishes, solver)).attempt.regimen is not None
    }
    assert len(texts) == 1


def test_a_given_morning_stays_and_the_cycle_is_found(bench: Bench) -> None:
    found = arranged(
        bench,
        """
cycle: any up to 5 days
routines: [{slot: morning, steps: [wash, {product: shield, amount: 1.2 g}]}]
wishes:
  - {product: retinol, evenings: every 4 days, not-before: [vitamin-c], prefer: the evening before a rest}
  - {product: vitamin-c, evenings: every 4 days, not-before: [retinol]}
""",
    )
    regimen = found.attempt.regimen
    assert regimen is not None
    assert accepted(bench, regimen)
    assert (found.attempt.length, found.tried) == (4, 5)
    assert days_of(regimen, "shield") == [("morning", ())]
    assert days_of(regimen, "retinol") == [("evening", (1,))]
    assert days_of(regimen, "vitamin-c") == [("evening", (3,))]
    (morning,) = (routine for routine in regimen.phases[0].routines if routine.slot.name == "morning")
    assert [step.amount for step in morning.steps if isinstance(step, ApplyStep)] == [None, "1.2 g"]


def test_a_ramp_becomes_phases_and_a_rule_brings_in_the_sunscreen(bench: Bench) -> None:
    found = arranged(
        bench,
        """
starts: 2026-03-04
history: []
wishes:
  - {product: retinol, evenings: 3 per week}
  - {product: retinol, ramp: [1 per week for 2 weeks, 2 per week for 2 weeks, then 3 per week]}
  - {product: lactic, evenings: 1 per week, after: 6 weeks}
""",
    )
    regimen = found.attempt.regimen
    assert regimen is not None
    assert accepted(bench, regimen)
    assert [phase.days for phase in regimen.phases] == [14, 14, 14, None]
    used = [sum(len(days) for _, days in days_of(regimen, "retinol", phase)) for phase in range(4)]
    assert used == [1, 2, 3, 3]
    assert [bool(days_of(regimen, "lactic", phase)) for phase in range(4)] == [False, False, False, True]
    assert days_of(regimen, "shield") == [("morning", ())]


def test_near_keeps_what_is_as_good(bench: Bench) -> None:
    wishes = "cycle: 7 days\nwishes: [{product: vitamin-c, evenings: 2 per week}]\n"
    before = regimen_of("routines: [{slot: evening, days: [wednesday, saturday], steps: [vitamin-c]}]")
    free, near = arranged(bench, wishes), arranged(bench, wishes, near=before)
    assert free.attempt.regimen is not None
    assert near.attempt.regimen is not None
    assert days_of(free.attempt.regimen, "vitamin-c") != days_of(near.attempt.regimen, "vitamin-c")
    assert days_of(near.attempt.regimen, "vitamin-c") == [("evening", (3, 6))]


CLASH = """
cycle: 7 days
wishes:
  - {product: shield, mornings: every}
  - {product: retinol, evenings: 6 per week, priority: 1}
  - {product: lactic, evenings: 2 per week, priority: 2}
  - {product: wash, evenings: 5 per week}
"""


def test_a_clash_is_shown_whole_and_without_a_word_too_many(bench: Bench) -> None:
    found = arranged(bench, CLASH)
    assert found.attempt.accepted
    assert [demand.wish for demand in found.attempt.missed()] == ["wish 3 evenings"]
    (core,) = find_cores(found)
    assert core.wishes == ("wish 2 evenings", "wish 3 evenings")
    assert core.rules == ("retinoids.acid-off-retinoid-routines",)
    puzzle = found.attempt.puzzles[0]
    others = frozenset(demand.wish for demand in puzzle.demands) - {*core.wishes}
    rules = frozenset(fact.because for fact in puzzle.facts) - {*core.rules}
    assert with_clingo(puzzle.without(others, rules), True)[0] is None
    for name in (*core.wishes, *core.rules):
        assert with_clingo(puzzle.without(others | {name}, rules), True)[0] is not None


def test_relaxations_are_ranked_and_help(bench: Bench) -> None:
    found = arranged(bench, CLASH)
    relaxations = find_relaxations(found, find_cores(found))
    assert [(one.price, one.say) for one in relaxations] == [
        (1, "retinol: evenings 5 per week instead of 6 per week."),
        (1, "lactic: evenings 1 per week instead of 2 per week."),
    ]
    for larger, smaller in (("6 per week", "5 per week"), ("2 per week", "1 per week")):
        assert arranged(bench, CLASH.replace(larger, smaller)).attempt.missed() == ()


TWO_IN_THE_WAY = """
cycle: 4 days
wishes:
  - {product: retinol, evenings: 4 per cycle, priority: 1}
  - {product: vitamin-c, evenings: 4 per cycle, priority: 1}
  - {product: lactic, evenings: 1 per cycle}
"""


def test_two_smaller_wishes_where_no_single_one_keeps_all() -> None:
    """Lactic acid needs an evening without retinol and without vitamin C, and has no smaller wish of its own."""
    packs = link_rules(
        'rule r0 caution\n  separate lactic-acid from retinol by routine.\n  why "trial"\n'
        'rule r1 caution\n  separate lactic-acid from ascorbic-acid by routine.\n  why "trial"\n'
    )
    found = arranged(Bench(packs.world, packs.rules), TWO_IN_THE_WAY)
    relaxations = find_relaxations(found, find_cores(found))
    assert [(one.price, one.say) for one in relaxations] == [
        (
            2,
            "vitamin-c: evenings 3 in 4 days instead of 4 per cycle. retinol: evenings 3 in 4 days instead of 4 per cycle.",
        ),
        (2, "lactic: leave it out instead of evenings 1 per cycle."),
    ]
    smaller = arranged(Bench(packs.world, packs.rules), TWO_IN_THE_WAY.replace("4 per cycle", "3 per cycle"))
    assert smaller.attempt.missed() == ()


def test_what_a_person_must_not_use_is_left_out_and_told(bench: Bench) -> None:
    wishes = "wishes: [{product: retinol, evenings: 2 per week}, {product: shield, mornings: every}]"
    text = (PRODUCTS + wishes).replace("reasons: [ageing]", "traits: [{pregnant: week 20}]")
    reading, _ = read_regimen_bytes(text.encode(), Path("x.regimen.yaml"), shown="x")
    found = arrange(bench, reading.regimens[0], ASKED)
    assert found.attempt.accepted
    (core,) = find_cores(found)
    assert core.wishes == ("wish 1 evenings",)
    assert len(core.rules) == 1


def test_a_count_that_fits_no_cycle_is_told_so(bench: Bench) -> None:
    found = arranged(bench, "cycle: 5 days\nwishes: [{product: cream, evenings: 3 per week}]\n")
    (core,) = find_cores(found)
    assert core.cycle


@pytest.mark.parametrize(
    ("wishes", "message"),
    [
        ("", "no wishes"),
        ("wishes: [{product: lactic, evenings: every, prefer: full moon}]", "not understood"),
        ("wishes: [{product: lactic, evenings: every, not-before: [retinal-x]}]", "No product of this file"),
        ("cycle: 30 days\nwishes: [{product: lactic, evenings: every}]", "14 days is the most"),
        ("cycle: 5 days\nwishes: [{product: lactic, evenings: every}, {keep-free: [monday]}]", "the cycle is not 7 days"),
    ],
)
def test_wishes_that_cannot_be_arranged(bench: Bench, wishes: str, message: str) -> None:
    text = wishes or "routines: [{slot: evening, steps: [cream]}]"
    with pytest.raises(WishError, match=message):
        arranged(bench, text)
