"""The campaign in small: it runs, its damage is repeatable, and a fault would end it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).resolve().parents[2] / "campaign"
sys.path.insert(0, str(CAMPAIGN))

import run as campaign  # noqa: E402
from mutate import Texts  # noqa: E402
from watch import TooLong, Watch  # noqa: E402


def test_a_small_campaign_finds_no_fault() -> None:
    sizes = ["--packs", "5", "--texts", "60", "--regimens", "4", "--seed", "7"]
    done = subprocess.run(
        [sys.executable, str(CAMPAIGN / "run.py"), *sizes], capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stderr
    assert re.search(r"^Generated packs: 5 in ", done.stdout, re.MULTILINE)
    assert re.search(r"^Damaged texts: 60 in ", done.stdout, re.MULTILINE)
    assert done.stdout.endswith("No fault was found.\n")


def test_the_same_seed_does_the_same_damage() -> None:
    def some(seed: int) -> list[str]:
        texts = Texts(campaign.rule_files(), seed)
        return [texts.draw() for _ in range(30)]

    assert some(1) == some(1)
    assert some(1) != some(2)


def test_texts_are_damaged_and_some_stay_readable() -> None:
    texts = Texts(campaign.rule_files(), 3)
    mistakes = [campaign.check_text(texts.draw()) for _ in range(150)]
    assert mistakes.count(0) > 3
    assert sum(1 for number in mistakes if number) > 75


def test_what_takes_too_long_is_stopped_and_what_does_not_is_counted() -> None:
    watch = Watch()

    def hang() -> None:
        with watch.bound(0.01, "a hang"):
            while True:
                pass

    with pytest.raises(TooLong):
        hang()
    with watch.bound(60.0, "a sum"):
        sum(range(10))
    assert watch.pieces == 1
    assert watch.of == "a sum"
    assert watch.tell("Sums").startswith("Sums: 1 in ")
