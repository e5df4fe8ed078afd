"""What a run imports: no plugin and no pluggy, unless a rule with something to judge asks for a plugin's measure."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from fake_distributions import Ran, run_apart

TELL = "print(*sorted(sys.modules), file=sys.stderr)"
EU = """\
regimen: Larkspur evenings
region: REGION
products:
  night-cream: {kind: serum, base: emulsion, contains: {CONTENT: 0.5 %}}
routines:
  - {slot: evening, days: [monday], steps: [night-cream]}
history: []
"""
PLUGINS = {"pluggy", "dermalint_acids.measures", "dermalint_retinoids.measures", "dermalint.plugins.discover"}


@pytest.fixture
def imported(tmp_path: Path, cache: Path) -> Callable[..., set[str]]:
    def run(region: str, content: str, *options: str) -> set[str]:
        text = EU.replace("REGION", region).replace("CONTENT", content)
        (tmp_path / "x.regimen.yaml").write_text(text, encoding="utf-8")
        call = ("review", tmp_path / "x.regimen.yaml", "--as-of", "2027-06-01", "--no-cache", *options)
        run_apart(tmp_path, cache, *call)  # compiles the packs
        ran: Ran = run_apart(tmp_path, cache, *call, after=TELL)
        assert ran.status in (0, 1)
        return set(ran.err.split())

    return run


def test_a_run_without_need_of_a_plugin_imports_none(imported: Callable[..., set[str]]) -> None:
    for region, content in (("uk", "retinol"), ("eu", "niacinamide")):
        loaded = imported(region, content)
        assert "dermalint.checks.judge" in loaded
        assert not loaded & {*PLUGINS, "dermalint_acids", "dermalint_retinoids", "dermalint_rulesets"}
        assert not loaded & {"lark", "jsonschema", "importlib.metadata"}


def test_only_the_plugin_that_is_asked_is_imported(imported: Callable[..., set[str]]) -> None:
    assert imported("eu", "retinol") & PLUGINS == PLUGINS - {"dermalint_acids.measures"}


def test_who_wants_no_plugins_gets_none(imported: Callable[..., set[str]]) -> None:
    assert not imported("eu", "retinol", "--without-plugins") & PLUGINS
