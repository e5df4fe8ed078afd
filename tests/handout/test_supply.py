"""How much is needed, and how long a package lasts."""

from __future__ import annotations

from pathlib import Path

from dermalint.handout.supply import Supply, plan_supply, suggested
from dermalint.regimen.amounts import Span
from dermalint.regimen.model import Person
from dermalint.regimen.read import read_regimen
from dermalint.timeline.unroll import unroll


def supplies(tmp_path: Path, routines: str, packages: dict[str, int] | None = None) -> tuple[int, dict[str, Supply]]:
    path = tmp_path / "a.regimen.yaml"
    path.write_text(
        "regimen: A\nproducts:\n"
        "  active: {kind: serum, base: emulsion, lasts-after-opening: 6 months, contains: {retinol: 0.3 %}}\n"
        "  shield: {kind: sunscreen, base: emulsion, spf: 50}\n  cream: {kind: moisturiser, base: emulsion}\n" + routines,
        encoding="utf-8",
    )
    regimen = read_regimen(path, shown="a").regimens[0]
    days, found = plan_supply(regimen, unroll(regimen, 366), packages or {})
    return days, {supply.product: supply for supply in found}


def test_every_second_evening_for_three_months(tmp_path: Path) -> None:
    days, found = supplies(
        tmp_path,
        "routines:\n  - {slot: evening, days: every 2 days, steps: [{product: active, amount: 0.3 g}]}\n",
        {"active": 15_000},
    )
    active = found["active"]
    assert days == 91
    assert active.uses == (46, 46)
    assert active.each == Span(300, 300)
    assert active.programme == Span(13_800, 13_800)
    assert active.week == Span(1062, 1062)
    assert active.lasts == (98, 98)
    assert active.packages == (1, 1)
    assert not active.longer_than_it_keeps


def test_a_package_that_outlasts_its_months(tmp_path: Path) -> None:
    _, found = supplies(
        tmp_path, "routines:\n  - {slot: evening, steps: [{product: active, amount: 1 drop}]}\n", {"active": 30_000}
    )
    assert found["active"].lasts == (600, 600)
    assert found["active"].longer_than_it_keeps


def test_repeats_count_and_as_needed_makes_a_span(tmp_path: Path) -> None:
    _, found = supplies(
        tmp_path,
        "routines:\n  - {slot: morning, steps: [{product: shield, areas: [face, neck], repeat: every 2 hours, until: '13:00'},"
        " {product: cream, amount: 0.5 g, as-needed: true}]}\n",
        {"shield": 50_000},
    )
    shield, cream = found["shield"], found["cream"]
    assert shield.uses == (4 * 91, 4 * 91)
    assert not shield.stated
    assert shield.each == Span(1430, 1430)
    assert shield.packages == (11, 11)  # 520.52 g
    assert cream.uses == (0, 91)
    assert cream.programme == Span(0, 45_500)


def test_a_shorter_regimen_is_reckoned_by_its_own_days(tmp_path: Path) -> None:
    days, found = supplies(
        tmp_path,
        "phases:\n  - {for: 2 weeks, cycle: 7 days, routines: [{slot: evening, steps: [{product: cream, amount: 1 g}]}]}\n",
    )
    assert days == 14
    assert found["cream"].programme == Span(14_000, 14_000)
    assert found["cream"].week == Span(7000, 7000)


def test_no_amount_is_supposed_for_an_active_or_a_mix(tmp_path: Path) -> None:
    _, found = supplies(tmp_path, "routines:\n  - {slot: evening, steps: [active, {mix: [cream, shield]}]}\n")
    assert [supply.programme for supply in found.values()] == [None, None, None]
    assert suggested({"serum"}, ["face", "neck"], Person()) is None
    assert suggested({"sunscreen"}, ["face"], Person(age_months=24)) is None
    assert suggested({"moisturiser"}, ["arms"], Person(sex="female")) == Span(2838, 2838)
