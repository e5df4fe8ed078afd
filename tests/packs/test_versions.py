"""Packs that ask for versions of others, and what becomes of those that cannot have them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from dermalint.packs.model import PackSet

Link = Callable[..., PackSet]


def pack(name: str, body: str, uses: str) -> str:
    """A pack's text."""
    return f"pack {name} 1.0.0\n{uses}\n\n{body}\n"


def rule(sentence: str) -> str:
    """A rule's text."""
    return f'rule one caution\n  {sentence}\n  why "A reason."\n'


def ids(packs: PackSet) -> list[str]:
    return [linked.id for linked in packs.rules]


@pytest.mark.parametrize(("asked", "fits"), [("1.2", True), ("1.2.0", True), ("1.1.9", True), ("1.2.1", False), ("2.0", False)])
def test_versions(link: Link, core: str, asked: str, fits: bool) -> None:
    packs = link(core, pack("acids", rule("never use retinol."), f"uses core {asked} or later"))
    assert (ids(packs) == ["acids.one"]) is fits
    assert (packs.problems == ()) is fits
    if not fits:
        assert packs.problems[0].message == (
            f"The pack core is here in version 1.2.0, and {asked} or later is needed; the pack acids is left out."
        )


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("1.2 or later and below 2.0", None),
        ("1.0 or later and below 1.2.1", None),
        ("1.0 or later and below 1.2", "one below 1.2 is needed"),
        ("0.9 or later and below 1.0", "one below 1.0 is needed"),
        ("1.10 or later and below 2.0", "1.10 or later and below 2.0 is needed"),
        ("1.2 or later and below 1.10", None),
    ],
)
def test_ranges_of_versions(link: Link, core: str, asked: str, told: str | None) -> None:
    packs = link(core, pack("acids", rule("never use retinol."), f"uses core {asked}"))
    assert ids(packs) == ([] if told else ["acids.one"])
    said = f"The pack core is here in version 1.2.0, and {told}; the pack acids is left out."
    assert [problem.message for problem in packs.problems] == ([said] if told else [])


def test_two_packs_that_need_different_versions_of_one(link: Link, core: str) -> None:
    """The one that fits stays; what cannot be had together is told of the other alone."""
    packs = link(
        core,
        pack("acids", rule("never use retinol."), "uses core 1.0 or later"),
        pack("sun", rule("never use retinol."), "uses core 2.0 or later"),
    )
    assert ids(packs) == ["acids.one"]
    assert [problem.pack for problem in packs.problems] == ["sun"]
