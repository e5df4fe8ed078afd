"""What a finding says of the way out, where something prescribed is at fault, and of amounts that lie between two figures."""

from __future__ import annotations

import pytest

from dermalint.verdict.findings import Finding
from judging import findings_of

PLAN = """regimen: A plan
products:
  clinic: {kind: treatment, base: emulsion, contains: {tretinoin: 0.05 %}, prescribed: true}
  drops: {kind: serum, base: oil, contains: {retinol: 0.3 %}}
  gel: {kind: serum, base: gel, contains: {salicylic-acid: 2 %}}
routines:
  - {slot: morning, steps: [clinic, gel, drops]}
  - {slot: evening, steps: [clinic, gel]}
"""
ASK = "clinic is prescribed: ask the prescriber first."


def ways(requirement: str) -> dict[tuple[str, ...], str]:
    """What is said of the way out, by the products of a finding."""
    return {one.products: " ".join(mend.say for mend in one.mends) for one in findings_of(requirement, PLAN)}


@pytest.mark.parametrize(
    "requirement",
    [
        "use tretinoin at most 3 times per week.",
        "use tretinoin only in the evening.",
        "never use tretinoin in the morning.",
        "separate uses of tretinoin by 3 days.",
        "apply salicylic-acid before tretinoin.",
        "separate tretinoin from retinol by 20 hours.",
    ],
)
def test_nobody_is_told_to_change_what_is_prescribed_without_its_prescriber(requirement: str) -> None:
    told = {products: say for products, say in ways(requirement).items() if "clinic" in products}
    assert told
    assert all(say.endswith(ASK) for say in told.values())


def test_of_two_the_one_that_is_not_prescribed_moves() -> None:
    assert ways("separate tretinoin from salicylic-acid by routine.") == {
        ("clinic", "gel"): "Move gel to a routine without the other, for example another evening."
    }
    assert ways("use retinol only in the evening.") == {("drops",): "Move drops to the evening."}


def test_the_cycle_that_keeps_a_distance_is_named() -> None:
    (say,) = ways("separate uses of retinol by 10 days.").values()
    assert say == "Write a cycle that keeps the distance (used once in `cycle: 10 days`), or leave one of the two out."


def amounts(*stated: str, person: str = "") -> list[Finding]:
    steps = "\n".join(f"  - {{slot: morning, days: [{day}], steps: [{{product: shield, amount: {said}}}]}}"
                      for day, said in enumerate(stated, start=1))  # fmt: skip
    plan = (
        f"regimen: A plan\n{person}products:\n  shield: {{kind: sunscreen, base: emulsion, spf: 50}}\n"
        f"cycle: 5 days\nroutines:\n{steps}\n"
    )
    return findings_of("limit amount of sunscreen to at least 1.2 g.", plan)


def test_of_several_amounts_the_worst_is_told() -> None:
    (found,) = amounts("0.9 g", "two drops", "0.8 g")
    assert found.measured is not None
    assert found.measured.value == pytest.approx(0.1)
    assert "the amount is 0.1 g" in found.message


def test_an_amount_between_two_figures_is_told_as_such() -> None:
    """Two finger-tip units weigh 0.86 g for women and 0.98 g for men (Long and Finlay 1991): too little for either."""
    (found,) = amounts("2 finger-tip units")
    assert found.certainty == "certain"
    assert "the amount is between 0.86 and 0.98 g; at least 1.2 g" in found.message
    (found,) = amounts("2.5 finger-tip units")
    assert found.certainty == "possible"
    assert "between 1.075 and 1.225 g" in found.message
    assert found.unknown == ("whose finger measures 2.5 finger-tip units of shield",)
    assert amounts("2.5 finger-tip units", person="person: {sex: male}\n") == []
    (found,) = amounts("2.5 finger-tip units", person="person: {sex: female}\n")
    assert found.certainty == "certain"


def test_an_amount_that_is_not_said_is_told_as_not_stated() -> None:
    (found,) = amounts("a little")
    assert "the amount is not stated" in found.message
    assert found.unknown == ("the amount of shield",)
