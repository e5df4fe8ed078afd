"""The page for colleagues: what is on it, that no text becomes markup, that it asks for nothing and can be read by all."""

from __future__ import annotations

import re
from base64 import b64encode
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import build_review as built
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from odd_review import odd_review, texts
from page_reader import Reader
from samples import REVIEWS, is_sample, plan_of

from dermalint.regimen.model import ERROR, Problem
from dermalint.report import html_report
from dermalint.report.html_report import render
from dermalint.report.markup import Markup, element, raw, words
from dermalint.report.remarks import CARE
from dermalint.report.tally import count, without_possible
from dermalint.spans import Place
from dermalint.timeline.plan import Plan, ShownDate
from dermalint.verdict.findings import Occurrence, Related
from dermalint_grammar.record import replace

STYLE = Path(html_report.__file__).with_name("html_page.css").read_text(encoding="utf-8")
TAGS = {
    "a", "body", "button", "code", "dd", "details", "div", "dl", "dt", "fieldset", "footer", "form", "h1", "h2", "h3", "h4",
    "head", "header", "html", "input", "label", "legend", "li", "main", "mark", "meta", "nav", "ol", "option", "p", "path",
    "script", "section", "select", "span", "strong", "style", "summary", "svg", "symbol", "table", "tbody", "td", "th",
    "thead", "title", "tr", "ul", "use",
}  # fmt: skip


def body_of(page: str) -> str:
    """The page without style, script and their digests, one element a line where one begins a block."""
    for part in ("style", "script"):
        page = re.sub(rf"<{part}>.*?</{part}>", f"<{part}></{part}>", page, flags=re.DOTALL)
    page = re.sub(r"sha256-[A-Za-z0-9+/=]+", "sha256-…", page)
    blocks = "head|body|header|main|footer|section|form|table|tr|td|li|h[1-4]|dl|dt|details|option"
    return re.sub(rf"(?=<(?:{blocks})\b)", "\n", page)


@pytest.mark.parametrize("name", REVIEWS)
def test_samples(name: str) -> None:
    assert is_sample(f"{name}.html", body_of(render(REVIEWS[name])))


