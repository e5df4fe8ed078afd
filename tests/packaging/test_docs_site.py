"""The site and the manual pages: made from what is there, whole, and without a link that leads nowhere."""

from __future__ import annotations

import importlib.util
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType

import pytest

from dermalint.cli.main import COMMANDS
from dermalint.report.remarks import CARE

pytest.importorskip("markdown_it", reason="markdown-it-py is not installed (it is in the extra dev)")
pytest.importorskip("click_man", reason="click-man is not installed (it is in the extra dev)")

DOCS = Path(__file__).resolve().parents[2] / "docs"


def script(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, DOCS / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


SITE, MAN = script("make_site"), script("make_man")


class Links(HTMLParser):
    """Links, names and elements of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.names: list[str] = []
        self.tags: set[str] = set()
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        found = dict(attrs)
        self.links += [found["href"] or ""] if "href" in found else []
        self.names += [found["id"] or ""] if "id" in found else []
        assert not {"src", "onclick", "style"} & set(found)


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    found: dict[str, str] = SITE.site(SITE.sources())
    return found


def test_every_link_leads_somewhere_and_every_page_can_be_reached(pages: dict[str, str]) -> None:
    read = {name: Links(page) for name, page in pages.items()}
    reached = {"index.html"}
    for name, page in read.items():
        assert len(page.names) == len(set(page.names)), name
        for link in page.links:
            path, _, anchor = link.partition("#")
            there = (Path("/") / Path(name).parent / path).resolve().relative_to("/").as_posix() if path else name
            if there in SITE.handouts():
                continue  # copied beside the pages
            assert there in read, (name, link)
            assert not anchor or anchor in read[there].names, (name, link)
            reached.add(there)
    assert reached == set(read)


def test_pages_run_nothing_fetch_nothing_and_end_with_the_caution(pages: dict[str, str]) -> None:
    for name, page in pages.items():
        assert "script" not in Links(page).tags, name
        assert "default-src &#x27;none&#x27;" in page
        assert "<!--" not in page
        assert "For education, no medical advice." in page.rpartition("<footer>")[2]


def test_every_guide_pack_and_command_has_its_place(pages: dict[str, str]) -> None:
    for guide in DOCS.glob("*.md"):
        assert f"docs/{guide.stem}.html" in pages
    for pack in (DOCS / "packs").glob("[!R]*.md"):
        assert f"docs/packs/{pack.stem}.html" in pages
    for name in COMMANDS:
        assert f'<h2 id="dermalint-{name}">' in pages["docs/commands.html"]
    assert "<table>" in pages["docs/packs/index.html"]


@pytest.mark.parametrize("link", ["nowhere.md", "tutorial.md#nowhere", "#nowhere", "../LICENSE", "javascript:alert(1)"])
def test_a_link_that_leads_nowhere_is_refused(link: str) -> None:
    texts = {"docs/tutorial.md": "# A\n\n## B\n", "docs/x.md": f"# X\n\n[there]({link})\n"}
    if link.startswith("javascript"):  # the reader takes it for text already
        assert '<a href="javascript' not in SITE.site(texts)["docs/x.html"]
        return
    with pytest.raises(SITE.BrokenLink):
        SITE.site(texts)


def test_links_headings_and_html_of_a_source() -> None:
    texts = {
        "README.md": "# One\n\n[two](docs/packs/README.md#b-c) [here](#one)\n\n<script>alert(1)</script>\n",
        "docs/packs/README.md": "# Two\n\n## B `c`\n\n## B `c`\n\n[back](../../README.md)\n",
    }
    shown = SITE.site(texts)
    assert set(shown) == {"index.html", "docs/packs/index.html"}
    assert '<a href="docs/packs/index.html#b-c">two</a> <a href="#one">here</a>' in shown["index.html"]
    assert "<script>" not in shown["index.html"]
    assert '<h2 id="b-c">' in shown["docs/packs/index.html"]
    assert '<h2 id="b-c-1">' in shown["docs/packs/index.html"]
    assert '<a href="../../index.html">back</a>' in shown["docs/packs/index.html"]


def test_manual_pages_say_what_the_help_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1772409600")
    shown: dict[str, str] = MAN.pages()
    assert set(shown) == {"dermalint.1", *(f"dermalint-{name}.1" for name in COMMANDS)}
    assert shown == MAN.pages()
    page = shown["dermalint-review.1"]
    assert page.startswith('.TH "DERMALINT REVIEW" "1" "2026-03-02"')
    assert "    dermalint review courses/ \\-\\-as html \\-\\-to remarks.html\n" in page
    assert "\\fB\\-\\-fail\\-at\\fP avoid|caution|advice|never" in page
    for text in shown.values():
        assert "\b" not in text
        assert CARE.replace("-", "\\-") in text


@pytest.mark.skipif(shutil.which("groff") is None, reason="there is no groff")
def test_manual_pages_are_right_for_the_program_that_shows_them() -> None:
    for name, text in MAN.pages().items():
        done = subprocess.run(
            ["groff", "-man", "-ww", "-Tascii"], input=text.encode("ascii", "ignore"), capture_output=True, check=True
        )
        complaints = [
            line for line in done.stderr.decode().splitlines() if not re.search(r"can't break line|adjust line", line)
        ]
        assert complaints == [], name
