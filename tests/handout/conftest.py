"""Regimens of the demonstration, read once."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from dermalint.handout.plan import HandOut
from dermalint.handout.preparing import prepare
from dermalint.regimen.read import read_regimen
from dermalint.review import Asked, Desk, open_desk, review_reading

ROW = Path(__file__).resolve().parents[2] / "examples" / "larkspur-row"


@pytest.fixture(scope="session")
def desk() -> Desk:
    return open_desk(Asked(as_of=date(2026, 3, 2)))[0]


class Demo:
    """Plans of the demonstration's regimens."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def plan(self, name: str) -> HandOut:
        return self.plan_of(ROW / name)

    def plan_of(self, path: Path) -> HandOut:
        reading = read_regimen(path, shown=path.name)
        assert [problem.message for problem in reading.problems if problem.level == "error"] == []
        return prepare(reading.regimens[0], review_reading(reading, self.desk)[0], self.desk)


@pytest.fixture(scope="session")
def demo(desk: Desk) -> Demo:
    return Demo(desk)
