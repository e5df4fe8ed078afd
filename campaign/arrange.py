"""A long trial of arranging; far too long for the tests.

    python campaign/arrange.py [--small 500] [--random 300] [--seed 1] [--jobs 1]

- Small wishes, all packs: every plan there is is laid out; none that the engine accepts is better than the tool's.
- Random wishes of up to eight products, all packs: what is arranged is accepted as it is written and read again; arranged
  a second time it is the same file.

It stops at the first fault with what caused it, else it prints figures.  Several jobs draw different wishes.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from itertools import combinations, product
from pathlib import Path
from time import perf_counter, process_time

from dermalint.arrange.arranging import Arranged, arrange, build_regimen
from dermalint.arrange.puzzle import Plan, breaks, cost, levels
from dermalint.checks.asked import Asked as AskedOfCase
from dermalint.checks.judge import Bench, judge
from dermalint.regimen.model import ERROR, Regimen
from dermalint.regimen.read import read_regimen_bytes
from dermalint.regimen.write import write_regimen
from dermalint.review import Asked, open_desk
from dermalint.verdict.findings import CERTAIN

AS_OF = date(2026, 3, 2)
ASKED = AskedOfCase(AS_OF, "eu", "usual")
SHELF = {
    "wash": "{kind: cleanser, base: gel, contact: rinsed}",
    "shield": "{kind: sunscreen, base: emulsion, spf: 50, filters: both, broad-spectrum: true}",
    "cream": "{kind: moisturiser, base: emulsion, contains: {glycerin: 5 %}}",
    "retinol": "{kind: serum, base: emulsion, contains: {retinol: 0.3 %}}",
    "lactic": "{kind: serum, base: water, ph: 3.8, contains: {lactic-acid: 8 %}}",
    "salicylic": "{kind: treatment, base: gel, ph: 3.7, contains: {salicylic-acid: 2 %}}",
    "vitamin-c": "{kind: serum, base: water, ph: 3.2, contains: {ascorbic-acid: 10 %}}",
    "copper": "{kind: serum, base: water, ph: 6, contains: {copper-tripeptide-1: 1 %}}",
    "peroxide": "{kind: treatment, base: gel, contains: {benzoyl-peroxide: 5 %}}",
    "azelaic": "{kind: treatment, base: emulsion, contains: {azelaic-acid: 10 %}}",
    "peel": "{kind: peel, base: water, ph: 3.5, contact: {timed: 10 min}, contains: {glycolic-acid: 10 %}}",
    "tretinoin": "{kind: treatment, base: emulsion, prescribed: true, contains: {tretinoin: 0.05 %}}",
    "niacinamide": "{kind: serum, base: water, ph: 6, contains: {niacinamide: 4 %}}",
    "oil": "{kind: face-oil, base: oil, contains: [squalane]}",
}
PEOPLE = (
    "{age: 34}",
    "{age: 34, reasons: [acne]}",
    "{age: 34, traits: [sensitive]}",
    "{age: 34, traits: [{pregnant: week 20}]}",
)


def draw_wishes(dice: random.Random, most: int, cycles: tuple[int, ...]) -> str:
    """A file of wishes; the cycle is short where every plan is to be tried."""
    names = dice.sample(sorted(SHELF), dice.randint(1, most))
    length = dice.choice(cycles)
    lines = ["regimen: Drawn wishes", f"person: {dice.choice(PEOPLE)}", "products:"]
    lines += [f"  {name}: {SHELF[name]}" for name in names]
    lines += [f"cycle: {length} days", "wishes:"]
    for name in names:
        slot = dice.choice(["mornings", "evenings", "evenings"])
        least = dice.randint(1, length)
        most_days = min(length, least + dice.randint(0, 1))
        often = f"{least} to {most_days} per cycle" if least < most_days else f"{least} per cycle"
        more = dice.choice(["", "", ", priority: 1", ", prefer: the evening before a rest"])
        lines.append(f"  - {{product: {name}, {slot}: {often}{more}}}")
    if dice.random() < 0.3:
        lines.append(f"  - {{keep-free: [day {dice.randint(1, length)} evening]}}")
    return "\n".join(lines) + "\n"


def regimen_of(text: str) -> Regimen:
    """The regimen of a file without mistakes."""
    reading, _ = read_regimen_bytes(text.encode(), Path("drawn.regimen.yaml"), shown="drawn")
    wrong = [problem.message for problem in reading.problems if problem.level == ERROR]
    if wrong:
        raise ValueError(f"{wrong}\n{text}")
    return reading.regimens[0]


def refusing(bench: Bench, regimen: Regimen) -> set[str]:
    """The rules that have something of weight against a regimen."""
    found, _ = judge(bench, regimen, ASKED)
    return {
        finding.rule
        for finding in found
        if finding.certainty == CERTAIN and finding.severity != "advice" and finding.suspended_by is None
    }


class Gate:
    """Accepts or refuses regimens; those rules that refused one of them are asked alone before all are."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.refused: set[str] = set()
        self.few = Bench(bench.world, (), bench.plugins)
        self.asked = 0

    def accepts(self, regimen: Regimen) -> bool:
        """Whether the engine has nothing of weight against a regimen."""
        self.asked += 1
        if self.refused and refusing(self.few, regimen):
            return False
        against = refusing(self.bench, regimen)
        if against:
            self.refused |= against
            # Which findings are suspended is for all the rules that suspend to say.
            rules = tuple(linked for linked in self.bench.rules if linked.suspends or linked.id in self.refused)
            self.few = Bench(self.bench.world, rules, self.bench.plugins)
        return not against


