"""The report for people: whole samples, and what every one of them must have."""

from __future__ import annotations

import os
import re
from pathlib import Path

import build_review as built
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from odd_review import odd_review, texts

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.page import Page
from dermalint.report.remarks import CARE, amount
from dermalint.report.tally import Tally, count, only_what_fails, without_possible
from dermalint.report.text_report import render, summary, written
from dermalint.spans import Place, cells
from dermalint.verdict.findings import CERTAIN, POSSIBLE, Match, Measured
from dermalint.verdict.report_model import PackName

GOLDEN = Path(__file__).parent / "golden"
COLOUR = re.compile(r"\x1b\[[0-9;]*m")

REVIEWS = {
    "calm": built.review(built.calm()),
    "studio": built.review(*built.studio(), built.unreadable(), problems=(built.bad_pack(),)),
    "wide": built.review(built.wide()),
    "clean": built.review(built.file_result()),
    "empty": built.review(packs=(), region=None),
}
PAGES = {
    "40": Page(40),
    "80": Page(80),
    "110": Page(110),
    "colour": Page(80, colour=True),
    "plain": Page(60, plain=True),
}


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("name", REVIEWS)
def test_samples(name: str, page: str) -> None:
    """The samples in ``golden``; ``WRITE_GOLDEN=1 pytest`` writes them anew, to be read before they are kept."""
    sample = GOLDEN / f"{name}-{page}.txt"
    text = render(REVIEWS[name], PAGES[page])
    if os.environ.get("WRITE_GOLDEN"):
        sample.write_text(text, encoding="utf-8", newline="\n")
    assert text == sample.read_bytes().decode("utf-8")


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("name", REVIEWS)
def test_every_report_keeps_to_its_width_and_ends_with_the_caution(name: str, page: str) -> None:
    text = COLOUR.sub("", render(REVIEWS[name], PAGES[page]))
    assert " ".join(text.split()).endswith(CARE)
    assert all(cells(line) <= PAGES[page].width for line in text.splitlines())
    assert "\n\n\n" not in text


@pytest.mark.parametrize("name", REVIEWS)
def test_colour_adds_nothing_but_colour(name: str) -> None:
    assert COLOUR.sub("", render(REVIEWS[name], Page(80, colour=True))) == render(REVIEWS[name], Page(80))


def test_plain_signs_are_ascii_where_the_texts_are() -> None:
    assert render(REVIEWS["studio"], PAGES["plain"]).isascii()


@pytest.mark.parametrize("page", PAGES)
def test_no_line_looks_like_another_tool_s(page: str) -> None:
    text = render(REVIEWS["studio"], PAGES[page])
    assert not re.search(r"^\S+:\d+:\d+|-->|\b(error|warning)\[", text, re.MULTILINE)


def test_one_cause_stands_together_the_most_severe_first() -> None:
    text = render(REVIEWS["calm"])
    assert text.index("acids.acid-off-retinoid-nights") < text.index("order.thin-before-thick")
    between = text[text.index("acids.acid-off") : text.index("order.thin")]
    assert "\n\n" not in between
    assert text.count("- lactic-lotion") == 1  # the second finding does not quote the same lines again


def test_causes_come_by_severity_and_then_as_they_stand_in_the_file() -> None:
    late = built.finding(Place(30, 33), rule="a.late", severity="avoid", group="1")
    early = built.finding(Place(3, 9), rule="a.early", severity="avoid", group="2")
    mild = built.finding(Place(0, 2), rule="a.mild", severity="advice", group="3")
    mild_of_late = built.finding(Place(1, 2), rule="a.beside", severity="caution", group="1")
    unsure = built.finding(Place(0, 2), rule="a.unsure", severity="avoid", certainty=POSSIBLE, group="4")
    text = render(built.review(built.file_result(findings=(mild, unsure, mild_of_late, late, early))))
    assert re.findall(r"rule │ a\.(\w+)", text) == ["early", "late", "beside", "unsure", "mild"]


def test_a_possible_finding_says_so_and_on_what_it_depends() -> None:
    text = " ".join(render(REVIEWS["studio"], Page(110)).replace("│", " ").split())
    assert "Caution Possibly: toner-x may be a strong acid" in text
    assert "unknown This depends on the strength of glycolic-acid in toner-x and the pH of toner-x." in text


def test_waived_and_suspended_ones_are_listed_at_the_end_of_the_file_only() -> None:
    text = render(REVIEWS["studio"], Page(110))
    ana = text[text.index("for Ana") : text.index("for Bo")]
    assert ana.count("sun.sunscreen-after-acid") == 1
    assert ana.index("Set aside") > ana.rindex("rule │")
    assert "Suspended by acids.weak-toners: acids.daily-acid (toner-x), line 7." in ana


