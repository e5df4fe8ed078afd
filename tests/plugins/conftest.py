"""A pack and a regimen to try plugins on, and one cache of compiled packs for all runs."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))

from fake_distributions import PACK, REGIMEN, SOUND, Ran, install, run_apart


@pytest.fixture(scope="session")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A search path with a sound plugin on it, beside a pack and a regimen."""
    site = tmp_path / "site"
    site.mkdir()
    install(site, "larkspur-sound", "measures.parts", SOUND)
    (tmp_path / "trial.rules").write_text(PACK, encoding="utf-8")
    (tmp_path / "trial.regimen.yaml").write_text(REGIMEN, encoding="utf-8")
    return site


@pytest.fixture
def review(site: Path, cache: Path) -> Callable[..., Ran]:
    """Run ``dermalint review`` on the regimen with the pack, as JSON."""

    def run(*arguments: object, only: tuple[str, ...] = ("trial",), as_: str = "json", **environment: str) -> Ran:
        folder = site.parent
        chosen = [word for name in only for word in ("--only", name)]
        regimen = [] if any(str(word).endswith(".trial") for word in arguments) else [folder / "trial.regimen.yaml"]
        asked = ("--packs", folder / "trial.rules", *chosen, "--as", as_, "--as-of", "2026-03-02")
        return run_apart(site, cache, "review", *regimen, *asked, *arguments, **environment)

    return run
