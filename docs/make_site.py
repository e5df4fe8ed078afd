"""Write `build/site/`: the guides, the reference, the packs and each command's help as a site of plain HTML files.

Run by `make docs`.  The pages are made from the Markdown files that are read in the repository as well, and from the commands
themselves, so there is one source.  They need no server, no script and no network, and no link may lead nowhere.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterable, Sequence
from pathlib import Path, PurePosixPath

import click
from markdown_it import MarkdownIt
from markdown_it.token import Token

from dermalint.cli.main import COMMANDS, build
from dermalint.report.html_head import care_footer, head, own_file
from dermalint.report.markup import Markup, element

PROJECT = Path(__file__).resolve().parents[1]
FOLDER = PROJECT / "build" / "site"
REFERENCE = "grammar/dermalint_grammar/reference.md"
FIRST = ("README.md", "docs/tutorial.md", REFERENCE)  # in this order in the list of pages; then the guides by name
LAST = ("docs/packs/README.md", "CHANGELOG.md", "DEVELOPERS.md")
COMMANDS_PAGE = "docs/commands.md"  # written by no hand
SHOWN = "docs/handouts/"  # hand-outs as the program wrote them: copied as they are
_REMARK = re.compile(r"\A<!--.*?-->\s*", re.DOTALL)
_NO_LETTER = re.compile(r"[^\w\- ]")


class BrokenLink(Exception):
    """A link that leads nowhere."""


def sources() -> dict[str, str]:
    """The Markdown of every page by its path in the project, in the order of the list of pages."""
    guides = sorted(path.relative_to(PROJECT).as_posix() for path in (PROJECT / "docs").glob("*.md"))
    packs = sorted(path.relative_to(PROJECT).as_posix() for path in (PROJECT / "docs" / "packs").glob("*.md"))
    names = dict.fromkeys((*FIRST, *guides, COMMANDS_PAGE, *LAST, *packs))
    return {name: _commands() if name == COMMANDS_PAGE else _text(PROJECT / name) for name in names}


def _text(path: Path) -> str:
    """A file's text without the remark at the top of what a program wrote."""
    return _REMARK.sub("", path.read_text(encoding="utf-8"))


def _commands() -> str:
    """Each command's help, as it is shown in a terminal of 80 columns."""
    group = build()
    context = click.Context(group, info_name="dermalint", terminal_width=80)
    parts = ["# All commands", "", "```text", group.get_help(context), "```"]
    for name in COMMANDS:
        command = group.get_command(context, name)
        assert command is not None
        inner = click.Context(command, info_name=name, parent=context, terminal_width=80)
        parts += ["", f"## dermalint {name}", "", "```text", command.get_help(inner), "```"]
    return "\n".join(parts) + "\n"


def site(texts: dict[str, str]) -> dict[str, str]:
    """The pages by their paths in the site.  Raises :class:`BrokenLink`."""
    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    parsed = {name: reader.parse(text) for name, text in texts.items()}
    anchors = {name: _name_headings(tokens) for name, tokens in parsed.items()}
    anchors |= {name: set() for name in handouts()}
    titles = {name: _title(tokens) for name, tokens in parsed.items()}
    for name, tokens in parsed.items():
        _turn_links(name, tokens, anchors)
    style = own_file("html_page.css") + (Path(__file__).with_name("site.css")).read_text(encoding="utf-8")
    shown = {}
    for name, tokens in parsed.items():
        # What the reader made is HTML from its escaped text: raw HTML of a source is shown, not taken over.
        content = Markup(reader.renderer.render(tokens, reader.options, {}))
        body = element(
            "body",
            {},
            element("a", {"class": "skip", "href": "#text"}, "Skip to the text"),
            _list_of_pages(name, titles),
            element("main", {"class": "sheet prose", "id": "text", "tabindex": "-1"}, content),
            care_footer(),
        )
        shown[target(name)] = f"<!doctype html>\n{element('html', {'lang': 'en'}, head(titles[name], style), body)}\n"
    return shown


def handouts() -> list[str]:
    """The example hand-outs, by their paths in the project."""
    return sorted(path.relative_to(PROJECT).as_posix() for path in (PROJECT / SHOWN).iterdir())


def target(name: str) -> str:
    """Where the page of a Markdown file, or an example hand-out, is in the site."""
    if name.startswith(SHOWN):
        return name
    path = PurePosixPath(name)
    return str(path.with_name("index.html") if path.name == "README.md" else path.with_suffix(".html"))


def _name_headings(tokens: Iterable[Token]) -> set[str]:
    """Names of the headings, which links go by; one that comes again is numbered, as on the usual code hosts."""
    names: set[str] = set()
    open_: Token | None = None
    for token in tokens:
        if token.type == "heading_open":
            open_ = token
        elif open_ is not None and token.type == "inline":
            plain = _NO_LETTER.sub("", _words(token).lower()).replace(" ", "-")
            name, again = plain, 0
            while name in names:
                again += 1
                name = f"{plain}-{again}"
            names.add(name)
            open_.attrSet("id", name)
            open_ = None
    return names


def _words(inline: Token) -> str:
    return "".join(child.content for child in inline.children or () if child.type in ("text", "code_inline"))


def _title(tokens: Sequence[Token]) -> str:
    for number, token in enumerate(tokens):
        if token.type == "heading_open":
            return _words(tokens[number + 1])
    raise ValueError("a page without a heading")


def _turn_links(name: str, tokens: Iterable[Token], anchors: dict[str, set[str]]) -> None:
    """Let links to Markdown files lead to their pages."""
    for token in tokens:
        for child in token.children or ():
            if child.type != "link_open":
                continue
            written = str(child.attrs["href"])
            path, _, anchor = written.partition("#")
            there = os.path.normpath(os.path.join(os.path.dirname(name), path)) if path else name  # noqa: PTH118, PTH120
            if there not in anchors or (anchor and anchor not in anchors[there]):
                raise BrokenLink(f"{name}: the link to {written} leads nowhere.")
            child.attrSet("href", _from(name, there) + (f"#{anchor}" if anchor else "") if path else written)


def _from(name: str, there: str) -> str:
    return os.path.relpath(target(there), os.path.dirname(target(name)) or ".")  # noqa: PTH120


def _list_of_pages(here: str, titles: dict[str, str]) -> Markup:
    items = []
    for name, title in titles.items():
        if name.startswith("docs/packs/") and name not in LAST:
            continue  # they are listed on the page of the packs
        current = {"aria-current": "page"} if name == here else {}
        items.append(element("li", {}, element("a", {"href": _from(here, name), **current}, title)))
    return element("nav", {"aria-label": "Pages", "class": "pages"}, element("ul", {"class": "contents"}, *items))


def main() -> None:
    """Writes the site."""
    shown = site(sources())
    for name, text in shown.items():
        path = FOLDER / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    for name in handouts():
        (FOLDER / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(PROJECT / name, FOLDER / name)
    print(f"{len(shown)} pages in {FOLDER}; the first: {FOLDER / 'index.html'}")


if __name__ == "__main__":
    main()
