"""A long search for wrong proofs; far too long for the tests.

    python campaign/proofs.py [--clean 2000] [--agree 2000] [--seed 1] [--witnesses]

- Witnesses (``--witnesses``): `review` says of every shipped rule's two files what they are to show.
- Consistent packs, made from a week that keeps all their rules: a proof finds nothing wrong with them.
- Small packs: the solver and trying every small week with the engine agree on whether some week keeps all their rules.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
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
from dermalint.packs.load import load_packs  # noqa: E402
from dermalint.proof.ground import Ground  # noqa: E402
from dermalint.proof.matching import Matching  # noqa: E402
from dermalint.proof.placing import SLOTS, Placing  # noqa: E402
from dermalint.proof.plans import Plan  # noqa: E402
from dermalint.proof.prove import prove  # noqa: E402
from dermalint.proof.samples import HERE as NOWHERE  # noqa: E402
from dermalint.proof.samples import length, step_of, wait_of  # noqa: E402
from dermalint.proof.settings import given  # noqa: E402
from dermalint.proof.witness import Witnesses, confirm  # noqa: E402
from dermalint_grammar import nodes  # noqa: E402
from proof.seeded import AS_OF, ground_of  # noqa: E402

BILLION = nodes.BILLION
ASKED = Asked(AS_OF, None, "usual")
REVIEW = (sys.executable, "-c", "from dermalint.cli.main import run; run()", "review")


def search_witnesses() -> None:
    """A witness of every shipped rule, as two files that the command `review` reads."""
    begun = time.process_time()
    ground = Ground(load_packs(), (), AS_OF)
    witnesses = Witnesses(ground)
    expected: dict[str, tuple[str, set[str] | None]] = {}
    by_day: dict[str, list[str]] = {}
    bound = 0
    with tempfile.TemporaryDirectory() as folder:
        for linked in ground.proven:
            found = confirm(witnesses.of(linked), ground)
            witness = found.witness
            if not found.well or (witness.others and not witness.always):
                sys.exit(f"{linked.id} has no witness that breaks it alone, and none that another rule must break too.")
            bound += bool(witness.others)
            for word, text, plan in (("breaks", found.breaks, witness.breaks), ("holds", found.holds, witness.holds)):
                path = Path(folder) / f"{linked.id}.{word}.regimen.yaml"
                path.write_text(text, encoding="utf-8")
                expected[path.name] = linked.id, {linked.id, *witness.others} if word == "breaks" else None
                by_day.setdefault(plan.as_of.isoformat() if plan is not None else "", []).append(str(path))
        report = Path(folder) / "report.json"
        judged = 0
        for day, paths in by_day.items():
            call = [*REVIEW, *paths, "--as-of", day, "--as", "json", "--no-cache", "--to", str(report)]
            subprocess.run(call, check=False, stdout=subprocess.DEVNULL)  # that it finds something is meant
            for file in json.loads(report.read_text(encoding="utf-8"))["files"]:
                rule, broken = expected[Path(file["path"]).name]
                said = {finding["rule"] for finding in file["findings"]}
                mistakes = [problem["message"] for problem in file["problems"] if problem["level"] == "error"]
                if mistakes or (said != broken if broken is not None else rule in said):
                    sys.exit(f"{file['path']}: the review finds {sorted(said)}, {mistakes}")
                judged += 1
        if judged != len(expected):
            sys.exit(f"Of {len(expected)} files {judged} were reviewed.")
    print(
        f"Witnesses: {len(ground.proven)} rules in {time.process_time() - begun:.0f} s - {judged} files confirmed by review, "
        f"{len(ground.proven) - bound} rules broken alone, {bound} that cannot be",
        flush=True,
    )


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
# These are told apart by waits in a routine.
WAITING = (
    "wait {m} minutes after {a} before {b}.",
    "separate {a} from {b} by {m} minutes.",
    "separate {a} from {b} by {m} minutes after.",
    "after {a} expect {b} within {m} minutes.",
    "before {a} expect {b} within {m} minutes.",
    "before {a} expect {b} at least {m} minutes ahead.",
)
WAIT = 30  # minutes that a routine may wait, in steps of ten


def small_pack(random: Random, waiting: bool = False) -> str:
    """Two or three sentences about two products; ``waiting`` has minutes in them, and no hours that a wait would decide."""
    lines = []
    for number in range(random.choice((2, 2, 3))):
        a, b = random.sample((A, B), 2)
        words = {
            "a": a,
            "b": b,
            "s": random.choice(("morning", "evening")),
            "n": random.randint(1, 3),
            "h": random.choice((6, 12, 20) if waiting else (6, 10, 12, 15, 24)),
            "m": random.choice((10, 20, 30, 40)),
        }
        sentences = WAITING if waiting and random.random() < 0.6 else SENTENCES
        lines.append(f"rule r{number} caution\n  {random.choice(sentences).format(**words)}\n")
    return "".join(lines)


def weeks(days: int, longest_wait: int = 0) -> list[Plan]:
    """Every cycle of so many days with two slots, two products and any order in each routine, with waits between them."""
    steps = (step_of(A, 2 * BILLION), step_of(B))
    routines: list[tuple[nodes.ExampleStep, ...]] = [(), *((step,) for step in steps), *permutations(steps)]
    routines += [(one, wait_of(m), two) for one, two in permutations(steps) for m in range(10, longest_wait + 1, 10)]
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


def both_answers(text: str, days: int, used: tuple[int, ...], longest_wait: int = 0) -> tuple[bool | None, bool]:
    """Whether some week keeps all rules: by the solver, and by trying every one with the engine."""
    ground = ground_of(text)
    steps = (step_of(A, 2 * BILLION), step_of(B))
    slots = (SLOTS.index("morning"), SLOTS.index("evening"))
    placing = Placing(steps, ground.proven, Matching(ground, steps), days=days, slots=slots, longest_wait=longest_wait)
    solved = placing.holds(range(len(ground.proven)), used)
    bench = Bench(ground.world, ground.proven, ground.plugins)
    names = (A, B)
    for plan in weeks(days, longest_wait):
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
        waiting = random.random() < 0.4
        text = small_pack(random, waiting)
        days = 1 if waiting else random.choice((1, 1, 1, 2))
        used = random.choice(((), (0,), (1,), (0, 1)))
        solved, tried = both_answers(text, days, used, WAIT if waiting else 0)
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
    parser.add_argument("--witnesses", action="store_true")
    asked = parser.parse_args()
    if asked.witnesses:
        search_witnesses()
    scale = float(os.environ.get("DERMALINT_CAMPAIGN", "1"))
    for search, number in ((search_clean, asked.clean), (search_agreement, asked.agree)):
        if number:
            search(max(int(number * scale), 1), asked.seed)
    print("No fault was found.")


if __name__ == "__main__":
    main()