def test_a_problem_that_several_people_share_is_said_once() -> None:
    shared = Problem(ERROR, "The date 2026-02-30 does not exist.", None, Place(0, 7))
    people = [built.file_result(person=name, problems=(shared,)) for name in ("Ana", "Bo")]
    text = render(built.review(*people))
    assert text.count("2026-02-30") == 1
    assert "1 file read: 1 mistake." in text


def test_what_is_hidden_is_said_to_be() -> None:
    whole = built.review(*built.studio())
    text = render(without_possible(whole), tally=count(whole))
    assert "Possibly" not in text
    assert "1 possible (1 not shown)" in text


def test_only_what_fails() -> None:
    whole = built.review(*built.studio(), problems=(built.bad_pack(),))
    text = render(only_what_fails(whole, lambda _, finding: finding.severity == "avoid"), tally=count(whole))
    assert re.findall(r"(?<= )(Avoid|Caution|Advice|Mistake|Hint|Set aside)(?= │)", text) == ["Mistake", "Avoid", "Mistake"]


def test_it_never_says_that_something_is_safe() -> None:
    for review in REVIEWS.values():
        assert not re.search(r"\bsafe\b|\ball (good|clear|well)\b", render(review, Page(110)))


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ((0, 0, 0, 0, 0, 0, 0, 0, 0, 0), "No regimen file was found."),
        ((1, 0, 0, 0, 0, 0, 0, 0, 0, 0), "1 file read: no rule in force was broken."),
        ((3, 1, 0, 0, 0, 0, 0, 0, 1, 0), "2 files read, 1 could not be read: 1 mistake."),
        ((2, 0, 1, 2, 1, 3, 0, 0, 0, 0), "2 files read: 1 to avoid, 2 cautions, 1 piece of advice, 3 possible."),
        ((1, 0, 1, 0, 0, 0, 1, 2, 0, 1), "1 file read: 1 to avoid, 1 hint, 1 waived, 2 suspended."),
        ((1, 0, 0, 0, 0, 1, 0, 0, 0, 0), "1 file read: 1 possible."),
        ((1, 0, 0, 0, 0, 0, 2, 0, 0, 0), "1 file read: no rule in force was broken, 2 waived."),
    ],
)  # fmt: skip
def test_summaries(counts: tuple[int, ...], words: str) -> None:
    assert summary(Tally(*counts)) == words


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (570, "min", "9 h 30 min"),
        (60, "min", "1 h"),
        (59, "min", "59 min"),
        (8.0, "%", "8 %"),
        (0.3, "%", "0.3 %"),
        (4, "", "4"),
    ],
)
def test_amounts(value: float, unit: str, words: str) -> None:
    assert amount(value, unit) == words


@pytest.mark.parametrize(
    ("measured", "certainty", "line"),
    [
        (Measured("gap", 570, "min", "12 h"), CERTAIN, "  measured │ gap 9 h 30 min; needed: 12 h"),
        (Measured("strength", None, "%", "at most 2 %"), POSSIBLE, "  measured │ strength not known; needed: at most 2 %"),
        (Measured("companion", None, "", "in every morning"), CERTAIN, "    needed │ in every morning"),
    ],
)
def test_measured_against_required(measured: Measured, certainty: str, line: str) -> None:
    found = built.finding(Place(0, 7), measured=measured, certainty=certainty)
    assert line in render(built.review(built.file_result(findings=(found,)))).splitlines()


def test_a_product_that_counts_as_several_things_is_named_once() -> None:
    matched = (
        Match("cream", "retinoid", "retinol 0.3 %"),
        Match("mask", "mask", "mask"),
        Match("cream", "irritant", "retinol 0.3 %"),
    )
    text = render(built.review(built.file_result(findings=(built.finding(Place(0, 7), matched=matched),))), Page(110))
    assert "counted as │ cream (retinol 0.3 %) as retinoid and as irritant; mask as mask\n" in text


def test_many_packs_are_counted_instead_of_named() -> None:
    packs = tuple(PackName(f"pack-{number}", "1.0.0") for number in range(5))
    assert "Judged by 5 rule packs · " in render(built.review(packs=packs))
    assert "Judged by pack-0 1.0.0, pack-1 1.0.0 and pack-2 1.0.0 · " in render(built.review(packs=packs[:3]), Page(110))


def test_what_is_said_when_the_report_went_to_a_file_ends_with_the_caution_too() -> None:
    text = " ".join(written(Page(60), "notes.txt", count(REVIEWS["calm"])).split())
    assert text == f"The report is in notes.txt. 1 file read: 1 caution, 1 piece of advice. {CARE}"


@settings(deadline=None)
@given(texts, texts, st.integers(-2, 70), st.integers(-2, 70), st.integers(40, 110))
def test_no_text_breaks_a_page(words: str, other: str, start: int, end: int, width: int) -> None:
    text = render(odd_review(words, other, start, end), Page(width))
    text.encode("utf-8")
    for line in text.split("\n"):
        assert cells(line) <= width
        assert len(line.splitlines()) <= 1
        assert not any(character < " " or "\x7f" <= character < "\xa0" for character in line)
