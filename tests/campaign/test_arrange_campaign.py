"""The trial of arranging in small: no plan is better, and what is arranged is accepted."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

CAMPAIGN = Path(__file__).resolve().parents[2] / "campaign" / "arrange.py"


def test_a_small_trial_finds_no_fault() -> None:
    sizes = ["--small", "3", "--random", "3", "--seed", "4"]
    done = subprocess.run([sys.executable, str(CAMPAIGN), *sizes], capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Small wishes: 3 in ")
    assert done.stdout.endswith("No fault was found.\n")
