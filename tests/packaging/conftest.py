"""The built wheel, and a fresh environment that holds it and its declared dependencies."""

from __future__ import annotations

from pathlib import Path

import pytest
from fresh_environment import PROJECT, build_wheel, make_environment


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build_wheel(PROJECT, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="session")
def scripts(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of commands of a new environment."""
    return make_environment(tmp_path_factory.mktemp("installed"), wheel)
