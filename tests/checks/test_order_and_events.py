"""Order within one minute, events of several kinds, and whose patch test counts: where a first reading goes wrong."""

from __future__ import annotations

import pytest

from judging import findings_of, places, verdict

DATED = "regimen: x\nstarts: 2026-03-02\nproducts: {r: {contains: {retinol: 0.3 %}}, g: {contains: {glycolic-acid: 7 %}}}\n"


@pytest.mark.parametrize(
    ("regimen", "expected"),
    [
        ("evening: glycolic-acid 7 %, retinol 0.3 %", "breaks"),
        ("evening: retinol 0.3 %, glycolic-acid 7 %", "holds"),
        (f"{DATED}routines:\n  - {{slot: evening, steps: [{{mix: [r, g]}}]}}", "holds"),
    ],
)
def test_after_something_in_the_same_minute(regimen: str, expected: str) -> None:
    assert verdict("never use retinoid if within 2 hours after alpha-hydroxy-acid.", regimen) == expected


@pytest.mark.parametrize(
    ("regimen", "expected"),
    [
        ("evening: retinol 0.3 %, glycolic-acid 7 %", "breaks"),
        ("evening: glycolic-acid 7 %, retinol 0.3 %", "holds"),
    ],
)
def test_before_something_in_the_same_minute(regimen: str, expected: str) -> None:
    assert verdict("never use retinoid if before alpha-hydroxy-acid within 2 hours.", regimen) == expected


@pytest.mark.parametrize(
    ("event", "expected"),
    [
        ('{event: waxing, on: 2026-03-02, at: "20:00"}', "breaks"),
        ('{event: threading, on: 2026-03-02, at: "20:00", areas: [brows]}', "breaks"),
        ('{event: threading, on: 2026-03-02, at: "20:00", areas: [legs]}', "holds"),
        ('{event: threading, on: 2026-03-02, at: "19:30"}', "holds"),
        ('{event: waxing, on: 2026-03-02, at: "22:00"}', "holds"),
    ],
)
def test_a_wait_after_one_of_several_events(event: str, expected: str) -> None:
    regimen = f"{DATED}routines:\n  - {{slot: evening, dates: [2026-03-02], steps: [r]}}\nevents: [{event}]"
    assert verdict("wait 2 hours after (event waxing or event threading) before retinoid.", regimen) == expected


@pytest.mark.parametrize(("sort", "expected"), [("none", "holds"), ("mild", "breaks")])
def test_a_patch_test_of_the_product(sort: str, expected: str) -> None:
    history = f"history: [{{patch-test: r, from: 2026-02-20, hours: 24, reaction: {sort}}}]"
    regimen = f"{DATED}routines:\n  - {{slot: evening, steps: [r]}}\n{history}"
    rule = "before first use of retinoid expect patch-test of {} at least 24 hours ahead."
    assert verdict(rule.format("retinoid"), regimen) == expected
    assert verdict(rule.format("any product"), regimen) == expected
    assert verdict(rule.format("alpha-hydroxy-acid"), regimen) == "breaks"


def test_at_least_so_many_products_looks_between_the_first_and_the_last_use() -> None:
    rule = "use at least 2 products of (retinoid or hydroxy-acid) per week."
    both = "day 1 evening: retinol 0.3 %; day 8 evening: retinol 0.3 %; day 4 evening: glycolic-acid 7 %"
    assert verdict(rule, f"for 8 days: cycle 8 days: {both}") == "holds"
    assert verdict(rule, "for 8 days: cycle 8 days: day 1 evening: retinol 0.3 %; day 8 evening: retinol 0.3 %") == "breaks"
    assert verdict(rule, "for 5 days: day 1 evening: retinol 0.3 %") == "holds"


def test_a_rule_that_is_silent_suspends_nothing() -> None:
    rules = """rule apart caution separate retinoid from alpha-hydroxy-acid by routine. why "x"
rule plan advice if strict never use hydroquinone suspends trial.apart. why "x"
"""
    regimen = "evening: glycolic-acid 7 %, retinol 0.3 %"
    assert [finding.suspended_by for finding in findings_of(rules, regimen)] == [None]
    assert [finding.suspended_by for finding in findings_of(rules, regimen, stance="strict")] == ["trial.plan"]


def test_each_repeat_of_a_mix_is_one_moment() -> None:
    plan = """regimen: x
products: {s: {kind: serum, contains: {glycolic-acid: 7 %}}, m: {kind: moisturiser}}
routines:
  - {slot: morning, days: [monday], steps: [{mix: [s, m], repeat: every 3 hours, until: "13:00"}]}
"""
    assert verdict("never use glycolic-acid if before moisturiser within 1 minute.", plan) == "holds"
    assert verdict("never use moisturiser if within 1 minute after serum.", plan) == "holds"
    assert verdict("never use glycolic-acid if before moisturiser within 3 hours.", plan) == "breaks"


def test_what_excludes_itself_is_not_told_as_counted_together() -> None:
    plan = """regimen: x
products: {r: {contains: {retinol: 0.3 %}}}
routines:
  - {slot: evening, days: [monday], only-if: not going out, steps: [r]}
  - {slot: morning, only-if: going out, steps: [r]}
"""
    found = findings_of("use retinol at most 1 days in a row.", plan)
    assert {slot for finding in found for _, slot in places(finding)} == {"morning"}
    assert {finding.certainty for finding in found} == {"possible"}
