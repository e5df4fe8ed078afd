"""What names stand for."""

from __future__ import annotations

import pickle

import pytest

from dermalint.vocabulary.world import (
    Family,
    Substance,
    World,
    kebab_case,
    label_key,
    nearest,
    resolve_content,
    title_of,
)

WORLD = World(
    substances={
        "glycolic-acid": Substance("glycolic-acid", ("Glycolic Acid",), ("hydroxyacetic acid",), families=("hydroxy-acid",)),
        "isotretinoin": Substance("isotretinoin"),
    },
    families={"hydroxy-acid": Family("hydroxy-acid", "hydroxy acids"), "bare-family": Family("bare-family", "")},
    kinds={"make-up": "make-up"},
    bases={"water": ""},
    labels={"glycolic acid": "glycolic-acid", "hydroxyacetic acid": "glycolic-acid"},
    spellings={"glycolic-acid": "glycolic-acid", "hydroxyacetic-acid": "glycolic-acid"},
)


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("glycolic-acid", "glycolic-acid"),
        ("Glycolic  ACID", "glycolic-acid"),
        ("hydroxyacetic acid", "glycolic-acid"),
        ("hydroxyacetic-acid", "glycolic-acid"),
        ("Hydroxyacetic_Acid", "glycolic-acid"),
        ("hydroxy-acid", "hydroxy-acid"),
        ("isotretinoin", "isotretinoin"),
        ("lactic-acid", None),
        ("make-up", None),
        ("", None),
    ],
)
def test_what_a_file_may_write_for_a_substance(written: str, key: str | None) -> None:
    assert resolve_content(written, WORLD) == key


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("glycolic-acid", "Glycolic Acid"),
        ("isotretinoin", "isotretinoin"),
        ("hydroxy-acid", "hydroxy acids"),
        ("bare-family", "bare family"),
        ("make-up", "make-up"),
        ("water", "water"),
        ("bed", "bedtime"),
        ("eye-area", "eye area"),
    ],
)
def test_titles(name: str, title: str) -> None:
    assert title_of(WORLD, name) == title


@pytest.mark.parametrize(
    ("label", "spelled"),
    [
        ("3-O-Ethyl Ascorbic Acid", "3-o-ethyl-ascorbic-acid"),
        ("Copper Tripeptide-1", "copper-tripeptide-1"),
        ("PEG-40 Hydrogenated Castor Oil", "peg-40-hydrogenated-castor-oil"),
        ("1,2-Hexanediol", "1-2-hexanediol"),
        ("CI 77891 (Titanium Dioxide)", "ci-77891-titanium-dioxide"),
    ],
)
def test_label_names_in_kebab_case(label: str, spelled: str) -> None:
    assert kebab_case(label) == spelled


def test_label_names_are_compared_without_case_and_white_space() -> None:
    assert label_key("  Glycolic\tAcid ") == label_key("GLYCOLIC ACID") == "glycolic acid"


def test_the_nearest_name() -> None:
    assert nearest("Retinoll", {"retinol", "retinal"}) == "retinol"
    assert nearest("xyz", {"retinol", "retinal"}) is None


def test_a_world_comes_back_whole_from_its_pickled_form() -> None:
    assert pickle.loads(pickle.dumps(WORLD, protocol=5)) == WORLD
