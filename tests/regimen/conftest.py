"""Reading small files that a test writes itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from dermalint.regimen.model import Reading
from dermalint.regimen.read import read_regimen

Reader = Callable[..., Reading]


@pytest.fixture
def read(tmp_path: Path) -> Reader:
    """Write a text (or bytes) to a file in a folder of its own and read it; ``ending`` says which language it is in."""

    def of(content: str | bytes, ending: str = "yaml") -> Reading:
        folder = tmp_path / "desk"
        folder.mkdir(exist_ok=True)
        path = folder / f"calm.regimen.{ending}"
        path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
        return read_regimen(path, shown=f"calm.regimen.{ending}", root=folder)

    return of
