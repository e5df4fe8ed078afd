"""The page on what a change of packs does: what is on it, that no text becomes markup, that it asks for nothing."""

from __future__ import annotations

import re
from base64 import b64encode
from hashlib import sha256
from itertools import pairwise

import build_review as built
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from odd_review import odd_review, texts
from page_reader import Reader

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.impact_html import render
from dermalint.report.remarks import CARE
from dermalint.verdict.compare import compare
from dermalint.verdict.findings import Finding
from dermalint.verdict.report_model import PackName, Review
from dermalint_grammar.record import replace


def page_of(before: Review, after: Review) -> Reader:
    return Reader(render(before, after, compare(before, after)))


def both_ways() -> tuple[Review, Review]:
    """One regimen that loses a finding and sees another changed; one that gains one; one that stays as it is."""
    acid, cream = (built.place(built.CALM, name, 2, "/routines/1/steps/3") for name in ("lactic-lotion", "night-cream"))
    stays = built.finding(acid, rule="house.stays", message="It is too often.", products=("lactic-lotion",))
    graver = replace(stays, severity="avoid", message="It is far too often.", occurs=())
    lost = built.finding(cream, rule="house.lost", message="This one goes.", id="c1")
    new = built.finding(cream, rule="house.new", message="This one is new.", advise="Move it.", id="d1")

    def files(first: tuple[Finding, ...], second: tuple[Finding, ...]) -> Review:
        return built.review(
            built.file_result(findings=first),
            built.file_result(path="second.regimen.yaml", regimen="Second", findings=second),
            built.file_result(path="third.regimen.yaml", regimen="Third", findings=(stays,)),
        )

    return files((stays, lost), ()), files((graver,), (new,))


def test_what_is_gained_changed_and_lost_is_told_apart() -> None:
    read = page_of(*both_ways())
    said = read.said
    assert "3 regimens, of which 2 with differences: 1 gained, 1 lost, 1 changed." in said
    assert "Changed (1) Avoid It is far too often. Before: Caution: It is too often." in said
    assert "Lost (1) Caution This one goes." in said
    assert "Gained (1) Caution This one is new." in said
    assert "What to do : Move it." in said or "What to do Move it." in said
    assert "Without a difference: 1 Third third.regimen.yaml" in said
    assert [len(read.classed(fate)) for fate in ("gained", "changed", "lost")] == [1, 1, 1]
    assert said.endswith(CARE)


def test_the_packs_that_differ_are_named() -> None:
    before, after = both_ways()
    read = page_of(before, replace(after, packs=(*after.packs[1:], PackName("house", "1.0.0"))))
    assert "Packs: acids gone and house new." in read.said
    assert "Packs: the same names and versions on both sides." in page_of(before, after).said


def test_without_regimens_and_without_differences() -> None:
    none = built.review()
    assert "No regimen was found." in page_of(none, none).said
    same = built.review(built.calm())
    read = page_of(same, same)
    assert "1 regimen: no finding is gained, lost or changed." in read.said
    assert not read.all("form")


def test_mistakes_of_files_and_packs_are_told() -> None:
    wrong = Problem(ERROR, "There is no kind “creem”.", None, None)
    unread = built.review(
        built.file_result(problems=(wrong,), readable=False), problems=(replace(wrong, message="No such pack."),)
    )
    said = page_of(built.review(built.file_result()), unread).said
    assert "With the packs after Mistake No such pack." in said
    assert "Mistakes in the file Mistake There is no kind “creem”." in said
    assert "This file was not checked." in said


def test_the_page_asks_for_nothing_and_runs_nothing() -> None:
    before, after = both_ways()
    page = render(before, after, compare(before, after))
    read = Reader(page)
    assert not read.all("script")
    for _, attributes in read.elements:
        assert not {"src", "style", "srcset", "action", "onclick", "onload"} & set(attributes)
        assert (attributes.get("href") or "#").startswith("#")
    assert "url(" not in page
    assert "@import" not in page
    (policy,) = (meta["content"] or "" for meta in read.all("meta") if meta.get("http-equiv") == "Content-Security-Policy")
    (style,) = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def test_landmarks_headings_names_and_links() -> None:
    read = page_of(*both_ways())
    assert read.all("html") == [{"lang": "en"}]
    assert [len(read.all(tag)) for tag in ("main", "header", "footer", "h1", "form")] == [1, 1, 1, 1, 1]
    ids = [attributes["id"] for _, attributes in read.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    for _, attributes in read.elements:
        for name in ("aria-labelledby", "href"):
            if name in attributes:
                assert (attributes[name] or "").removeprefix("#") in ids
    levels = [int(tag[1]) for tag, _ in read.elements if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))


@settings(max_examples=40, deadline=None)
@given(texts, texts, st.integers(-5, 200), st.integers(-5, 200))
def test_no_text_becomes_markup(words: str, other: str, start: int, end: int) -> None:
    harmful = f"</style><script>alert(1)</script>{words}"
    before, after = odd_review(harmful, other, start, end), odd_review(harmful, other, end, start)
    (file,) = after.files
    more = tuple(replace(finding, rule=f"{finding.rule}-new") for finding in file.findings)
    read = page_of(before, replace(after, files=(replace(file, findings=(*file.findings, *more)),)))
    assert not read.all("script")
    assert not read.other
    assert {tag for tag, _ in read.elements} <= {
        "html", "head", "meta", "title", "style", "body", "a", "svg", "symbol", "path", "use", "header", "h1", "h2", "h3", "h4",
        "p", "nav", "ol", "ul", "li", "span", "form", "fieldset", "legend", "label", "input", "button", "main", "section",
        "div", "strong", "dl", "dt", "dd", "details", "summary", "code", "mark", "footer",
    }  # fmt: skip
    assert "alert(1)" in read.said


@pytest.mark.parametrize("fate", ["gained", "changed", "lost"])
def test_each_filter_has_what_it_hides(fate: str) -> None:
    before, after = both_ways()
    page = render(before, after, compare(before, after))
    assert f'id="keep-{fate}"' in page
    assert re.search(rf"body:has\(#keep-{fate}:not\(:checked\)\) \.fate\.{fate}\b", page)
    assert f'<div class="fate {fate}">' in page
