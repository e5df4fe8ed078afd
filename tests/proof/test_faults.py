"""Every fault that was put into a pack is found and explained, and nothing else is said of it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from dermalint.proof.flaws import FAULT, KINDS
from dermalint.proof.prove import prove
from proof.seeded import ground_of

FAULTS = Path(__file__).with_name("faults.txt")


class Seeded(NamedTuple):
    kind: str
    rules: frozenset[str]
    words: str
    text: str


def seeded() -> Iterator[Seeded]:
    for block in re.split(r"^== ", FAULTS.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
        head, _, text = block.partition("\n")
        names, _, words = head.partition(" > ")
        kind, _, rules = names.partition(":")
        yield Seeded(kind, frozenset(rules.split()), words, text)


CASES = list(seeded())


def test_there_are_enough_and_of_every_kind() -> None:
    assert len(CASES) >= 60
    assert {case.kind for case in CASES} == {*KINDS} - {"thin-evidence"}


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.kind}: {case.text.splitlines()[1].strip()[:60]}")
def test_fault_is_found_and_explained(case: Seeded) -> None:
    ground = ground_of(case.text)
    proof = prove(ground)
    mine = [flaw for flaw in proof.faults if flaw.kind == case.kind and {*flaw.rules} == case.rules]
    assert any(case.words in flaw.message for flaw in mine), [(flaw.kind, flaw.message) for flaw in proof.faults]
    for flaw in mine:
        assert flaw.where.path is not None
        assert len(flaw.related) >= len({*flaw.rules}) - 1
    # Where one fault brings another with it, that is about the same rules; nothing is said of any other.
    others = {flaw.kind for flaw in proof.faults if flaw not in mine} - {"example", "clash", "implied", "order-cycle"}
    assert not others, [(flaw.kind, flaw.message) for flaw in proof.faults]
    assert all(flaw.level == FAULT for flaw in proof.faults)
