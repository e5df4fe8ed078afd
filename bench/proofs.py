"""Measures proofs: of all shipped packs, and of a thousand generated rules beside them.

    python bench/proofs.py [--rules N]

Processor time and time by the clock; both belong to the machine and the moment.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random

PROJECT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(PROJECT / "campaign"))

import consistent  # noqa: E402
from dermalint.packs.load import load_packs  # noqa: E402
from dermalint.proof.ground import Ground  # noqa: E402
from dermalint.proof.prove import PROVERS, prove  # noqa: E402

AS_OF = date(2026, 3, 2)


def generated(rules: int) -> str:
    """A pack of so many rules, made of consistent weeks of substances of their own, so that it is consistent as a whole."""
    lines = ["pack generated 1.0.0", "uses core, substances"]
    number = week = 0
    while number < rules:
        week += 1
        random = Random(f"bench {week}")
        uses = [replace(use, name=f"trial-{week}-{place}") for place, use in enumerate(consistent.week(random))]
        lines += [f'substance {use.name} inci "Trial {use.name}"' for use in uses]
        for block in consistent.pack(random, uses).split("rule ")[1:]:
            _, _, rest = block.partition(" ")
            lines.append(f"rule r{number} {rest}")
            number += 1
            if number == rules:
                break
    return "\n".join(lines) + "\n"


def measure(name: str, ground: Ground) -> None:
    """One line for the whole, then one for each kind of proof."""
    wall, begun = time.perf_counter(), time.process_time()
    proof = prove(ground)
    taken = time.process_time() - begun
    print(f"  {name:<34} {taken:7.2f} s of one processor, {time.perf_counter() - wall:7.2f} s by the clock")
    faults = sum(flaw.kind != "example" for flaw in proof.faults)  # generated rules have no examples
    print(f"  {'':<34} {proof.rules} rules, {faults} faults but for examples, {len(proof.undecided)} not decided")


def main() -> None:
    """Runs both measurements."""
    parser = argparse.ArgumentParser(description="Measure proofs.")
    parser.add_argument("--rules", type=int, default=1000)
    parser.add_argument("--kinds", action="store_true", help="each kind of proof by itself too")
    asked = parser.parse_args()
    print("Proofs")
    measure("all shipped packs", Ground(load_packs(), (), AS_OF))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "generated.rules"
        path.write_text(generated(asked.rules), encoding="utf-8")
        packs = load_packs((path,), cache=False)
        measure(f"{asked.rules} generated rules", Ground(packs, ("generated",), AS_OF))
        if asked.kinds:
            ground = Ground(packs, ("generated",), AS_OF)
            for prover in PROVERS:
                begun = time.process_time()
                prover(ground)
                print(f"    {prover.__name__:<32} {time.process_time() - begun:7.2f} s")


if __name__ == "__main__":
    main()
