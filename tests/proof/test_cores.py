"""A core of clashing rules is minimal, and what is not decided is said."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from dermalint.proof import clashes, placing
from dermalint.proof.clashes import prove_clashes
from dermalint.proof.prove import prove
from proof.seeded import ground_of

THREE = """
rule one caution
  after retinol expect moisturiser in the same routine.
rule two caution
  use moisturiser only in the morning.
rule three caution
  use retinol only in the evening.
rule beside caution
  use moisturiser at most 20 times per week.
"""


def test_core_is_minimal() -> None:
    (flaw,) = prove_clashes(ground_of(THREE)).flaws
    assert {*flaw.rules} == {"a.one", "a.two", "a.three"}
    for left_out in ("one", "two", "three"):
        blocks = [block for block in THREE.split("rule ")[1:] if not block.startswith(f"{left_out} ")]
        assert prove_clashes(ground_of("".join(f"rule {block}" for block in blocks))).flaws == ()


def test_without_the_solver_what_needs_it_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clashes, "find_spec", {}.get)
    proof = prove(ground_of(THREE))
    assert not [flaw for flaw in proof.faults if flaw.kind == "clash"]
    (left,) = proof.undecided
    assert "dermalint[solver]" in left.why


def test_a_bound_of_the_solver_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(_: placing.Placing, on: Iterable[int], _used: Iterable[int] = ()) -> bool | None:
        return None if len(list(on)) > 1 else True

    monkeypatch.setattr(placing.Placing, "holds", stopped)
    answer = prove_clashes(ground_of(THREE))
    assert answer.flaws == ()
    assert answer.undecided
    assert "stopped" in answer.undecided[0].why


def test_limits_of_a_personal_exception_are_no_clash() -> None:
    text = """
rule one caution
  after retinol expect moisturiser in the same routine.
rule two caution
  never use moisturiser if person is pregnant.
"""
    assert prove_clashes(ground_of(text)).flaws == ()


@pytest.mark.parametrize(
    "sentences",
    [
        ("separate retinol from moisturiser by 30 minutes.", "after retinol expect moisturiser in the same routine."),
        ("wait 10 minutes after retinol before moisturiser.", "after retinol expect moisturiser within 10 minutes."),
        ("before retinol expect moisturiser at least 20 minutes ahead.", "before retinol expect moisturiser within 1 hour."),
        # Minutes on so fine a grid are left open: what cannot be is then missed, and what can be is never told.
        ("separate retinol from moisturiser by 7 minutes.", "after retinol expect moisturiser within 11 minutes."),
    ],
)
def test_what_a_wait_in_the_routine_solves_is_no_clash(sentences: tuple[str, str]) -> None:
    text = "".join(f"rule r{number} caution\n  {sentence}\n" for number, sentence in enumerate(sentences))
    assert prove_clashes(ground_of(text)).flaws == ()
