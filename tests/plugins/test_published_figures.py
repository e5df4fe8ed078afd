"""What the first-party measures compute, against published figures; each source stands beside its figures."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dermalint.packs.load import load_packs
from dermalint.plugins.specification import Part, ProductFacts, Span
from dermalint_acids.measures import free_acid, protonated_fraction
from dermalint_grammar.nodes import BILLION
from dermalint_retinoids.measures import retinol_equivalent

WORLD = load_packs().world
EXACT = "exact"


def billionths(number: str | Decimal) -> int:
    return int(Decimal(number) * BILLION)


def part(name: str, low: str | None, high: str | None = EXACT) -> Part:
    """A substance or family of the shipped vocabulary; ``low`` None for a strength that is not stated."""
    most = low if high == EXACT else high
    return Part(
        name,
        billionths(low or "0"),
        None if most is None else billionths(most),
        WORLD.substances.get(name),
        frozenset(each for each in WORLD.ancestors[name] if each in WORLD.families),
    )


def facts(*parts: Part, ph: str | None = None, has_water: bool | None = True) -> ProductFacts:
    return ProductFacts(parts, parts, None if ph is None else billionths(ph), "water", has_water, WORLD.substances)


def per_cent(span: Span | None) -> float:
    """An exact measure in per cent."""
    assert span is not None
    low, high = span
    assert low == high
    return low / BILLION


def fraction(ph: str, *constants: str) -> float:
    return float(protonated_fraction(billionths(ph), [billionths(constant) for constant in constants]))


# A teaching course on cosmetic formulation, after Yu and Van Scott: half of glycolic acid (pKa 3.83) is free at pH 3.83 and
# 0.299 of it at pH 4.2; 5 % at pH 3.2 and 10 % at pH 4.0 both come to about 4 % free acid.
def test_published_examples_of_glycolic_acid() -> None:
    assert fraction("3.83", "3.83") == 0.5
    assert fraction("4.2", "3.83") == pytest.approx(0.299, abs=0.0005)
    for strength, ph in (("5", "3.2"), ("10", "4.0")):
        assert per_cent(free_acid(facts(part("glycolic-acid", strength), ph=ph))) == pytest.approx(4, abs=0.06)


# The same formula worked out by hand (1 / (1 + 10^(pH − pKa))) for constants of published tables: glycolic 3.83, lactic 3.86
# from a table of organic acid constants at 25 °C; salicylic 2.97 and mandelic 3.41 from an encyclopaedia's table (Bjerrum
# 1958); ascorbic 4.10 likewise.
ONE_PROTON = [
    ("3.83", {"2.5": 0.955, "3.0": 0.871, "3.2": 0.810, "3.5": 0.681, "3.8": 0.517, "4.0": 0.403, "4.5": 0.176, "5.0": 0.063}),
    ("3.86", {"3.0": 0.879, "3.5": 0.696, "3.8": 0.534, "4.0": 0.420, "5.0": 0.068}),
    ("2.97", {"3.0": 0.483, "3.5": 0.228, "4.0": 0.085}),
    ("3.41", {"3.0": 0.720, "3.5": 0.448, "4.0": 0.204}),
    ("4.10", {"3.0": 0.926, "3.5": 0.799, "4.0": 0.557}),
]
# Fully protonated, over all constants: citric 3.13, 4.76, 6.40; malic 3.4, 5.2; L-tartaric 2.98, 4.34, worked out by hand.
SEVERAL_PROTONS = [
    (("3.13", "4.76", "6.40"), {"3.0": 0.570, "3.5": 0.288, "4.0": 0.103}),
    (("3.4", "5.2"), {"3.0": 0.714, "3.5": 0.438, "4.0": 0.191}),
    (("2.98", "4.34"), {"3.0": 0.477, "3.5": 0.209, "4.0": 0.062}),
    (("4.53", "5.33"), {"5.0": 0.188}),  # azelaic; a supplier's table gives 21.3 % at pH 5, from constants of its own
]


@pytest.mark.parametrize(("constants", "expected"), [((constant,), row) for constant, row in ONE_PROTON] + SEVERAL_PROTONS)
def test_fractions_worked_out_by_hand(constants: tuple[str, ...], expected: dict[str, float]) -> None:
    for ph, share in expected.items():
        assert fraction(ph, *constants) == pytest.approx(share, abs=0.0006), ph


# A supplier's data sheet on azelaic acid: 21.3 % undissociated at pH 5, with constants 4.55 and 5.50.
def test_a_suppliers_split_of_azelaic_acid() -> None:
    assert fraction("5", "4.55", "5.50") == pytest.approx(0.213, abs=0.002)


def test_the_shipped_constants_are_those_of_the_tables() -> None:
    shipped = {name: WORLD.substances[name].pka for name in ("glycolic-acid", "lactic-acid", "citric-acid", "azelaic-acid")}
    assert shipped == {
        "glycolic-acid": (billionths("3.83"),),
        "lactic-acid": (billionths("3.86"),),
        "citric-acid": tuple(map(billionths, ("3.13", "4.76", "6.40"))),
        "azelaic-acid": tuple(map(billionths, ("4.53", "5.33"))),
    }


def test_free_acid_of_several_is_summed_and_salts_are_left_out() -> None:
    both = facts(part("glycolic-acid", "5"), part("lactic-acid", "5"), ph="3.5")
    assert per_cent(free_acid(both)) == pytest.approx(5 * 0.681 + 5 * 0.696, abs=0.006)
    salted = facts(part("glycolic-acid", "5"), part("sodium-lactate", "5"), ph="3.5")
    assert free_acid(salted) == free_acid(facts(part("glycolic-acid", "5"), ph="3.5"))
    assert free_acid(facts(part("sodium-lactate", "5"), ph="3.5")) is None


def test_what_is_not_known_of_an_acid_leaves_a_range() -> None:
    assert free_acid(facts(part("glycolic-acid", "8"))) == (0, billionths("8"))
    assert free_acid(facts(part("glycolic-acid", "8"), ph="4", has_water=False)) == (0, billionths("8"))
    assert free_acid(facts(part("alpha-hydroxy-acid", "8"), ph="4")) == (0, billionths("8"))  # which of them is not said
    assert free_acid(facts(part("glycolic-acid", None, None), ph="4.0")) == (0, billionths("40.3"))  # of 100 %
    assert free_acid(facts(part("glycolic-acid", None, "1"), ph="3.83")) == (0, billionths("0.5"))
    assert free_acid(facts(part("glycolic-acid", None, None))) == (0, billionths("100"))


@given(
    ph=st.integers(0, 14 * BILLION),
    more=st.integers(1, BILLION),
    constants=st.lists(st.integers(0, 14 * BILLION), min_size=1, max_size=3),
)
def test_the_less_acid_the_less_is_free(ph: int, more: int, constants: list[int]) -> None:
    here, there = protonated_fraction(ph, constants), protonated_fraction(ph + more, constants)
    assert 0 < there <= here < 1


# Regulation (EU) 2024/996 of 3 April 2024, Annex, entry 376, limits retinol equivalents to 0.3 %, and 0.05 % in body lotion.
# By molar mass (retinol 286.46, acetate 328.50, palmitate 524.87) these are 0.344 and 0.0573 % of the acetate, 0.550 and
# 0.0916 % of the palmitate.  An Australian regulatory text on vitamin A: retinyl palmitate is 54.58 % retinol by weight.
@pytest.mark.parametrize(
    ("name", "strength", "expected"),
    [
        ("retinol", "0.3", "0.3"),
        ("retinyl-acetate", "0.344", "0.3"),
        ("retinyl-palmitate", "0.550", "0.3"),
        ("retinyl-acetate", "0.0573", "0.05"),
        ("retinyl-palmitate", "0.0916", "0.05"),
        ("retinyl-acetate", "100", "87.2"),
        ("retinyl-palmitate", "100", "54.6"),
    ],
)
def test_published_conversions_of_retinol_esters(name: str, strength: str, expected: str) -> None:
    assert retinol_equivalent(facts(part(name, strength))) == (billionths(expected), billionths(expected))


def test_retinol_and_its_esters_are_summed_and_other_retinoids_are_not() -> None:
    both = facts(part("retinol", "0.2"), part("retinyl-palmitate", "0.2"))
    assert per_cent(retinol_equivalent(both)) == pytest.approx(0.309, abs=0.0005)
    with_retinal = facts(part("retinol", "0.2"), part("retinal", "0.1"))
    assert retinol_equivalent(with_retinal) == retinol_equivalent(facts(part("retinol", "0.2")))
    assert retinol_equivalent(facts(part("retinal", "0.1"))) is None
    assert retinol_equivalent(facts(part("tretinoin", "0.05"))) is None


def test_what_is_not_known_of_a_retinoid_leaves_a_range() -> None:
    assert retinol_equivalent(facts(part("retinol", None, None))) == (0, None)
    assert retinol_equivalent(facts(part("retinol", "0.2"), part("retinyl-acetate", None, None))) == (billionths("0.2"), None)
    assert retinol_equivalent(facts(part("retinyl-acetate", None, "1"))) == (0, billionths("0.872"))
    assert retinol_equivalent(facts(part("retinol-ester", "1"))) == (0, billionths("1"))  # which of them is not said
