"""Nothing false is said: of the shipped packs, of consistent packs, and beside a way of asking that shares nothing."""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest

from dermalint.packs.load import load_packs
from dermalint.proof.ground import Ground
from dermalint.proof.prove import prove
from proof.seeded import AS_OF, ground_of

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "campaign"))

import consistent
import proofs


def test_the_shipped_packs_have_no_fault_and_nothing_is_left_open() -> None:
    proof = prove(Ground(load_packs(), (), AS_OF))
    assert [flaw.message for flaw in proof.faults] == []
    assert proof.undecided == ()
    assert proof.rules > 200


@pytest.mark.parametrize("seed", range(12))
def test_consistent_packs_have_no_fault(seed: int) -> None:
    text = consistent.pack(Random(f"test {seed}"))
    wrong = [flaw.message for flaw in prove(ground_of(text)).faults if flaw.kind != "example"]
    assert wrong == [], text


@pytest.mark.parametrize("seed", range(20))
def test_solver_and_every_week_agree(seed: int) -> None:
    random = Random(f"agree {seed}")
    text = proofs.small_pack(random)
    solved, tried = proofs.both_answers(text, 1 + seed % 4 // 3, random.choice(((), (0,), (1,), (0, 1))))
    assert solved is tried, text


@pytest.mark.parametrize("seed", range(14))
def test_solver_and_every_week_with_waits_agree(seed: int) -> None:
    random = Random(f"waits {seed}")
    text = proofs.small_pack(random, waiting=True)
    solved, tried = proofs.both_answers(text, 1, random.choice(((0,), (1,), (0, 1))), proofs.WAIT)
    assert solved is tried, text


def test_both_answers_occur() -> None:
    answers = {proofs.both_answers(proofs.small_pack(Random(f"agree {seed}")), 1, (0, 1))[1] for seed in range(12)}
    assert answers == {True, False}
    waiting = {proofs.both_answers(proofs.small_pack(Random(f"waits {s}"), True), 1, (0, 1), proofs.WAIT)[1] for s in range(14)}
    assert waiting == {True, False}
