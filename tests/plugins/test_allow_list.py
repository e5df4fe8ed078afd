"""Settings say which plugins in Python may run, the command line chooses among these, and nothing is left out silently."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from fake_distributions import HEAD, OTHERS, Ran, install, run_apart

GIVES = HEAD + "\n@provides\ndef measures():\n    return {'broken': lambda product: (5 * 10**9, 5 * 10**9)}\n"
WHOLE = sorted(["trial.asks-for-broken", *OTHERS])
NOTHING = ["trial.asks-for-nothing"]


@pytest.fixture
def allowing(site: Path, review: Callable[..., Ran]) -> Callable[..., Ran]:
    """A review with two sound plugins installed, under settings with this line."""
    install(site, "larkspur-broken", "measures.broken", GIVES)

    def run(line: str, *options: str) -> Ran:
        (site.parent / "dermalint.toml").write_text(f"{line}\n", encoding="utf-8")
        return review(*options)

    return run


@pytest.mark.parametrize(
    ("line", "options", "found"),
    [
        ("plugins = []", (), NOTHING),
        ('plugins = ["larkspur-sound"]', (), OTHERS),
        ('plugins = ["measures.broken", "larkspur-sound"]', (), WHOLE),
        ('plugins = ["larkspur-sound", "larkspur-broken"]', ("--only-plugins", "measures.parts"), OTHERS),
        ('plugins = ["larkspur-sound"]', ("--only-plugins", "larkspur-broken"), NOTHING),
    ],
)
def test_what_may_run(allowing: Callable[..., Ran], line: str, options: tuple[str, ...], found: list[str]) -> None:
    ran = allowing(line, *options)
    assert ran.rules() == found
    assert ran.status == 1  # what was left out on purpose is no fault
    told = [problem["message"] for problem in ran.problems]
    assert len(told) == len(WHOLE) - len(found)
    assert all("is left out, as was asked. Not judged where" in message for message in told)


def test_a_name_of_the_settings_that_nothing_has_is_told(allowing: Callable[..., Ran]) -> None:
    ran = allowing('plugins = ["larkspur-sond", "larkspur-broken"]')
    assert ran.rules() == ["trial.asks-for-broken", "trial.asks-for-nothing"]
    told = {problem["message"]: problem["suggestion"] for problem in ran.problems}
    assert told["The plugin larkspur-sond may be used, and nothing of this name is installed."] == (
        "Did you mean `larkspur-sound`?"
    )
    assert {problem["level"] for problem in ran.problems} == {"hint"}


def test_the_list_of_rules_follows_the_settings_too(site: Path, cache: Path) -> None:
    settings = f"packs = [{json.dumps((site.parent / 'trial.rules').as_posix())}]\nplugins = []\n"
    (site.parent / "dermalint.toml").write_text(settings, encoding="utf-8")
    assert "trial.asks-for-nothing" in run_apart(site, cache, "rules", "trial", cwd=site.parent).out
    health = json.loads(run_apart(site, cache, "rules", "--plugins", "--as", "json", cwd=site.parent).out)["plugins"]
    python = [plugin for plugin in health if plugin["kind"] == "Python"]
    assert {plugin["remarks"][0]["message"] for plugin in python} == {"left out, as was asked"}
    wrong = site.parent / "dermalint.toml"
    wrong.write_text("plugins = 3\n", encoding="utf-8")
    ran = run_apart(site, cache, "rules", "trial", cwd=site.parent)
    assert (ran.status, ran.out) == (2, "")
    assert "cannot be followed" in ran.err
