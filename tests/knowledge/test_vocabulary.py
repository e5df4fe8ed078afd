"""The shipped substances: numbers recomputed or compared with published tables, and families that come from chemistry."""

from __future__ import annotations

import csv
from itertools import combinations
from typing import NamedTuple

import pytest
from practice import HERE, judge_data, shipped

from dermalint.vocabulary.world import Substance, label_key
from dermalint_grammar.nodes import BILLION


class Structure(NamedTuple):
    """A row of ``structures.csv``: a substance by its label name, with its structure where it has one formula.

    ``structure_from`` says where the SMILES is from; ``status`` is ``verified`` where the mass that follows from it agreed
    with a second, independent source (``PubChem``, or the formula of the FDA's systematic name), else ``memory``.
    """

    inci: str
    cas: str
    smiles: str
    structure_from: str
    status: str


def read_structures() -> list[Structure]:
    with (HERE / "structures.csv").open(encoding="utf-8", newline="") as file:
        return [Structure(**row) for row in csv.DictReader(file)]


STRUCTURES = read_structures()
WITH_STRUCTURE = [row for row in STRUCTURES if row.smiles]

HYDROXY = {"hydroxy-acid", "alpha-hydroxy-acid", "beta-hydroxy-acid", "polyhydroxy-acid", "exfoliating-acid", "aha-exfoliant"}


def substance(inci: str) -> Substance:
    world = shipped().world
    return world.substances[world.labels[label_key(inci)]]


def families(name: str) -> frozenset[str]:
    return frozenset(shipped().world.ancestors[name]) - {name}


@pytest.mark.parametrize("row", STRUCTURES, ids=[row.inci for row in STRUCTURES])
def test_a_substance_is_there_by_its_label_name(row: Structure) -> None:
    found = substance(row.inci)
    assert row.inci in found.inci
    if row.cas:
        assert row.cas in found.cas


def test_all_rows_of_the_table_are_there() -> None:
    assert len({row.inci for row in STRUCTURES}) == 296
    assert len(WITH_STRUCTURE) == 241


def test_every_cas_number_has_its_check_digit() -> None:
    numbers = [(key, number) for key, one in shipped().world.substances.items() for number in one.cas]
    assert len(numbers) > 280
    for key, number in numbers:
        digits = [int(digit) for digit in number.replace("-", "")]
        assert sum(place * digit for place, digit in enumerate(reversed(digits[:-1]), start=1)) % 10 == digits[-1], (
            key,
            number,
        )


# Ethanol with and without a denaturant; pairs that registers list under one number.
SHARED_NUMBERS = {frozenset({"alcohol", "alcohol-denat"})}


def test_no_cas_number_and_no_label_name_belongs_to_two_substances() -> None:
    named: dict[str, set[str]] = {}
    for key, one in shipped().world.substances.items():
        for name in {*one.cas, *map(label_key, one.inci)}:
            named.setdefault(name, set()).add(key)
    twice = {frozenset(keys) for keys in named.values() if len(keys) > 1}
    assert twice == SHARED_NUMBERS


@pytest.mark.parametrize("row", WITH_STRUCTURE, ids=[row.inci for row in WITH_STRUCTURE])
def test_a_molar_mass_follows_from_the_structure(row: Structure) -> None:
    chem = pytest.importorskip("rdkit.Chem", reason="RDKit has no wheel for this platform")
    descriptors = pytest.importorskip("rdkit.Chem.Descriptors")
    stated = substance(row.inci).molar_mass
    assert stated is not None
    assert stated / BILLION == pytest.approx(descriptors.MolWt(chem.MolFromSmiles(row.smiles)), abs=0.02)


def test_a_mass_is_stated_only_where_a_structure_is_known() -> None:
    known = {substance(row.inci).key for row in WITH_STRUCTURE}
    assert {key for key, one in shipped().world.substances.items() if one.molar_mass is not None} <= known


# Published tables at 25 °C in water, read second-hand where the remark says so; the tolerance covers what they differ by.
PKA = {
    "glycolic-acid": ((3.83,), "hydrochemistry table of organic acids (secondary)"),
    "lactic-acid": ((3.86,), "hydrochemistry table of organic acids (secondary)"),
    "malic-acid": ((3.40, 5.2), "hydrochemistry table (secondary); handbooks give 5.11 for the second"),
    "tartaric-acid": ((2.98, 4.34), "hydrochemistry table, L form (secondary); racemic 3.03 and 4.37"),
    "citric-acid": ((3.13, 4.76, 6.40), "LibreTexts, reference table E1 (secondary)"),
    "mandelic-acid": ((3.41,), "encyclopaedia after Bjerrum 1958 (secondary); another compilation gives 3.37"),
    "salicylic-acid": ((2.97, 13.82), "encyclopaedia (secondary); the USGS table minteq.v4 gives 3.1"),
    "azelaic-acid": ((4.53, 5.33), "data sheet (secondary); others give 4.55 and 5.50"),
    "ascorbic-acid": ((4.10, 11.6), "encyclopaedia (secondary); others give 4.17 and 11.79"),
    "kojic-acid": ((9.40,), "encyclopaedia after Bjerrum 1958 (secondary)"),
}


