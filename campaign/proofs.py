"""A long search for wrong proofs; far too long for the tests.

    python campaign/proofs.py [--clean 2000] [--agree 2000] [--seed 1]

- Consistent packs, made from a week that keeps all their rules: a proof finds nothing wrong with them.
- Small packs: the solver and trying every small week with the engine agree on whether some week keeps all their rules.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from itertools import permutations, product
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests")]

import consistent  # noqa: E402
from dermalint.checks.asked import Asked  # noqa: E402
from dermalint.checks.examples import build_example  # noqa: E402
from dermalint.checks.judge import Bench, judge  # noqa: E402
from dermalint.proof.matching import Matching  # noqa: E402
from dermalint.proof.placing import SLOTS, Placing  # noqa: E402
from dermalint.proof.plans import Plan  # noqa: E402
from dermalint.proof.prove import prove  # noqa: E402
from dermalint.proof.samples import HERE as NOWHERE  # noqa: E402
from dermalint.proof.samples import length, step_of  # noqa: E402
from dermalint.proof.settings import given  # noqa: E402
from dermalint_grammar import nodes  # noqa: E402
from proof.seeded import AS_OF, ground_of  # noqa: E402

BILLION = nodes.BILLION
ASKED = Asked(AS_OF, None, "usual")


def search_clean(number: int, seed: int) -> None:
    """Proofs of consistent packs."""
    begun = time.process_time()
    rules = 0
    for count in range(number):
        text = consistent.pack(Random(f"{seed} {count}"))
        ground = ground_of(text)
        rules += len(ground.proven)
        wrong = [flaw for flaw in prove(ground).faults if flaw.kind != "example"]
        if wrong:
            sys.exit(f"Pack {count} is consistent, and a proof says: {wrong[0].message}\n{text}")
    print(f"Consistent packs: {number} in {time.process_time() - begun:.0f} s - {rules} rules, no false report", flush=True)


# --- the solver against trying every week ---

A, B = "retinol", "moisturiser"
SENTENCES = (
    "use {a} only in the {s}.",
    "never use {a} in the {s}.",
    "never use {a}.",
    "separate {a} from {b} by routine.",
    "separate {a} from {b} by day.",
    "separate {a} from {b} by {h} hours.",
    "separate {a} from {b} by 1 day before and 2 days after.",
    "separate uses of {a} by {n} days.",
    "apply {a} before {b}.",
    "apply {a} first.",
    "apply {a} last.",
    "use {a} at most {n} times per day.",
    "use {a} at most {n} days per week.",
    "use {a} at most {n} {s}s per 3 days.",
    "use {a} at most {n} days in a row.",
    "use {a} at least {n} days per 3 days.",
    "use {a} at least {n} times per day.",
    "use at most 1 product of any product per routine.",
    "use at least 2 products of any product per day.",
    "after {a} expect {b} in the same routine.",
    "after {a} expect {b} in the same day.",
    "before {a} expect {b} in the same day.",
    "after {a} expect {b} within {h} hours.",
    "before {a} expect {b} at least {h} hours ahead.",
    "after {a} expect {b} every {s} for {n} days.",
    "expect {a} in every {s}.",
    "expect {a} in every day.",
    "expect {a} in every routine that has {b}.",
    "expect {a} in every {s} that has {b}.",
    "limit strength of retinol to at most {n} %.",
)


def small_pack(random: Random) -> str:
    """Two or three sentences about two products."""
    lines = []
    for number in range(random.choice((2, 2, 3))):
        a, b = random.sample((A, B), 2)
        words = {
            "a": a,
            "b": b,
            "s": random.choice(("morning", "evening")),
            "n": random.randint(1, 3),
            "h": random.choice((6, 10, 12, 15, 24)),
        }
        lines.append(f"rule r{number} caution\n  {random.choice(SENTENCES).format(**words)}\n")
    return "".join(lines)


def weeks(days: int) -> list[Plan]:
    """Every cycle of so many days with two slots, two products and any order in each routine."""
    steps = (step_of(A, 2 * BILLION), step_of(B))
    routines = [(), *((step,) for step in steps), *permutations(steps)]
    places = [(day, slot) for day in range(1, days + 1) for slot in ("morning", "evening")]
    found = []
    for chosen in product(routines, repeat=len(places)):
        kept = tuple(
            nodes.ExampleRoutine(day, False, slot, tuple(inside), NOWHERE)
            for (day, slot), inside in zip(places, chosen, strict=True)
            if inside
        )
        found.append(Plan(kept, givens=(given("cycle", "", None, length(days, nodes.Unit.DAY)),)))
    return found


def both_answers(text: str, days: int, used: tuple[int, ...]) -> tuple[bool | None, bool]:
    """Whether some week keeps all rules: by the solver, and by trying every one with the engine."""
    ground = ground_of(text)
    steps = (step_of(A, 2 * BILLION), step_of(B))
    slots = (SLOTS.index("morning"), SLOTS.index("evening"))
    placing = Placing(steps, ground.proven, Matching(ground, steps), days=days, slots=slots)
    solved = placing.holds(range(len(ground.proven)), used)
    bench = Bench(ground.world, ground.proven, ground.plugins)
    names = (A, B)
    for plan in weeks(days):
        there = {step.what.text for one in plan.routines for step in one.steps if step.what is not None}
        if all(names[one] in there for one in used):
            findings, _ = judge(bench, build_example(plan.example(False), ground.world), ASKED)
            if not findings:
                return solved, True
    return solved, False


def search_agreement(number: int, seed: int) -> None:
    """The solver against trying every week."""
    begun = time.process_time()
    yes = 0
    for count in range(number):
        random = Random(f"{seed} {count}")
        text = small_pack(random)
        days = random.choice((1, 1, 1, 2))
        used = random.choice(((), (0,), (1,), (0, 1)))
        solved, tried = both_answers(text, days, used)
        if solved is not tried:
            sys.exit(f"Pack {count}: the solver says {solved}, trying every week {tried} ({days} days, used {used})\n{text}")
        yes += tried
    taken = time.process_time() - begun
    print(
        f"Small packs: {number} in {taken:.0f} s - {yes} can be kept, {number - yes} cannot, and all answers agree", flush=True
    )


def main() -> None:
    """Runs both searches; DERMALINT_CAMPAIGN multiplies their sizes."""
    parser = argparse.ArgumentParser(description="Search long for wrong proofs.")
    parser.add_argument("--clean", type=int, default=2_000)
    parser.add_argument("--agree", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    scale = float(os.environ.get("DERMALINT_CAMPAIGN", "1"))
    for search, number in ((search_clean, asked.clean), (search_agreement, asked.agree)):
        if number:
            search(max(int(number * scale), 1), asked.seed)
    print("No fault was found.")


if __name__ == "__main__":
    main()
