"""A pack and a regimen to try plugins on, and one cache of compiled packs for all runs."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))

from fake_distributions import HEAD, Ran, install, run_apart

PACK = """\
pack trial 1.0.0
uses core, substances

measure broken "%" adds
measure parts ""

rule asks-for-broken caution
  limit broken of retinol to at most 1 %.
  why "A rule whose measure a broken plugin should compute."

rule asks-for-parts caution
  limit parts of retinol to at most 0.
  why "A rule whose measure a sound plugin computes."

rule asks-for-nothing caution
  never use mask in the morning.
  why "A rule without a plugin."
"""
REGIMEN = """\
regimen: Larkspur trial
products:
  clay: {kind: mask, base: water, contact: {timed: 10 min}}
  night-cream: {kind: serum, base: emulsion, ph: 5.5, contains: {retinol: 0.3 %}}
routines:
  - {slot: morning, days: [monday], steps: [clay]}
  - {slot: evening, days: [monday], steps: [night-cream]}
history: []
"""
SOUND = HEAD + """
@provides
def measures():
    return {"parts": lambda product: (len(product.meant) * 10**9, len(product.meant) * 10**9)}
"""
OTHERS = ["trial.asks-for-nothing", "trial.asks-for-parts"]


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
        regimen = [] if any(str(word).endswith((".csv", ".trial")) for word in arguments) else [folder / "trial.regimen.yaml"]
        call = ("review", *regimen, "--packs", folder / "trial.rules", *chosen, "--as", as_, "--as-of", "2026-03-02", *arguments)
        return run_apart(site, cache, *call, **environment)

    return run