@pytest.mark.parametrize("name", PKA)
def test_acid_constants_agree_with_the_tables(name: str) -> None:
    stated = [value / BILLION for value in shipped().world.substances[name].pka]
    assert stated == pytest.approx(PKA[name][0], abs=0.21 if name == "ascorbic-acid" else 0.13)
    assert stated[0] == pytest.approx(PKA[name][0][0], abs=0.05)


def test_acid_constants_rise_from_step_to_step() -> None:
    for key, one in shipped().world.substances.items():
        assert list(one.pka) == sorted(one.pka), key


# --- families ---


@pytest.mark.parametrize(
    "name",
    [
        "azelaic-acid",
        "ascorbic-acid",
        "hyaluronic-acid",
        "tranexamic-acid",
        "linoleic-acid",
        "kojic-acid",
        "ferulic-acid",
        "thioctic-acid",
        "stearic-acid",
        "sorbic-acid",
        "benzoic-acid",
        "phytic-acid",
        "hypochlorous-acid",
        "phenylbenzimidazole-sulfonic-acid",
        "terephthalylidene-dicamphor-sulfonic-acid",
    ],
)
def test_an_acid_by_name_is_no_hydroxy_acid(name: str) -> None:
    assert families(name) & HYDROXY == frozenset()


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("glycolic-acid", "aha-exfoliant"),
        ("lactic-acid", "aha-exfoliant"),
        ("mandelic-acid", "aha-exfoliant"),
        ("citric-acid", "alpha-hydroxy-acid"),
        ("salicylic-acid", "beta-hydroxy-acid"),
        ("betaine-salicylate", "beta-hydroxy-acid"),
        ("gluconolactone", "polyhydroxy-acid"),
        ("tretinoin", "retinoid-prescription"),
        ("adapalene", "retinoid-prescription"),
        ("retinal", "retinoid-cosmetic"),
        ("retinyl-palmitate", "retinol-ester"),
        ("hydroxypinacolone-retinoate", "retinoic-acid-ester"),
        ("dapsone", "sulfone"),
        ("sulfacetamide", "sulfonamide"),
        ("copper-tripeptide-1", "copper-peptide"),
    ],
)
def test_a_member_is_in_its_family(name: str, family: str) -> None:
    assert family in families(name)


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("citric-acid", "aha-exfoliant"),
        ("bakuchiol", "retinoid"),
        ("sulfur", "sulfone-sulfonamide"),
        ("sodium-laureth-sulfate", "sulfone-sulfonamide"),
        ("dapsone", "sulfonamide"),
        ("niacin", "vitamin-c"),
        ("ethylhexyl-salicylate", "beta-hydroxy-acid"),
        ("homosalate", "beta-hydroxy-acid"),
        ("benzyl-salicylate", "beta-hydroxy-acid"),
        ("methyl-salicylate", "beta-hydroxy-acid"),
        ("sodium-salicylate", "beta-hydroxy-acid"),
        ("cetearyl-alcohol", "drying-alcohol"),
        ("cetyl-alcohol", "drying-alcohol"),
        ("diazolidinyl-urea", "humectant"),
        ("3-o-ethyl-ascorbic-acid", "l-ascorbic-acid"),
        ("ascorbyl-glucoside", "l-ascorbic-acid"),
        ("retinyl-palmitate", "retinoic-acid-ester"),
        ("arbutin", "hydroquinone-related"),
    ],
)
def test_what_only_sounds_like_a_member_is_none(name: str, family: str) -> None:
    assert family not in families(name)


def test_a_hyphenated_derivative_is_not_its_parent() -> None:
    """The whole name is matched: `Retinyl Palmitate` is not `Retinol`, `3-O-Ethyl Ascorbic Acid` not `Ascorbic Acid`."""
    names = {one.key for one in map(substance, (row.inci for row in STRUCTURES))}
    world = shipped().world
    for short, long in combinations(sorted(names, key=len), 2):
        if f"-{short}" in long or f"{short}-" in long:
            assert short not in world.ancestors[long], (short, long)


def test_salicylate_filters_do_not_count_as_salicylic_acid() -> None:
    plan = {
        "regimen": "Filters that end in salicylate",
        "person": {"traits": ["pregnant"], "allergies": ["aspirin"], "age": 30},
        "products": {
            "filter": {"kind": "sunscreen", "spf": 50, "contains": {"ethylhexyl-salicylate": "5 %", "homosalate": "7 %"}}
        },
        "routines": [{"slot": "morning", "steps": ["filter"]}],
    }
    assert judge_data(plan) == []
