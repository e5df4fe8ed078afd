"""Whole files mended: generated ones in every layout, the fixed order, and what is said where nothing works."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from files import CAMPAIGN, document, judges, plan

from dermalint.mend.clash import explain
from dermalint.mend.document import read_document
from dermalint.mend.judging import keyed
from dermalint.mend.mender import search
from dermalint.mend.whole import Choice, mend_document, together
from mend_checks import Tally, check_file, smaller, trial_judges  # type: ignore[import-not-found]
from regimen_files import SUFFIXES, Files  # type: ignore[import-not-found]

APART = "separate hydroxy-acid from retinoid by routine."
ACID = "never use hydroxy-acid in the morning."
NIGHT = "use retinoid only in the evening."
SMALL = 200 if os.environ.get("DERMALINT_CAMPAIGN") else 8
FILES = 400 if os.environ.get("DERMALINT_CAMPAIGN") else 4


def test_generated_files_keep_every_promise() -> None:
    engine, files, tally = trial_judges(), Files(3), Tally()
    for _ in range(FILES):
        written = files.draw()
        shown = f"generated{SUFFIXES[written.language]}"
        check_file(engine, read_document(Path(shown), shown, written.data), tally)
    assert tally.unsound == 0
    assert tally.changes > FILES
    assert tally.mendable > tally.findings // 2


def test_no_smaller_change_would_do() -> None:
    engine, files = trial_judges(), Files(6, small=True)
    compared = 0
    for _ in range(SMALL):
        written = files.draw()
        shown = f"generated{SUFFIXES[written.language]}"
        read = read_document(Path(shown), shown, written.data)
        before = engine.verdict(read.reading)
        for key, _ in keyed(before.results):
            proven = search(engine, read, before, key, 1).proven
            if proven and proven[0].gone <= 2:
                assert smaller(engine, read, before, key, proven[0].gone, 5_000) is None
                compared += 1
    assert compared >= 3


def test_the_long_trial_runs() -> None:
    sizes = ["--files", "1", "--all-packs", "0", "--small", "1", "--kills", "7"]
    done = subprocess.run(
        [sys.executable, str(CAMPAIGN / "mend.py"), *sizes], capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Generated files, trial rules: 1 files" in done.stdout
    assert "none anything else" in done.stdout


def test_the_same_file_is_mended_in_the_same_way() -> None:
    files = [Files(5).draw() for _ in range(2)]
    shown = f"generated{SUFFIXES[files[0].language]}"
    first, second = (mend_document(trial_judges(), read_document(Path(shown), shown, file.data)) for file in files)
    assert first.result.data == second.result.data


def test_where_nothing_works_the_rules_that_forbid_it_are_named() -> None:
    read = plan("cycle: 1 day\nroutines:\n  - {slot: evening, steps: [acid, night]}\n")
    engine = judges(APART, ACID, NIGHT, "use moisturiser at most 9 times per week.")
    outcome = mend_document(engine, read)
    (left,) = outcome.left
    clash = explain(engine, outcome.result, left)
    assert clash.rules == ("trial.r1", "trial.r2")
    assert set(clash.products) == {"acid", "night"}
    assert {rule for _, rule in clash.examples} == {"trial.r1", "trial.r2"}
    assert clash.complete


def test_where_no_change_is_known_the_reason_is_said() -> None:
    read = plan("routines:\n  - {slot: evening, steps: [clinic]}\n")
    engine = judges("never use retinoid.")
    outcome = mend_document(engine, read)
    clash = explain(engine, outcome.result, outcome.left[0])
    assert any("prescribed" in reason and "ask the prescriber" in reason for reason in clash.reasons)
    assert any("deletes no product" in reason for reason in clash.reasons)
    assert clash.rules == ()


TWO_ACIDS = """regimen: Two acids in four days
products:
  glycolic: {kind: serum, base: water, contains: {glycolic-acid: 8 %}}
  salicylic: {kind: serum, base: water, contains: {salicylic-acid: 2 %}}
cycle: 4 days
routines:
  - {slot: morning, steps: [glycolic]}
  - {slot: evening, days: [4], steps: [salicylic]}
"""
A_WEEK = TWO_ACIDS.replace("cycle: 4 days", "cycle: 7 days")
FEW_DAYS, FAR_APART = "use hydroxy-acid at most 3 days per week.", "separate glycolic-acid from salicylic-acid by 2 days."


def test_two_findings_of_which_either_can_be_mended_and_not_both() -> None:
    """On one day they are too near, and on two days of a week too often: every order and proposal is tried."""
    read, engine = document(A_WEEK), judges("use hydroxy-acid at most 1 day per week.", FAR_APART)
    before = engine.verdict(read.reading)
    keys = tuple(key for key, _ in keyed(before.results))
    assert all(search(engine, read, before, key, 1).proven for key in keys)
    assert together(engine, read, keys) is None
    outcome = mend_document(engine, read)
    assert len(outcome.left) == 1
    assert not mend_document(engine, outcome.result).changes


def test_findings_are_mended_together_where_there_is_a_way() -> None:
    read, engine = document(A_WEEK), judges(FEW_DAYS, FAR_APART)
    before = engine.verdict(read.reading)
    keys = tuple(key for key, _ in keyed(before.results))
    series = together(engine, read, keys)
    assert series
    assert not series[-1].verdict.found
    assert series[-1].document.reading.regimens[0].products == read.reading.regimens[0].products


def test_a_patch_test_is_never_written_as_if_it_had_been_made() -> None:
    read = plan("history: []\nroutines:\n  - {slot: evening, steps: [night]}\n")
    engine = judges("before first use of retinoid expect patch-test of retinoid at least 24 hours ahead.")
    outcome = mend_document(engine, read)
    assert not outcome.changes
    assert any("make it first" in reason for reason in explain(engine, outcome.result, outcome.left[0]).reasons)


def test_another_proposal_is_picked_and_a_change_is_left() -> None:
    routines = "routines:\n  - {slot: evening, days: [monday], steps: [cream, wash, acid, night]}\n"
    read = plan(routines)
    engine = judges(APART, "apply cleanser before moisturiser.")
    plain = mend_document(engine, read)
    assert len(plain.changes) == 2
    other = mend_document(engine, read, choice=Choice({1: 1}))
    assert other.changes[0].chosen.mend.say == plain.changes[0].others[0][1].mend.say
    left = mend_document(engine, read, choice=Choice(leave=frozenset((1,))))
    assert [finding.id for finding in left.skipped] == [plain.changes[0].finding.id]
    assert len(left.changes) == 1


def test_waived_findings_are_left_alone() -> None:
    waived = 'waivers:\n  - {rule: trial.r0, products: [acid], reason: "house plan"}\n'
    read = plan("routines:\n  - {slot: evening, days: [monday], steps: [acid, night]}\n", waived)
    outcome = mend_document(judges(APART), read)
    assert outcome.changes == outcome.left == ()


def test_a_cycle_in_which_both_find_no_room_is_made_longer() -> None:
    """Two days of four are four in some weeks; three of eight are three at most."""
    outcome = mend_document(judges(FEW_DAYS, FAR_APART), document(TWO_ACIDS))
    assert not outcome.left
    assert "cycle: 8 days" in outcome.result.source.text