def better_plan(bench: Bench, arranged: Arranged) -> Plan | None:
    """The first of all plans, cheapest first, that is cheaper than the tool's and that the engine accepts."""
    desk, attempt = arranged.desk, arranged.attempt
    puzzle, plan = attempt.puzzles[0], attempt.plans[0]
    assert plan is not None
    gate = Gate(bench)
    own = [fact for fact in puzzle.facts if fact.because.startswith("wish ")]
    last = len(levels(puzzle)) + 6  # late days break ties only
    price = cost(puzzle, plan)[:last]
    days = range(puzzle.length)
    chosen = [frozenset(some) for number in range(puzzle.length + 1) for some in combinations(days, number)]
    for other in product(*(chosen if item.fixed is None else [item.fixed] for item in puzzle.items)):
        if cost(puzzle, other)[:last] < price and not breaks(puzzle, other, own):
            if any(other) and not gate.accepts(build_regimen(desk.wanted, desk.teacher.order, (other,), puzzle.length)):
                continue
            return other
    return None


def all_packs() -> Bench:
    """The rules of all installed packs."""
    return open_desk(Asked(as_of=AS_OF))[0].bench


def try_small(number: int, seed: str) -> tuple[int, float]:
    """Small wishes against every plan; how many had wishes that clash, and the seconds of processor that it took."""
    bench, dice, begun = all_packs(), random.Random(seed), process_time()
    missed = 0
    for _ in range(number):
        text = draw_wishes(dice, 3, (2, 3, 3, 4))
        arranged = arrange(bench, regimen_of(text), ASKED)
        if not arranged.attempt.accepted:
            raise AssertionError(f"No plan was found.\n{text}{[f.message for f in arranged.attempt.refused]}")
        missed += bool(arranged.attempt.missed())
        better = better_plan(bench, arranged)
        if better is not None:
            raise AssertionError(f"A better plan: {better} instead of {arranged.attempt.plans}\n{text}")
    return missed, process_time() - begun


def try_random(number: int, seed: str) -> tuple[int, float]:
    """Larger wishes: accepted as written and read again, and the same a second time; how many had wishes that clash."""
    bench, dice, begun = all_packs(), random.Random(seed), process_time()
    missed = 0
    for _ in range(number):
        text = draw_wishes(dice, 8, (7,))
        first, second = (arrange(bench, regimen_of(text), ASKED) for _ in range(2))
        if not first.attempt.accepted or first.attempt.regimen is None or second.attempt.regimen is None:
            raise AssertionError(f"No plan was found.\n{text}{[f.message for f in first.attempt.refused]}")
        written = write_regimen(first.attempt.regimen)
        if written != write_regimen(second.attempt.regimen):
            raise AssertionError(f"Two plans for the same wishes.\n{text}")
        if refusing(bench, regimen_of(written)):
            raise AssertionError(f"What was arranged is refused.\n{text}{written}")
        missed += bool(first.attempt.missed())
    return missed, process_time() - begun


def in_jobs(trial: Callable[[int, str], tuple[int, float]], number: int, seed: int, jobs: int) -> str:
    """A trial divided among processes, each with wishes of its own: its figures in words."""
    parts = [number // jobs + (part < number % jobs) for part in range(jobs)]
    seeds = [f"{seed}.{part}" for part in range(jobs)]
    begun = perf_counter()
    if jobs == 1:
        found = [trial(number, seeds[0])]
    else:
        with ProcessPoolExecutor(jobs) as pool:
            found = list(pool.map(trial, parts, seeds))
    missed = sum(one for one, _ in found)
    seconds = sum(spent for _, spent in found)
    told = f"{number} in {perf_counter() - begun:.0f} s ({seconds:.0f} s of processor)"
    return f"{told}; {missed} had wishes that clash"


def main(arguments: list[str] | None = None) -> int:
    """Run all trials."""
    parser = argparse.ArgumentParser(description="Try dermalint arrange at length.")
    parser.add_argument("--small", type=int, default=500)
    parser.add_argument("--random", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    wanted = parser.parse_args(arguments)
    try:
        if wanted.small:
            told = in_jobs(try_small, wanted.small, wanted.seed, wanted.jobs)
            print(f"Small wishes: {told}, for none is there a better plan.", flush=True)
        if wanted.random:
            told = in_jobs(try_random, wanted.random, wanted.seed, wanted.jobs)
            print(f"Random wishes: {told}, all were accepted, each the same twice.", flush=True)
    except AssertionError as fault:
        print(fault, file=sys.stderr)
        return 1
    print("No fault was found.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
