"""The grid of pairings as one page of HTML: signs that read without colour, each with its sentence, rule and reason."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.pairings.grid import Grid, Pairing
from dermalint.pairings.probe import STRICTNESS, TOGETHER
from dermalint.report.html_head import care_footer, head, own_file
from dermalint.report.markup import Markup, element
from dermalint.report.pairings_report import SIGNS, sign_at


def render(grid: Grid, about: str) -> str:
    """The whole page; ``about`` says what was asked: packs, region, stance, date."""
    titles = {subject.key: subject.title for subject in grid.subjects}
    apart = [one for one in grid.pairings if one.apart.how != TOGETHER]
    apart.sort(key=lambda one: -STRICTNESS.index(one.apart.how))
    body = element(
        "body",
        {},
        element("h1", {}, "What goes together"),
        element("p", {"class": "small"}, about),
        element("main", {}, _table(grid, titles), _signs(), element("h2", {}, "Why"), *_reasons(apart, titles)),
        care_footer(),
    )
    page_head = head("What goes together", own_file("pairings.css"))
    return f"<!doctype html>\n{element('html', {'lang': 'en'}, page_head, body)}\n"


def _table(grid: Grid, titles: dict[str, str]) -> Markup:
    columns = [element("th", {"scope": "col"}, element("span", {}, subject.title)) for subject in grid.subjects]
    rows = []
    for row in grid.subjects:
        cells = [_cell(grid, row.key, column.key, titles) for column in grid.subjects]
        rows.append(element("tr", {}, element("th", {"scope": "row"}, row.title), *cells))
    number = sum(one.apart.how == TOGETHER for one in grid.pairings)
    caption = (
        f"{number} of {len(grid.pairings)} pairs are objected to by no rule about two products. "
        "That no rule objects does not say that it does any good."
    )
    table = element(
        "table", {}, element("caption", {}, caption),
        element("thead", {}, element("tr", {}, element("td", {}), *columns)), element("tbody", {}, *rows),
    )  # fmt: skip
    return element("div", {"class": "grid", "tabindex": "0", "role": "region", "aria-label": "The grid"}, table)


def _cell(grid: Grid, row: str, column: str, titles: dict[str, str]) -> Markup:
    if row == column:
        return element("td", {"class": "own"}, element("span", {"aria-label": "itself"}, ""))
    found = grid.find(row, column)
    assert found is not None
    pairing, _ = found
    sign = sign_at(grid, row, column)
    if pairing.apart.how == TOGETHER:
        return element("td", {"class": "near", "title": f"{titles[row]} and {titles[column]}: together"}, sign)
    say = pairing.in_words(titles[pairing.first], titles[pairing.second])
    link = element("a", {"href": f"#{_anchor(pairing)}"}, sign)
    return element("td", {"class": "apart", "title": f"{titles[pairing.first]} and {titles[pairing.second]} {say}"}, link)


def _anchor(pairing: Pairing) -> str:
    return f"{pairing.first}--{pairing.second}"


def _signs() -> Markup:
    pairs = [part for sign, words in SIGNS for part in (element("dt", {}, sign), element("dd", {}, words))]
    return element("section", {}, element("h2", {}, "Signs"), element("dl", {"class": "signs"}, *pairs))


def _reasons(apart: list[Pairing], titles: dict[str, str]) -> Iterator[Markup]:
    for pairing in apart:
        one, two = titles[pairing.first], titles[pairing.second]
        parts = [element("h3", {}, pairing.sentence(one, two))]
        shown = " with ".join(pairing.example)
        more = " Other products of these may be nearer." if pairing.differs else ""
        parts.append(element("p", {"class": "small"}, f"Found with {shown}.{more}"))
        for reason in pairing.reasons:
            parts.append(
                element("p", {}, element("strong", {}, reason.severity.capitalize()), f": {reason.why or reason.message}")
            )
            parts.append(element("p", {"class": "small"}, "Rule ", element("code", {}, reason.rule), f". {reason.message}"))
            if reason.advise:
                parts.append(element("p", {"class": "small"}, reason.advise))
            if reason.disputed:
                parts.append(element("p", {"class": "small"}, f"Another view: {reason.disputed}"))
        yield element("article", {"id": _anchor(pairing)}, *parts)
