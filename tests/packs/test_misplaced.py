"""Sentences that can be read and mean nothing are told at their place; what they resemble is linked."""

from __future__ import annotations

import pytest

from dermalint.packs.link import link_files
from dermalint.packs.model import PackFile, PackSet
from judging import VOCABULARY


def link(rest: str) -> PackSet:
    text = f"pack trial 1.0.0\nuses vocabulary\n{rest}"
    files = [(PackFile(str(VOCABULARY), VOCABULARY.name, "given"), VOCABULARY.read_bytes())]
    return link_files([*files, (PackFile("trial.rules", "trial.rules", "given"), text.encode())])


NEVER = [
    ("never use event waxing in the morning.", "an event is nothing that is applied"),
    ("never use event bed.", "`event bed` comes every day"),
    ("apply event waxing before retinoid.", "an event is nothing that is applied"),
    ("limit ph of event waxing to at least 4.", "an event is nothing that is applied"),
    ("use event shaving at most 1 time per week.", "an event is nothing that is applied"),
    ("expect moisturiser in every day that has event shaving.", "an event is nothing that is applied"),
    ("never use retinoid if day has event shaving.", "an event is nothing that is applied"),
    ("never use retinoid during the first 2 weeks of event shaving.", "an event is nothing that is applied"),
    ("separate retinoid from event daylight by 8 hours.", "`event daylight` comes every day"),
    ("wait 1 hour after retinoid before (event bed or event waxing).", "`event bed` comes every day"),
    ("after retinoid expect event bed within 2 hours.", "`event bed` comes every day"),
    ("wait 1 hour after event waxing before (event shaving or event threading on face).", "both sides are events"),
    ("before (event waxing or event shaving) expect patch-test of retinoid at least 1 day ahead.", "an event is nothing"),
    ("never use patch-test of retinoid.", "A patch test"),
    ("after retinoid expect patch-test of retinoid within 2 days.", "A patch test"),
    ("separate patch-test of retinoid from retinoid by day.", "A patch test"),
    ("after retinoid expect moisturiser at least 2 hours ahead.", "`ahead` belongs to `before`"),
    ("expect sunscreen in every daylight that has retinoid.", "Daylight holds no products"),
    ("use retinoid at least 3 evenings in a row.", "There is no `at least … in a row`"),
    ("limit total spf of sunscreen per routine to at least 50.", "spf does not add up"),
    ("limit total strength of retinoid per week to at most 2 %.", "`per routine` or `per day`"),
    ("limit total strength of retinoid to at most 2 %.", "`per routine` or `per day`"),
    ("limit strength of retinoid per day to at most 2 %.", "`per routine` or `per day`"),
]


@pytest.mark.parametrize(("sentence", "answer"), NEVER, ids=[sentence for sentence, _ in NEVER])
def test_what_means_nothing_is_told_and_left_out(sentence: str, answer: str) -> None:
    packs = link(f'rule trial advice\n  {sentence}\n  why "x"')
    assert packs.rules == ()
    (problem,) = packs.problems
    assert problem.level == "error"
    assert problem.place is not None
    assert answer in problem.message


@pytest.mark.parametrize(
    "sentence",
    [
        "never use event waxing if person takes isotretinoin.",
        "separate retinoid from event waxing or event threading by 2 days.",
        "wait 2 hours after event waxing on face before retinoid.",
        "wait 2 hours after retinoid before event bed.",
        "after event daylight expect cleanser within 2 hours.",
        "before event waxing expect event shaving within 2 days.",
        "before first use of retinoid expect patch-test of any product at least 1 day ahead.",
        "never use retinoid if within 1 day after event laser or before event bed within 1 hour.",
        "never use retinoid if regimen has event waxing.",
        "use retinoid at most 3 evenings in a row.",
        "limit total amount of sunscreen per day to at least 2 g.",
        "limit spf of sunscreen to at least 30.",
    ],
)
def test_what_it_resembles_is_linked(sentence: str) -> None:
    packs = link(f'rule trial advice\n  {sentence}\n  why "x"')
    assert [problem.message for problem in packs.problems] == []
    assert len(packs.rules) == 1


def test_a_group_of_events_is_told_where_a_rule_speaks_of_it() -> None:
    group = "group hair-removal means event waxing or event threading."
    packs = link(f'{group}\nrule r advice\n  never use hair-removal.\n  why "x"')
    assert packs.rules == ()
    assert "The group hair-removal holds an event" in packs.problems[0].message
