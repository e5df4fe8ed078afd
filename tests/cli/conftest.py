"""The stand-in engine as a fixture; the reviews built by hand for the report tests serve here too."""

from __future__ import annotations

import sys
from pathlib import Path
from types import ModuleType

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "report"))  # for the reviews built by hand
sys.path.insert(0, str(Path(__file__).resolve().parent))

from stand_in_engine import Asked, Engine


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
