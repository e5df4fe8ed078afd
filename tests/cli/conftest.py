"""An engine that answers with a review built by hand, in place of the real one."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "report"))  # for the reviews built by hand


@dataclass(frozen=True)
class Asked:
    """What the engine is asked, field for field."""

    packs: tuple[Path, ...]
    only: tuple[str, ...]
    without: tuple[str, ...]
    stance: str | None
    region: str | None
    as_of: date | None
    jobs: int


@dataclass
class Engine:
    """``answer`` is the review to give, or a function that raises; ``asked`` and ``paths`` are the last call's."""

    answer: Any = None
    asked: Asked | None = None
    paths: Sequence[str] = ()

    def review_paths(self, paths: Sequence[str], asked: Asked) -> Any:
        self.paths, self.asked = paths, asked
        return self.answer() if isinstance(self.answer, Callable) else self.answer  # type: ignore[arg-type]


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> Engine:
    for variable in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "DERMALINT_TRACE"):
        monkeypatch.delenv(variable, raising=False)
    stand_in = Engine()
    module = ModuleType("dermalint.review")
    module.Asked = Asked  # type: ignore[attr-defined]
    module.review_paths = stand_in.review_paths  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "dermalint.review", module)
    return stand_in
