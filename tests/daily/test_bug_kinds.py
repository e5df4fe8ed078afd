"""Every test that the table of bug kinds names exists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

TESTS = Path(__file__).resolve().parents[1]
TABLE = (TESTS / "daily" / "bug_kinds.md").read_text(encoding="utf-8")
NAMED = re.findall(r"([a-z_]+/test_[a-z_]+\.py)::(test_[a-z_0-9]+)", TABLE)


def test_the_table_is_read() -> None:
    rows = [line for line in TABLE.splitlines() if line.startswith("| ")][2:]
    assert len(rows) > 30
    assert all("::" in row for row in rows)


@pytest.mark.parametrize(("file", "name"), sorted(set(NAMED)))
def test_a_named_test_exists(file: str, name: str) -> None:
    assert f"def {name}(" in (TESTS / file).read_text(encoding="utf-8")


@pytest.mark.parametrize("case", re.findall(r"::test_a_mistake_is_shown_at_its_place: ([^|,]+?) \|", TABLE))
def test_a_named_case_exists(case: str) -> None:
    cases = yaml.safe_load((TESTS / "regimen" / "mistakes.yaml").read_text(encoding="utf-8"))
    assert case in [one["case"] for one in cases]
