"""Measures arranging: twelve products, a week of fourteen routines, all packs; a proven optimum, and a clash explained.

    python bench/arranging.py [--runs N]

Loading the packs is measured by ``bench/run.py``; here they are loaded once.  The last lines draw other wishes for the same
products, as one puzzle says little about a solver.  Processor time says more than the clock on a machine with other work.
"""

from __future__ import annotations

import argparse
import random
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

from dermalint.arrange.arranging import Arranged, arrange
from dermalint.arrange.clash import find_cores, find_relaxations
from dermalint.checks.asked import Asked as AskedOfCase
from dermalint.regimen.read import read_regimen_bytes
from dermalint.review import Asked, open_desk

AS_OF = date(2026, 3, 2)
WISHES = """\
regimen: Twelve products
person: {age: 41, reasons: [ageing, dark-spots]}
products:
  oat-wash: {kind: cleanser, base: gel, contact: rinsed}
  dew-essence: {kind: essence, base: water, ph: 5.5, contains: {glycerin: 5 %, panthenol: 1 %}}
  calm-serum: {kind: serum, base: water, ph: 6, contains: {niacinamide: 4 %}}
  morning-c: {kind: serum, base: water, ph: 3.2, contains: {ascorbic-acid: 10 %}}
  second-retinol: {kind: serum, base: emulsion, contains: {retinol: 0.3 %}}
  lactic-lotion: {kind: serum, base: water, ph: 3.8, contains: {lactic-acid: 8 %}}
  copper-serum: {kind: serum, base: water, ph: 6, contains: {copper-tripeptide-1: 1 %}}
  azelaic-cream: {kind: treatment, base: emulsion, contains: {azelaic-acid: 10 %}}
  salicylic-gel: {kind: treatment, base: gel, ph: 3.7, contains: {salicylic-acid: 2 %}}
  plain-cream: {kind: moisturiser, base: emulsion, contains: {glycerin: 5 %}}
  night-balm: {kind: balm, base: ointment, contains: {petrolatum: }}
  day-shield: {kind: sunscreen, base: emulsion, spf: 50, filters: both, broad-spectrum: true}
cycle: 7 days
wishes:
  - {product: oat-wash, mornings: every, evenings: every}
  - {product: dew-essence, mornings: every}
  - {product: calm-serum, mornings: 4 per week}
  - {product: plain-cream, mornings: every, evenings: every}
  - {product: day-shield, mornings: every}
  - {product: second-retinol, evenings: 3 per week}
  - {product: morning-c, mornings: 3 per week}
  - {product: lactic-lotion, evenings: 1 to 2 per week, not-before: [second-retinol]}
  - {product: copper-serum, evenings: 1 to 2 per week}
  - {product: azelaic-cream, evenings: 2 per week}
  - {product: salicylic-gel, evenings: 1 per week}
  - {product: night-balm, evenings: 2 per week, prefer: "the evening after a rest"}
  - {keep-free: [sunday evening]}
"""
CLASH = WISHES.replace("second-retinol, evenings: 3 per week", "second-retinol, evenings: 5 per week, priority: 1")


def tell(what: str, runs: list[tuple[float, float]], note: str = "") -> None:
    """Prints the medians of the time by the clock and of the processor."""
    clock, processor = (median(run[part] for run in runs) for part in (0, 1))
    print(f"  {what:<52} {clock * 1000:>7.0f} ms {processor * 1000:>7.0f} ms of processor  {note}".rstrip())


def timed(call: Callable[[], object]) -> tuple[float, float]:
    """Seconds by the clock, and of the processor."""
    clock, processor = perf_counter(), process_time()
    call()
    return perf_counter() - clock, process_time() - processor


def main() -> None:
    """Runs all measurements."""
    parser = argparse.ArgumentParser(description="Measure dermalint arrange on this machine.")
    parser.add_argument("--runs", type=int, default=5)
    wanted = parser.parse_args()
    desk, _ = open_desk(Asked(as_of=AS_OF))

    def plan(text: str) -> Arranged:
        reading, _ = read_regimen_bytes(text.encode(), Path("bench.regimen.yaml"), shown="bench")
        found = arrange(desk.bench, reading.regimens[0], AskedOfCase(AS_OF, "eu", "usual"))
        if not found.attempt.accepted:
            raise RuntimeError("No plan was found.")
        return found

    def explain() -> None:
        found = plan(CLASH)
        if not find_relaxations(found, find_cores(found)):
            raise RuntimeError("Nothing would help.")

    proven = plan(WISHES).attempt.proven
    print("Arranging (12 products, 14 routines, all packs)")
    tell("a plan", [timed(lambda: plan(WISHES)) for _ in range(wanted.runs)], "proven" if proven else "not proven")
    tell("a plan, its clash and what would help", [timed(explain) for _ in range(wanted.runs)])
    dice = random.Random(1)
    runs, unproven = [], 0
    for _ in range(wanted.runs * 2):
        text = re.sub(r"(\d)( to \d)? per week", lambda _: f"{dice.randint(1, 4)} per week", WISHES)
        found: list[Arranged] = []
        runs.append(timed(lambda text=text, found=found: found.append(plan(text))))
        unproven += not found[0].attempt.proven
    tell(f"a plan of other wishes, {len(runs)} drawn", runs, f"the longest {max(runs)[0] * 1000:.0f} ms, {unproven} not proven")


if __name__ == "__main__":
    main()