@pytest.mark.parametrize("name", REVIEWS)
def test_a_page_asks_for_nothing_and_lets_only_its_own_style_and_script_run(name: str) -> None:
    page = render(REVIEWS[name])
    read = Reader(page)
    for _, attributes in read.elements:
        assert not {"src", "style", "srcset", "action", "onclick", "onload"} & set(attributes)
        assert (attributes.get("href") or "#").startswith("#")
    assert "url(" not in page
    assert "@import" not in page
    (policy,) = (meta["content"] or "" for meta in read.all("meta") if meta.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none'; ")
    for part in ("style", "script"):
        (inside,) = re.findall(rf"<{part}>(.*?)</{part}>", page, re.DOTALL)
        digest = b64encode(sha256(inside.encode("utf-8")).digest()).decode()
        assert f"{part}-src 'sha256-{digest}'" in policy


@pytest.mark.parametrize("name", REVIEWS)
def test_a_page_has_its_landmarks_headings_and_names(name: str) -> None:
    read = Reader(render(REVIEWS[name]))
    assert read.all("html") == [{"lang": "en"}]
    for landmark in ("header", "main", "footer", "h1", "title"):
        assert len(read.all(landmark)) == 1
    names = [attributes["id"] for _, attributes in read.elements if "id" in attributes]
    assert len(set(names)) == len(names)
    for _, attributes in read.elements:
        assert attributes.get("aria-labelledby", names[0]) in names
        assert (attributes.get("href") or f"#{names[0]}").removeprefix("#") in names
    levels = [int(tag[1]) for tag, _ in read.elements if re.fullmatch(r"h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))
    labelled = [tag for tag, _ in read.elements if tag in ("input", "select")]
    assert len(read.all("label")) == len(labelled)
    assert all(svg.get("aria-hidden") == "true" for svg in read.all("svg"))
    assert read.all("a")[0] == {"class": "skip", "href": "#regimens"}
    assert read.said.endswith(CARE)


def test_the_week_has_a_row_a_day_and_a_column_a_slot() -> None:
    page = render(REVIEWS["calm"])
    heads = re.findall(r'<th scope="(?:col|row)" role="\w+">([^<]+)', page)
    assert heads == ["Day", "Morning", "Evening", "Monday", "Tuesday and Wednesday", "Thursday", "Friday to Sunday"]
    rows = re.findall(r'<tr role="row"><th scope="row".*?</tr>', page)
    steps = re.findall(r'<span class="said">([^<]*)', rows[0])
    assert steps == ["foam-wash", "day-fluid", "foam-wash", "wait 20 min", "night-cream", "lactic-lotion"]
    assert 'class="empty"' in rows[1]


def test_steps_with_a_remark_are_marked_in_words_and_lead_to_it() -> None:
    page = render(REVIEWS["calm"])
    monday, _, thursday, _ = re.findall(r'<tr role="row"><th scope="row".*?</tr>', page)
    for row in (monday, thursday):
        step = row[row.index(">lactic-lotion<") :]
        assert re.search(r'<a class="tag caution [^"]*" href="#g0-1"><svg.*?</svg>Caution 1</a>', step)
        assert re.search(r'<a class="tag advice [^"]*" href="#g0-2"><svg.*?</svg>Advice 2</a>', step)
        other = row[row.index(">night-cream<") : row.index(">lactic-lotion<")]
        assert "takes part in remark" in other
    assert page.index('id="g0-1"') < page.index('id="g0-2"')


def test_what_is_missing_in_a_slot_is_marked_in_the_slot() -> None:
    found = built.finding(Place(0, 7), occurs=(Occurrence(1, 2, "tuesday", "midday", 7),))
    page = render(built.review(built.file_result(findings=(found,), plan=plan_of(built.CALM))))
    heads = re.findall(r'<th scope="col" role="\w+">([^<]+)', page)
    assert heads == ["Day", "Morning", "Midday", "Evening"]
    assert re.search(r'data-slot="Midday"><p class="step of-slot"> <a class="tag caution', page)


def test_a_partner_whose_step_is_elsewhere_bears_the_mark_itself() -> None:
    wash = built.place(built.CALM, "foam-wash", 2)
    cream = built.place(built.CALM, "night-cream", 2)
    found = built.finding(wash, related=(Related(cream, "the retinoid"),), occurs=built.weekly((1, "monday")))
    assert "foam-wash, day-fluid" in built.CALM[wash.start :]  # the place is the morning's, the remark the evening's
    page = render(built.review(built.file_result(findings=(found,), plan=plan_of(built.CALM))))
    assert page.count('href="#g0-1"') == 1
    assert re.search(r'night-cream</span> <a class="tag caution', page)
    assert "of-slot" not in body_of(page)


def test_what_happens_on_one_date_is_marked_there_alone() -> None:
    page = render(REVIEWS["studio"])
    bo = page[page.index('id="g1"') : page.index('id="g2"')]
    assert "14 March 2026, evening" in bo
    text = 'regimen: x\nstarts: 2026-03-02\nproducts: {a: {kind: peel}, b: {kind: toner}}\nroutines:\n'
    text += "  - {slot: morning, steps: [b]}\n  - {slot: evening, dates: [2026-03-14], steps: [a]}\n"
    where = built.place(text, "[a]")
    where = Place(where.start + 1, where.end - 1)
    found = built.finding(where, occurs=(Occurrence(1, 6, "saturday", "evening", None, "2026-03-14"),))
    shown = render(built.review(built.file_result(text, findings=(found,), plan=plan_of(text))))
    assert shown.count('href="#g0-1"') == 1
    assert shown.index("On single dates") < shown.index('href="#g0-1"')


def test_a_possible_remark_says_so_without_colour() -> None:
    page = render(REVIEWS["studio"])
    assert '<span class="unseen">possible </span>Caution<span aria-hidden="true">?</span> 2</a>' in page
    assert "Possibly: toner-x may be a strong acid" in page
    assert "The strength of glycolic-acid in toner-x and the pH of toner-x." in Reader(page).said


def test_every_filter_hides_what_carries_its_class() -> None:
    page = render(REVIEWS["studio"])
    read = Reader(page)
    shown = [attributes for _, attributes in read.elements if "remark" in (attributes.get("class") or "").split()]
    assert len(shown) == 3  # what is waived or suspended is set aside
    for name in ("avoid", "caution", "advice"):
        assert f"body:has(#keep-{name}:not(:checked)) .of-{name}{{display:none}}" in page
    for sure, other in (("certain", "possible"), ("possible", "certain")):
        assert f'body:has(#sure option[value="{sure}"]:checked) .is-{other}{{display:none}}' in page
    topics = re.findall(r'<option value="(\d+)">(frequency|person|separation)</option>', page)
    assert topics == [("0", "frequency"), ("1", "person"), ("2", "separation")]
    for number, _ in topics:
        assert f'body:has(#topic option[value="{number}"]:checked) .topic:not(.topic-{number}){{display:none}}' in page
        assert read.classed(f"topic-{number}")
    files = re.findall(r'<option value="(\d+)">([^<]+regimen\.yaml)</option>', page)
    assert files == [("0", "course/two.regimen.yaml"), ("1", "broken.regimen.yaml")]
    assert len(read.classed("file-0")) == 2
    for attributes in (*shown, *read.classed("tag")):
        if "href" in attributes or "id" in attributes:
            assert re.search(r"of-(avoid|caution|advice) is-(certain|possible) topic topic-\d", attributes["class"] or "")


def test_a_page_without_remarks_has_no_filters_and_promises_nothing() -> None:
    read = Reader(render(built.review(built.file_result(plan=plan_of(built.CALM)))))
    assert read.all("form") == []
    assert "No rule in force was broken." in read.said
    for review in REVIEWS.values():
        assert not re.search(r"\bsafe\b|\ball (good|clear|well)\b", Reader(render(review)).said)


def test_where_a_file_has_mistakes_an_empty_list_of_remarks_says_what_it_means() -> None:
    mistake = Problem(ERROR, "The date 2026-02-30 does not exist.", None, Place(0, 7))
    said = Reader(render(built.review(built.file_result(problems=(mistake,), plan=plan_of(built.CALM))))).said
    assert "No rule in force was broken" not in said
    assert "What the mistakes concern was not checked." in said


def test_problems_unreadable_files_and_people() -> None:
    said = Reader(render(REVIEWS["studio"])).said
    assert "Mistake The pack house-rules names a family that nobody declares: retinod." in said
    assert "Mistake The product night-creme is not declared." in said
    assert "This file was not checked." in said
    assert "Larkspur Row, second course, for Ana 2 remarks" in said
    assert "Set aside: 2" in said
    assert "Suspended by acids.weak-toners" in said


def test_what_is_hidden_is_said_to_be() -> None:
    whole = built.review(*built.studio())
    page = render(without_possible(whole), count(whole))
    assert "1 possible (1 not shown)" in page
    assert "Possibly" not in page


def test_lines_are_quoted_with_their_words_marked() -> None:
    page = render(REVIEWS["wide"])
    assert '<mark class="here">夜用クリーム</mark>' in page
    assert '<mark class="also">cre\u0301me-légère</mark>' in page
    assert "<h2 id=\"g0-title\">夜のケア</h2>" in page


HOSTILE = (
    "<script>alert(1)</script>", "</style><script>", '" onmouseover="x', "' autofocus onfocus='x", "<img src=x onerror=x>",
    "<!--", "--><b>", "]]>", "&lt;b&gt;", "&#60;i&#62;", "</title></textarea><svg onload=x>", "javascript:x", "\u202e\u2066<b>",
    "\x00<b\x00>", "\ud800<b>",
)  # fmt: skip


def shape(page: str) -> list[tuple[str, tuple[str, ...]]]:
    read = Reader(page)
    assert read.other == []
    return [(tag, tuple(attributes)) for tag, attributes in read.elements]


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_names_are_words_like_any_other(hostile: str) -> None:
    page = render(odd_review(f"x{hostile}", f"y{hostile}", 0, 5))
    assert shape(page) == shape(render(odd_review("x" * (1 + len(hostile)), "y" * (1 + len(hostile)), 0, 5)))
    page.encode("utf-8")


@settings(deadline=None, max_examples=60)
@given(texts, texts, st.lists(st.sampled_from(HOSTILE), max_size=3), st.integers(-2, 70), st.integers(-2, 70))
def test_no_text_becomes_markup(text: str, other: str, hostile: list[str], start: int, end: int) -> None:
    page = render(odd_review(text + "".join(hostile), other + "".join(hostile), start, end))
    read = Reader(page)
    assert read.other == []
    assert {tag for tag, _ in read.elements} <= TAGS
    assert len(read.all("script")) == len(read.all("style")) == 1
    for _, attributes in read.elements:
        assert not any(name.startswith("on") or name in ("style", "src") for name in attributes)
        assert (attributes.get("href") or "#").startswith("#")
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]", page)


def odd_plan(hostile: str) -> Plan:
    """A plan with a text everywhere a text can stand."""
    plan = plan_of(built.CALM)
    day = plan.phases[0].days[0]
    step = replace(day.routines[0].steps[0], said=hostile, details=(hostile,))
    routine = replace(day.routines[0], steps=(step,), at=hostile, only_if=hostile)
    phase = replace(plan.phases[0], days=(replace(day, routines=(routine,)),))
    product = replace(plan.shelf[0], key=hostile, name=hostile, about=(hostile,))
    dates = (ShownDate(hostile, routine),)
    return replace(
        plan, about=hostile, starts=hostile, phases=(phase,), shelf=(product,), slots=(("morning", hostile),), dates=dates
    )


@pytest.mark.parametrize("hostile", HOSTILE)
def test_a_hostile_plan_is_words_like_any_other(hostile: str) -> None:
    page, plain = (render(built.review(built.file_result(plan=odd_plan(text)))) for text in (hostile, "x"))
    assert shape(page) == shape(plain)
    assert page.count(words(hostile)) >= 10


def test_only_markup_goes_in_as_it_is() -> None:
    assert element("p", {"title": '"<'}, "<b>", element("i", {}, "&")) == '<p title="&quot;&lt;">&lt;b&gt;<i>&amp;</i></p>'
    assert isinstance(words("<"), Markup)
    assert words(words("<")) == "&lt;"
    with pytest.raises(ValueError, match="script"):
        raw("script", "x</SCRIPT>")


def colours(scheme: str) -> dict[str, str]:
    """The colours of the page in one scheme, as the style declares them."""
    before, _, rest = STYLE.partition("@media (prefers-color-scheme: dark)")
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6});", before))
    if scheme == "dark":
        found |= dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6});", rest.partition("* { box-sizing")[0]))
    elif scheme == "print":
        found |= dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6});", STYLE.partition("@media print")[2]))
    return found


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1."""
    digits = colour.removeprefix("#")
    digits = "".join(digit * 2 for digit in digits) if len(digits) == 3 else digits
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_words_stand_out_from_what_they_stand_on(scheme: str) -> None:
    """Web Content Accessibility Guidelines 2.1, W3C Recommendation of 5 June 2018, success criterion 1.4.3, level AA."""
    palette = colours(scheme)
    pairs = [(word, ground) for word in ("ink", "faint", "link") for ground in ("paper", "desk", "chip")]
    pairs += [(name, ground) for name in ("avoid", "caution", "advice") for ground in (f"{name}-paper", "desk", "paper")]
    pairs.append(("on-marker", "marker"))
    low = {pair: round(contrast(palette[pair[0]], palette[pair[1]]), 2) for pair in pairs}
    assert {pair: ratio for pair, ratio in low.items() if ratio < 4.5} == {}
