"""Quoted lines: the marks stand under the very characters, in terminal cells."""

from __future__ import annotations

import build_review as built
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dermalint.report.page import Page, cut, tame, wrap
from dermalint.report.quotes import ALSO, HERE, Mark, clip, quote
from dermalint.spans import Place, SourceText, cells, expand_tabs

PATH = "a.regimen.yaml"


def quoted(text: str, *marks: Mark, width: int = 80, others: dict[str, str] | None = None) -> list[str]:
    sources = {path: SourceText(path, content) for path, content in {PATH: text, **(others or {})}.items()}
    return list(quote(Page(width), marks, sources, PATH))


def under_marks(lines: list[str], sign: str = HERE) -> str:
    """The characters of the first line that stand over the marks of the second one."""
    shown, marks = lines[0], lines[1]
    start, end = marks.index(sign), marks.rindex(sign) + 1
    over = ""
    at = 0
    for character in shown:
        size = cells(character)
        if (start <= at < end and size) or (size == 0 and start < at <= end):
            over += character
        at += size
    return over


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("- night-cream", "night-cream"),
        ("\t- night-cream", "night-cream"),
        ("a\tb\tnight-cream # c", "night-cream"),
        ("- 夜用クリーム と night", "クリーム"),
        ("- 夜用クリーム と night", "night"),
        ("- cre\u0301me-le\u0301ge\u0300re, x", "le\u0301ge\u0300re"),
        ("- e\u0301e\u0301e\u0301 night", "night"),
        ("{product: \u202enight, x", "x"),
        ("soft\u00adhyphen x", "x"),
    ],
)
def test_marks_stand_under_their_characters(line: str, words: str) -> None:
    text = f"first line\n{line}\n"
    lines = quoted(text, Mark(built.place(text, words), HERE))
    assert lines[0].startswith("    line 2 │ ")
    assert under_marks(lines) == words


plain_lines = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp", "Mn", "Me")), min_size=1, max_size=30)


@settings(deadline=None)
@given(st.data(), st.sampled_from((40, 60, 80, 110)))
def test_any_part_of_any_line(data: st.DataObject, width: int) -> None:
    before = data.draw(st.sampled_from(("", "\t", "夜", "e\u0301", "a\tb", "    ")))
    line = data.draw(plain_lines)
    words = data.draw(plain_lines.filter(lambda drawn: drawn == drawn.strip()))
    text = f"{before}{line}{words} end"
    start = len(before) + len(line)
    lines = quoted(text, Mark(Place(start, start + len(words)), HERE), width=width)
    assert all(cells(shown) <= width for shown in lines)
    over = under_marks(lines)
    if cells(expand_tabs(text)) <= Page(width).column:  # shown whole
        assert over == words
    else:
        assert cells(over) > 0


@settings(deadline=None)
@given(st.text(st.characters(exclude_categories=())), st.integers(-2, 40), st.integers(-2, 40), st.integers(40, 110))
def test_no_text_and_no_place_fails_or_overflows(text: str, start: int, end: int, width: int) -> None:
    lines = quoted(text, Mark(Place(start, end), HERE, text[:9]), Mark(Place(end, start), ALSO, "there"), width=width)
    assert any(HERE in line or ALSO in line for line in lines)
    for line in lines:
        assert cells(line) <= width
        assert len(line.splitlines()) == 1


def test_an_empty_place_gets_one_mark_and_a_long_one_ends_with_its_line() -> None:
    assert quoted("abc\ndef", Mark(Place(1, 1), HERE))[1] == "           │  ^"
    assert quoted("abc  \ndef", Mark(Place(1, 8), HERE))[1] == "           │  ^^"


def test_common_indentation_is_left_out() -> None:
    text = "steps:\n      - one\n        - two\n"
    lines = quoted(text, Mark(built.place(text, "two"), HERE), Mark(built.place(text, "one"), ALSO))
    assert lines == [
        "    line 2 │ - one",
        "           │   ~~~",
        "    line 3 │   - two",
        "           │     ^^^",
    ]


def test_notes_stand_beside_their_marks_or_below() -> None:
    text = "- one, two"
    one, two = built.place(text, "one"), built.place(text, "two")
    assert quoted(text, Mark(one, ALSO, "the acid"), width=40)[1] == "           │   ~~~ the acid"
    assert quoted(text, Mark(one, ALSO, "an acid"), Mark(two, HERE, "a retinoid")) == [
        "    line 1 │ - one, two",
        "           │   ~~~  ^^^",
        "           │   an acid",
        "           │        a retinoid",
    ]


def test_a_long_line_is_cut_around_the_mark() -> None:
    text = "x" * 100 + " here " + "y" * 100
    lines = quoted(text, Mark(built.place(text, "here"), HERE), width=40)
    assert lines == ["    line 1 │ …xxxx here yyyyyyyyyyyyyyy…", "           │       ^^^^"]


def test_marks_too_far_apart_for_one_window_are_shown_each() -> None:
    text = "one" + " " * 90 + "two"
    lines = quoted(text, Mark(built.place(text, "one"), ALSO), Mark(built.place(text, "two"), HERE), width=40)
    assert [under_marks(lines[:2], ALSO), under_marks(lines[2:])] == ["one", "two"]


def test_a_place_in_another_file_names_it_and_one_without_a_text_its_pointer() -> None:
    other = "products:\n  - tonic\n"
    there = Mark(built.place(other, "tonic", path="shared.yaml"), ALSO)
    lines = quoted("here", Mark(Place(0, 4), HERE), there, others={"shared.yaml": other})
    assert lines[2:] == ["        in │ shared.yaml", "    line 2 │ - tonic", "           │   ~~~~~"]
    gone = Mark(Place(0, 4, "/products/tonic", "gone.yaml"), ALSO, "the acid")
    assert quoted("here", gone) == ["        in │ gone.yaml", "        at │ /products/tonic: the acid"]


@settings(deadline=None)
@given(st.text(max_size=40), st.integers(0, 30), st.integers(4, 30))
def test_a_window_keeps_every_cell_in_its_place(text: str, left: int, width: int) -> None:
    text = expand_tabs(tame(text))
    shown = clip(text, left, width)
    assert cells(shown) <= width
    if left == 0 and cells(text) <= width:
        assert shown == text


@settings(deadline=None)
@given(st.text(st.characters(exclude_categories=())), st.integers(2, 40))
def test_wrapping_loses_nothing_and_keeps_to_the_width(text: str, width: int) -> None:
    lines = wrap(text, width)
    assert lines
    assert all(cells(line) <= width for line in lines)
    kept = "".join("".join(lines).split())
    assert len(kept) == len("".join(tame(text).split()))


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("", 10, [""]),
        ("one two three", 7, ["one two", "three"]),
        ("retinol at 0.3 % daily", 12, ["retinol at", "0.3 % daily"]),
        ("after 9 h 30 min", 9, ["after 9 h", "30 min"]),
        ("acids.acid-off-retinoid-nights", 27, ["acids.acid-off-retinoid-", "nights"]),
        ("夜用クリーム", 5, ["夜用", "クリ", "ーム"]),
    ],
)
def test_wrapping(text: str, width: int, lines: list[str]) -> None:
    assert wrap(text, width) == lines


def test_a_combining_mark_stays_with_its_letter_when_a_word_is_cut() -> None:
    assert cut("ae\u0301ae\u0301ae\u0301", 2) == ["ae\u0301"] * 3
