"""The page: nothing out of a file becomes markup, nothing leaves it, everybody can read it."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from dermalint.handout import page as page_module
from dermalint.handout.language import Language, plain
from dermalint.handout.making import make
from dermalint.handout.markdown import escape, write_markdown
from dermalint.handout.page import write_page
from dermalint.handout.plan import HandOut
from dermalint.handout.sheet import Item, Section, Sheet, Table
from dermalint.handout.telling import tell
from dermalint.handout.text import write_text

CSS = Path(page_module.__file__).with_name("page.css").read_text(encoding="utf-8")
NAMES = ["first-retinol.regimen.yaml", "pregnancy.regimen.yaml", "alternating-evenings.regimen.yaml"]


class Seen(HTMLParser):
    """The elements, attributes and text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.text = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.text += data


def sheet_of(text: str) -> Sheet:
    """A sheet that says this text wherever a text out of a file can stand."""
    said = Language("en").own(text)
    item = Item(said, (said, said), "en")
    routine = Section("routine-1", said, (said,), Table((said, said), ((said, said),)), (item, Item(said)), True, "routine")
    return Sheet("en", "ltr", said, (said,), (routine, Section("stop", said, items=(item,), tone="stop")), said, said)


HOSTILE = [
    "</style><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ 7*7 }}{% raw %}<!--",
    "'; } body { background: url(//x) } </title>",
    "[a](javascript:alert(1)) <b> ![x](http://x) | # > ~~~ `` *x* _y_ www.x.com http://x",
    "\u202eevil\u2066 \x00\x1b[31m\u2028 \ud800",
    "&lt;script&gt; &amp;",
    "- 1. item\n\n# heading\n---\n<b>",
    "1) one",
    "BEGIN:VEVENT\r\nEND:VEVENT",
]
TEXTS = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=40), st.text("<>&\"'`*_[]()#!|~{}%-+=./:\\ \n1a", max_size=30))


@settings(max_examples=80, deadline=None)
@given(text=TEXTS)
def test_no_text_becomes_markup_style_or_script(text: str) -> None:
    plainly, hostile = Seen(write_page(sheet_of("quiet"))), Seen(write_page(sheet_of(text)))
    assert hostile.tags == plainly.tags
    assert [name for name, _ in hostile.attributes] == [name for name, _ in plainly.attributes]
    assert plain(text) in hostile.text


@settings(max_examples=80, deadline=None)
@given(text=TEXTS)
def test_nor_markdown(text: str) -> None:
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    plainly, hostile = (
        Seen(reader.render(write_markdown(sheet_of("quiet")))),
        Seen(reader.render(write_markdown(sheet_of(text)))),
    )
    if plain(text):
        assert hostile.tags == plainly.tags
        assert " ".join(plain(text).split()) in " ".join(hostile.text.split())


def test_addresses_do_not_link_themselves() -> None:
    assert escape("see http://x and www.x.com or a@b") == r"see http\://x and www\.x.com or a\@b"


@given(text=st.text(max_size=60))
def test_texts_stay_in_one_line_and_keep_their_direction(text: str) -> None:
    said = plain(text)
    assert said == said.strip()
    assert not set(said) & set("\n\r\t\x00\x1b\u2028\u2029\u202a\u202b\u202d\u202e\u2066\u2067\u2068\u2069")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("large", [False, True])
def test_nothing_is_fetched_and_nothing_runs(demo, name: str, large: bool) -> None:  # type: ignore[no-untyped-def]
    text = make(demo.plan(name), "html", large=large)
    assert isinstance(text, str)
    seen = Seen(text)
    assert not {"script", "link", "img", "iframe", "object", "form", "a", "base", "svg"} & set(seen.tags)
    assert not any(name.startswith("on") or name in ("src", "href", "style") for name, _ in seen.attributes)
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', text)
    assert policy.startswith("default-src 'none'; style-src 'sha256-") or policy.startswith("default-src &#39;none&#39;")
    assert "url(" not in text
    assert "@import" not in text


def test_the_policy_lets_this_style_in_and_no_other(demo) -> None:  # type: ignore[no-untyped-def]
    from base64 import b64encode
    from hashlib import sha256
    from html import unescape

    text = make(demo.plan(NAMES[0]), "html", paper="letter")
    assert isinstance(text, str)
    (style,) = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'" in unescape(text)
    assert "size: letter" in style


def _colours(css: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", css))


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """WCAG 2.2: from 1 to 21."""
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("dark", [False, True])
def test_contrast_is_that_of_wcag_2_2_aa(dark: bool) -> None:
    light, _, rest = CSS.partition("@media screen and (prefers-color-scheme: dark)")
    colours = _colours(rest if dark else light)
    assert len(colours) == 8
    for ink, papers in {
        "ink": ("paper", "wash", "stop-wash"),
        "soft": ("paper", "wash"),
        "deep": ("paper", "wash"),
        "stop": ("stop-wash", "paper"),
    }.items():
        for paper in papers:
            assert contrast(colours[ink], colours[paper]) >= 4.5, (ink, paper)
    assert contrast("#000000", "#ffffff") == 21


def test_the_style_mirrors_itself() -> None:
    physical = (
        r"(?:margin|padding|border)-(?:left|right|top|bottom)|(?<![-\w])(?:left|right|float)\s*:|text-align:\s*(?:left|right)"
    )
    assert re.findall(physical, CSS) == []


def test_a_language_from_right_to_left(tmp_path: Path) -> None:
    from babel.messages import Catalog
    from babel.messages.pofile import write_po

    catalogue = Catalog(locale="ar")
    catalogue.add("Evening", "مساء")
    with (tmp_path / "ar.po").open("wb") as file:
        write_po(file, catalogue)
    arabic = Language("ar", tmp_path)
    assert arabic.direction == "rtl"
    assert arabic.t("Evening") == "مساء"
    assert arabic.own("Oat Wash") == "\u2068Oat Wash\u2069"
    assert Language("en").own("كريم") == "\u2068كريم\u2069"
    said = sheet_of("x")
    rtl = write_page(Sheet("ar", arabic.direction, said.title, said.lines, said.sections, said.care_heading, said.care))
    assert '<html lang="ar" dir="rtl">' in rtl


def test_colour_is_never_the_only_sign(demo) -> None:  # type: ignore[no-untyped-def]
    text = make(demo.plan("faults-of-every-kind.regimen.yaml"), "html")
    assert isinstance(text, str)
    for section in re.findall(r'<section class="(?:stop|avoid)".*?</section>', text, re.DOTALL):
        assert '<span class="sign" aria-hidden="true">!</span>' in section
        assert "<h2" in section


def test_headings_name_their_sections_and_tables_their_heads(demo) -> None:  # type: ignore[no-untyped-def]
    text = make(demo.plan(NAMES[0]), "html")
    assert isinstance(text, str)
    labels = re.findall(r'aria-labelledby="([^"]+)"', text)
    identifiers = re.findall(r' id="([^"]+)"', text)
    assert set(labels) <= set(identifiers)
    assert len(identifiers) == len(set(identifiers))
    assert text.count("<h1") == 1
    assert text.count('scope="col"') >= 3


def test_text_for_mail_fits_its_lines(demo) -> None:  # type: ignore[no-untyped-def]
    plan: HandOut = demo.plan(NAMES[0])
    text = write_text(tell(plan, Language("en")))
    assert max(map(len, text.splitlines())) <= 72
    assert text.rstrip().endswith("label and local law.")
