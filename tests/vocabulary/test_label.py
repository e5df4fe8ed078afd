"""Labels' lists of ingredients: how they are cut, which names match, what their order proves, which base they show."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dermalint.packs.link import link_files
from dermalint.packs.model import PackFile
from dermalint.vocabulary.label import AT_MOST_ONE_PER_CENT, ONE_PER_CENT, Label, read_label
from dermalint.vocabulary.world import World

RULESETS = Path(__file__).parents[2] / "rulesets/dermalint_rulesets"
PER_CENT = 1_000_000_000


@cache
def world() -> World:
    paths = (RULESETS / "core.rules", RULESETS / "substances.rules")
    packs = link_files([(PackFile(str(path), path.name, "given"), path.read_bytes()) for path in paths])
    assert not packs.problems
    return packs.world


def read(text: str) -> Label:
    return read_label(text, world())


def keys(text: str) -> list[str | None]:
    return [entry.key for entry in read(text).entries]


def texts(text: str) -> list[str]:
    return [entry.text for entry in read(text).entries]


# Name shapes that invite a wrong cut or a wrong match.  "official" spellings stand in the FDA UNII Names list or in the
# annexes to Regulation (EC) 1223/2009 (export of spring 2024); the others are from memory.
SHAPES = [
    ("1,2-Hexanediol", "1-2-hexanediol", "official"),
    ("2-Bromo-2-Nitropropane-1,3-Diol", None, "official"),
    ("2-Oleamido-1,3-Octadecanediol", None, "official"),
    ("N,N'-Bis(2-Hydroxyethyl)-2-Nitro-p-Phenylenediamine", None, "official"),
    ("3-O-Ethyl Ascorbic Acid", "3-o-ethyl-ascorbic-acid", "official"),
    ("Disodium Isostearyl 2-O-L-Ascorbyl Phosphate", "disodium-isostearyl-2-o-l-ascorbyl-phosphate", "official synonym"),
    ("Caprylic/Capric Triglyceride", "caprylic-capric-triglyceride", "official"),
    ("Bis-PEG/PPG-16/16 PEG/PPG-16/16 Dimethicone", None, "official"),
    ("Acrylates/C10-30 Alkyl Acrylate Crosspolymer", None, "memory"),
    ("C12-15 Alkyl Benzoate", "c12-15-alkyl-benzoate", "official"),
    ("Hypericum Perforatum Flower/Leaf/Stem Extract", "hypericum-perforatum-flower-leaf-stem-extract", "official"),
    ("Eucalyptus Globulus Leaf/Twig Oil", None, "official"),
    ("Lavandula Oil/ Extract", None, "official, printed with the stray space"),
    ("Butyrospermum Parkii (Shea) Butter", "butyrospermum-parkii-butter", "memory"),
    ("Alanine/Histidine/Lysine Polypeptide Copper HCl", "alanine-histidine-lysine-polypeptide-copper-hcl", "memory"),
    ("Bis-(Diethylaminohydroxybenzoyl Benzoyl) Piperazine", None, "official"),
    ("Titanium Dioxide (nano)", "titanium-dioxide", "Annex VI, entry 27a"),
    ("Titanium Dioxide [nano]", "titanium-dioxide", "memory"),
    ("CI 77891", "titanium-dioxide", "official"),
    ("CI 19140 / Acid Yellow 23", None, "Annex III, entry 189"),
    ("Alcohol Denat.", "alcohol-denat", "official"),
    ("HC Orange No. 6", None, "official"),
    ("sh-Oligopeptide-1", "sh-oligopeptide-1", "official"),
    ("Aqua/Water/Eau", "aqua", "memory"),
    ("p-Hydroxyanisole", "p-hydroxyanisole", "official"),
    ("o-Cymen-5-ol", None, "official"),
    ("Polysilicone-15", None, "official"),
    ("Laureth-9", None, "official"),
    ("Palmitoyl Oligopeptide", "palmitoyl-tripeptide-1", "Cosmetic Ingredient Review, Tripeptide-1 group, 2018: retired"),
    ("Palmitoyl Pentapeptide-3", "palmitoyl-pentapeptide-4", "official"),
    ("Squalane", "squalane", "official"),
    ("Squalene", "squalene", "official"),
]


@pytest.mark.parametrize(("name", "key", "spelling"), SHAPES, ids=[name for name, _, _ in SHAPES])
@pytest.mark.parametrize("separator", [", ", ",", "; ", " • ", " | ", "\n", "，"])
def test_a_tricky_name_is_one_name(name: str, key: str | None, spelling: str, separator: str) -> None:
    assert spelling
    between = separator.join(("Betaine", name, "Kaolin"))
    assert texts(between) == ["Betaine", name, "Kaolin"]
    assert keys(between) == ["betaine", key, "kaolin"]


def test_two_names_of_one_raw_material_are_two() -> None:
    assert texts("Talc, Citric Acid (and) Silver Citrate") == ["Talc", "Citric Acid", "Silver Citrate"]
    assert keys("Glycerin & Retinol, Talc") == ["glycerin", "retinol", "talc"]


@pytest.mark.parametrize(
    "block",
    [
        "+/- CI 77491, CI 77891",
        "[+/- CI 77491, CI 77891]",
        "(± CI 77491, CI 77891)",
        ". May contain: CI 77491, CI 77891",
        ", Peut contenir/May Contain (+/-): CI 77491, CI 77891",
        "\nMAY CONTAIN CI 77491, CI 77891.",
    ],
)
def test_a_shade_block_is_optional(block: str) -> None:
    entries = read(f"Aqua, Talc {block}").entries
    assert [(entry.key, entry.optional) for entry in entries] == [
        ("aqua", False),
        ("talc", False),
        (None, True),
        ("titanium-dioxide", True),
    ]


def test_a_bracketed_shade_block_ends_with_its_bracket() -> None:
    assert [entry.optional for entry in read("Aqua [+/- CI 77891], Retinol").entries] == [False, True, False]


@pytest.mark.parametrize(
    "name",
    [
        "Sodium Lauryl Alcohol",
        "Methyldihydrojasmonate Urea Complex",
        "Retinol-free",
        "Pro-Retinol",
        "Isodecyl Salicylate",
        "Bis-Ascorbic Acid Ester",
        "Polyglyceryl Glycolic Acid",
        "Poly(Lactic Acid)",
        "Ascorbic Acid Polypeptide",
    ],
)
def test_part_of_a_name_is_no_match(name: str) -> None:
    assert keys(f"Aqua, {name}, Talc") == ["aqua", None, "talc"]


@pytest.mark.parametrize(
    ("name", "key", "families"),
    [
        ("Cetyl Alcohol", "cetyl-alcohol", {"drying-alcohol"}),
        ("Diazolidinyl Urea", "diazolidinyl-urea", {"humectant", "keratolytic"}),
        ("Ethylhexyl Salicylate", "ethylhexyl-salicylate", {"beta-hydroxy-acid", "exfoliating-acid"}),
        ("3-O-Ethyl Ascorbic Acid", "3-o-ethyl-ascorbic-acid", {"l-ascorbic-acid"}),
        ("Hyaluronic Acid", "hyaluronic-acid", {"exfoliating-acid"}),
        ("Linoleic Acid", "linoleic-acid", {"exfoliating-acid"}),
        ("Phenylbenzimidazole Sulfonic Acid", "phenylbenzimidazole-sulfonic-acid", {"exfoliating-acid"}),
        ("Stearic Acid", "stearic-acid", {"exfoliating-acid"}),
    ],
)
def test_a_name_that_holds_another_is_its_own_substance(name: str, key: str, families: set[str]) -> None:
    assert keys(f"Aqua, {name}") == ["aqua", key]
    assert not families & world().ancestors[key]


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("Parfum (Fragrance)", "parfum"),
        ("Water/Aqua/Eau", "aqua"),
        ("Aqua / Water / Eau", "aqua"),
        ("CI 77891 / Titanium Dioxide", "titanium-dioxide"),
        ("Titanium Dioxide (CI 77891)", "titanium-dioxide"),
        ("CI77891", "titanium-dioxide"),
        ("RETINOL", "retinol"),
        ("  Retinyl   Palmitate ", "retinyl-palmitate"),
        ("Retinol*", "retinol"),
        ("Retinol¹", "retinol"),
        ("Retinol (1)", "retinol"),
        ("*Retinol", "retinol"),
        ("Parfum* (*from natural oils)", "parfum"),
        ("1,2‑Hexanediol", "1-2-hexanediol"),
        ("N,N-Diethyl-meta-Toluamide", "diethyltoluamide"),
        ("3,5,4’-Trihydroxystilbene", "resveratrol"),
        ("SD Alcohol 40-B (Alcohol Denat.)", "alcohol-denat"),
    ],
)
def test_what_is_no_part_of_a_name_is_left_out(written: str, key: str) -> None:
    assert keys(f"Betaine, {written}, Talc") == ["betaine", key, "talc"]


def test_numbers_that_only_meet_are_two_names() -> None:
    assert keys("Polysorbate 20,1,2-Hexanediol") == ["polysorbate-20", "1-2-hexanediol"]


def test_a_wrapped_line_does_not_cut_a_name() -> None:
    assert keys("Aqua, Glycerin, Caprylic/Capric\nTriglyceride, Sodium\n  Benzoate") == [
        "aqua",
        "glycerin",
        "caprylic-capric-triglyceride",
        "sodium-benzoate",
    ]


def test_names_in_a_bracket_count_where_they_are_known() -> None:
    assert keys("Parfum (Linalool, Limonene), Liposomes (Water, Retinol)") == [
        "parfum",
        "linalool",
        "limonene",
        None,
        "aqua",
        "retinol",
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Ingredients: Aqua, Retinol.",
        "INGREDIENTS (INCI):Aqua, Retinol",
        "Ingredients Aqua, Retinol",
        "Ingrédients / Ingredients: Aqua, Retinol",
        "Aqua*, Retinol. *Organic, from citric acid",
        "Aqua, Retinol**\n\n**certified farming, Limonene",
        "Aqua, Retinol. Free from: Parfum, Alcohol.",
        "Aqua, Retinol, …",
        "Aqua, Retinol. Made in small batches",
    ],
)
def test_headings_and_footnotes_are_no_names(text: str) -> None:
    assert keys(text) == ["aqua", "retinol"]


def test_a_panel_states_strengths_and_has_no_order() -> None:
    label = read(
        "Active ingredients: Avobenzone 3 %, Homosalate 8% Inactive ingredients: Water, Phenoxyethanol, Retinol, Alcohol Denat."
    )
    assert [(entry.key, entry.strength) for entry in label.entries] == [
        ("butyl-methoxydibenzoylmethane", 3 * PER_CENT),
        ("homosalate", 8 * PER_CENT),
        ("aqua", None),
        ("phenoxyethanol", None),
        ("retinol", None),
        ("alcohol-denat", None),
    ]
    assert not label.ordered
    assert all(entry.at_most is None for entry in label.entries)


def test_a_panel_line_says_what_a_substance_is_for() -> None:
    label = read(
        "Active Ingredients   Purpose\nAvobenzone 3%......Sunscreen\nOctocrylene 2.7%....Sunscreen\nInactive Ingredients: Water"
    )
    assert [(entry.key, entry.strength) for entry in label.entries] == [
        ("butyl-methoxydibenzoylmethane", 3 * PER_CENT),
        ("octocrylene", 27 * PER_CENT // 10),
        ("aqua", None),
    ]


@pytest.mark.parametrize(
    ("written", "strength"),
    [
        ("Retinol 0.3 %", 3 * PER_CENT // 10),
        ("Retinol 0,3%", 3 * PER_CENT // 10),
        ("Retinol (1 %)", PER_CENT),
        ("1% Retinol", PER_CENT),
        ("Retinol, 1%", PER_CENT),
        ("Retinol 1 % w/w", PER_CENT),
        ("Retinol 0.5-1 %", None),
        ("Retinol <1 %", None),
        ("Retinol 400 %", None),
    ],
)
def test_percentages_are_strengths(written: str, strength: int | None) -> None:
    entry = read(f"Aqua, {written}, Talc").entries[1]
    assert (entry.key, entry.strength) == ("retinol", strength)


def test_what_comes_after_an_ingredient_of_at_most_one_per_cent_is_at_most_that() -> None:
    label = read("Aqua, Glycolic Acid, Phenoxyethanol, Retinol, Some Extract, CI 77891")
    assert [(entry.at_most, entry.after) for entry in label.entries] == [
        (None, None),
        (None, None),
        (None, None),  # its own ceiling is the law's, not the list's
        (ONE_PER_CENT, "Phenoxyethanol"),
        (ONE_PER_CENT, "Phenoxyethanol"),
        (None, None),  # colourants may come last in any order
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Aqua, Extract (Water, Phenoxyethanol), Retinol",
        "Aqua, Glycerin (and) Phenoxyethanol, Retinol",
        "Aqua, Talc, May contain: Phenoxyethanol, Retinol",
        "Other ingredients: Aqua, Phenoxyethanol, Retinol",
        "Alcohol, Betaine, Glycerin, Phenoxyethanol, Retinol, Talc",  # in the order of the alphabet
    ],
)
def test_where_order_proves_nothing(text: str) -> None:
    assert all(entry.at_most is None for entry in read(text).entries)


def test_every_ceiling_is_of_a_preservative_of_the_vocabulary() -> None:
    assert world().members["preservative"] >= AT_MOST_ONE_PER_CENT


@pytest.mark.parametrize(
    ("text", "base"),
    [
        ("Aqua, Glycolic Acid, Propanediol, …", "water"),
        ("Rosa Gallica Flower Water, Glycerin", "water"),
        ("Aloe Barbadensis Leaf Juice, Glycerin", "water"),
        ("Propanediol, Aqua, Niacinamide", "water"),
        ("Aqua, Glycerin, Caprylic/Capric Triglyceride, Cetearyl Alcohol", "emulsion"),
        ("Aqua, Glycerin, Macadamia Ternifolia Seed Oil, Talc", "emulsion"),
        ("Cyclopentasiloxane, Aqua, Glycerin", "emulsion"),
        ("Cyclopentasiloxane, Ascorbic Acid, Dimethicone", "silicone"),
        ("Propanediol, Ascorbic Acid", "anhydrous"),
        ("Propanediol, Ascorbic Acid, …", None),  # water may follow
        ("Propanediol, Niacinamide, Glycerin, Aqua", None),
        ("Squalane, Retinol", "oil"),
        ("Cocos Nucifera Oil, Retinol", "oil"),
        ("Petrolatum, Cera Alba", "ointment"),
        ("Talc, Mica, Silica", "powder"),
        ("Alcohol Denat., Aqua, Salicylic Acid", "alcohol"),
        ("Cetyl Alcohol, Retinol", None),
        ("Aloe Barbadensis Leaf Juice Powder, Talc", None),
        ("Aqua, One Thing, Another Thing, A Third Thing", None),
        ("Retinol, Aqua", None),
        ("Active ingredient: Salicylic Acid 2 % Inactive ingredients: Water, Glycerin", None),
        ("", None),
    ],
)
def test_the_base_that_the_first_names_show(text: str, base: str | None) -> None:
    assert read(text).base == base


def test_unknown_names_are_told_apart() -> None:
    assert [entry.text for entry in read("Aqua, Some Extract, Retinol, Other Extract").unknown] == [
        "Some Extract",
        "Other Extract",
    ]


MARKS = (*",;:./&*()[]{}+±\n%…¹ ", "**", "+/-", "[+/-", "(and)", "\r\n", "2%", "0,5 %", ", ", " / ")
HEADINGS = ("Active ingredients: ", "Inactive ingredients ", "May contain ", "free from ", "Ingredients:")
BITS = st.sampled_from((*(name for name, _, _ in SHAPES), *MARKS, *HEADINGS))


@given(st.one_of(st.text(), st.lists(BITS, max_size=25).map("".join), st.lists(BITS, max_size=25).map(", ".join)))
def test_any_text_is_read(text: str) -> None:
    label = read(text)
    at = 0
    for entry in label.entries:
        assert at <= entry.start < entry.end <= len(text)
        assert entry.text == text[entry.start : entry.end]
        at = entry.end
    assert label.unknown == tuple(entry for entry in label.entries if entry.key is None)
    assert label.base is None or label.base in world().bases


@given(st.lists(st.sampled_from([name for name, _, _ in SHAPES]), min_size=1, max_size=12))
def test_a_list_of_names_is_those_names(names: list[str]) -> None:
    assert texts(", ".join(names)) == names


@pytest.mark.parametrize(
    "bit", [" ", "\n", "(", "1,", "a/", "± ", "* ", "5% ", "active ingredients ", "x:", " and ", ". A", "(a, "]
)
def test_long_nonsense_is_read_in_one_pass(bit: str) -> None:
    assert len(read(bit * 20_000).entries) <= 20_000
