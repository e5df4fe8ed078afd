"""Loading whole sets of packs."""

from __future__ import annotations

from pathlib import Path

from dermalint.packs import load
from dermalint.packs.load import load_packs


def test_installed_and_given_packs_together(tmp_path: Path, core: str) -> None:
    site = tmp_path / "site"
    (site / "core_packs").mkdir(parents=True)
    (site / "core_packs" / "core.rules").write_text(core, encoding="utf-8")
    (site / "packs-1.0.dist-info").mkdir()
    (site / "packs-1.0.dist-info" / "entry_points.txt").write_text("[dermalint.packs]\ncore = core_packs\n", encoding="utf-8")
    mine = tmp_path / "mine.rules"
    mine.write_text('pack mine 1.0.0\nuses core\nrule one caution\n  never use retinol.\n  why "A reason."\n', encoding="utf-8")
    packs = load_packs([mine], cache=False, search_path=[str(site)])
    assert packs.problems == ()
    assert [(each.name, each.path, each.origin) for each in packs.packs] == [
        ("core", "core_packs/core.rules", "packs: core"),
        ("mine", mine.as_posix(), "given"),
    ]
    assert packs.packs[0].file == str(site / "core_packs" / "core.rules")


def test_no_pack_at_all_is_a_problem() -> None:
    packs = load_packs(installed=False, cache=False)
    assert packs.rules == ()
    assert [(problem.level, problem.message) for problem in packs.problems] == [
        ("error", "No rule pack was found, so nothing can be checked.")
    ]


def test_a_file_past_all_bounds_is_not_read(tmp_path: Path, core: str) -> None:
    (tmp_path / "core.rules").write_text(core, encoding="utf-8")
    (tmp_path / "large.rules").write_bytes(b"#" * (load.LARGEST + 1))
    packs = load_packs([tmp_path], installed=False, cache=False)
    assert [each.name for each in packs.packs] == ["core"]
    assert "larger than any rule pack" in packs.problems[0].message


def test_the_areas_of_a_pack_become_masks(tmp_path: Path, core: str) -> None:
    (tmp_path / "core.rules").write_text(core, encoding="utf-8")
    areas = load_packs([tmp_path], installed=False, cache=False).world.areas
    assert set(areas) == {"face", "forehead", "cheeks", "jaw", "beard", "lips"}
    assert areas["beard"] & areas["cheeks"]
    assert areas["face"] & areas["lips"] == 0
    assert areas["face"] & areas["cheeks"] == areas["cheeks"]


def test_figures_of_a_substance(tmp_path: Path, core: str) -> None:
    (tmp_path / "core.rules").write_text(core, encoding="utf-8")
    world = load_packs([tmp_path], installed=False, cache=False).world
    acid = world.substances["glycolic-acid"]
    assert (acid.inci, acid.also, acid.cas) == (("Glycolic Acid",), ("hydroxyacetic acid",), ("79-14-1",))
    assert (acid.pka, acid.molar_mass) == ((3_830_000_000,), 76_050_000_000)
    assert world.ancestors["glycolic-acid"] == {"glycolic-acid", "alpha-hydroxy-acid", "hydroxy-acid"}
    assert world.members["hydroxy-acid"] == {"hydroxy-acid", "alpha-hydroxy-acid", "glycolic-acid"}
    assert world.spellings["hydroxyacetic-acid"] == "glycolic-acid"
