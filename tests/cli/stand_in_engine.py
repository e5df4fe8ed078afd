"""An engine that answers with a review built by hand, in place of the real one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any


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
    plan: bool = False
    plugins: tuple[str, ...] | None = None
    settings: Any = None
    cache: bool = True


@dataclass
class Engine:
    """``answer`` is the review to give, or a function that raises; ``asked`` and ``paths`` are the last call's."""

    answer: Any = None
    asked: Asked | None = None
    paths: Sequence[str] = ()

    def review_paths(self, paths: Sequence[str], asked: Asked) -> Any:
        self.paths, self.asked = paths, asked
        return self.answer() if isinstance(self.answer, Callable) else self.answer  # type: ignore[arg-type]
