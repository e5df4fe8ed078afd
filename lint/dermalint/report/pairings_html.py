"""The grid of pairings as one page of HTML that asks for nothing over a network and needs no script."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dermalint.pairings.model import TOGETHER, Grid, Pairing, Reason
from dermalint.report.days import date_in_words, listed
from dermalint.report.html_head import care_footer, head, own_file
from dermalint.report.markup import Markup, element
from dermalint.report.pairings_report import LEGEND, Setting, depends_on, gravest, kept_apart, mark, said, title_of
from dermalint.verdict.findings import CERTAIN


def render(grid: Grid, setting: Setting) -> str:
    """The whole page: the grid, its signs in words, and each pair that a rule speaks of with its reasons."""
    style = own_file("html_page.css") + own_file("pairings_page.css")
    title = title_of(grid)
    body = element(
        "body",
        {},
        element("a", {"class": "skip", "href": "#pairs"}, "Skip to the pairs in words"),
        _header(title, grid, setting),
        element("main", {}, element("section", {"class": "sheet"}, *_table(grid)), _list(grid)),
        care_footer(),
    )
    return f"<!doctype html>\n{element('html', {'lang': 'en'}, head(title, style), body)}\n"


def _header(title: str, grid: Grid, setting: Setting) -> Markup:
    apart = len(kept_apart(grid))
    asked = [*([f"region {setting.region}"] if setting.region else []), f"{setting.stance} stance"]
    asked.append(f"as of {date_in_words(setting.as_of)}")
    packs = listed([f"{name} {version}" for name, version in setting.packs])
    return element(
        "header",
        {},
        element("h1", {}, title),
        element("p", {"class": "summary"}, f"{apart} of {len(grid.pairings)} pairs have a rule between them."),
        element("p", {"class": "faint"}, "Where no rule speaks, none was written: that is no promise."),
        element("p", {"class": "faint"}, " · ".join([f"Judged by {len(setting.packs)} rule packs", *asked])),
        element("details", {}, element("summary", {}, "Which packs"), element("p", {}, packs or "None")),
    )


def _table(grid: Grid) -> Iterator[Markup]:
    by_pair = {frozenset((pairing.one.name, pairing.other.name)): pairing for pairing in grid.pairings}
    numbers = {id(pairing): number for number, pairing in enumerate(kept_apart(grid), start=1)}
    heads = [element("th", {"scope": "col"}, element("span", {}, subject.title)) for subject in grid.subjects]
    rows = []
    for row in grid.subjects:
        cells = [_cell(by_pair.get(frozenset((row.name, column.name))), row.name, numbers) for column in grid.subjects]
        rows.append(element("tr", {}, element("th", {"scope": "row"}, row.title), *cells))
    corner = element("td", {"class": "same"}, element("span", {"class": "unseen"}, "Row and column"))
    table = element(
        "table",
        {"class": "grid"},
        element("caption", {"class": "unseen"}, "How each two are used"),
        element("thead", {}, element("tr", {}, corner, *heads)),
        element("tbody", {}, *rows),
    )
    frame = {"class": "frame", "tabindex": "0", "role": "region", "aria-label": "Grid of pairings"}
    yield element("div", frame, table)
    yield element("ul", {"class": "legend"}, *(element("li", {}, element("b", {}, sign), " ", meant) for sign, meant in LEGEND))


def _cell(pairing: Pairing | None, row: str, numbers: dict[int, int]) -> Markup:
    if pairing is None:
        return element("td", {"class": "same"})
    number = numbers.get(id(pairing))
    if number is None:
        return element("td", {}, element("span", {"aria-hidden": "true"}, "·"), element("span", {"class": "unseen"}, "no rule"))
    ruling = pairing.some if pairing.ruling.kind == TOGETHER and pairing.some else pairing.ruling
    words = ("perhaps " if pairing.some and pairing.ruling.kind == TOGETHER else "") + said(ruling, pairing)
    link = element("a", {"href": f"#pair-{number}", "aria-label": words, "title": words}, mark(pairing, row))
    return element("td", {"class": gravest(pairing)}, link)


def _list(grid: Grid) -> Markup:
    pairs = kept_apart(grid)
    shown = [_pair(number, pairing, grid.regimen is not None) for number, pairing in enumerate(pairs, start=1)]
    heading = element("h2", {"id": "pairs"}, "The pairs in words")
    return element("section", {"class": "sheet", "aria-labelledby": "pairs"}, heading, *shown)


def _pair(number: int, pairing: Pairing, names_products: bool) -> Markup:
    grave = gravest(pairing)
    parts = [element("h3", {}, f"{pairing.one.title} and {pairing.other.title}")]
    tag = element("span", {"class": f"tag {grave}"}, grave.capitalize())
    if pairing.ruling.kind != TOGETHER:
        parts.append(element("p", {"class": "message"}, tag, " ", said(pairing.ruling, pairing).capitalize(), "."))
        parts += _reasons(pairing.ruling.reasons)
    if pairing.some is not None:
        of_all = pairing.ruling.kind == TOGETHER
        who = "Perhaps" if of_all or names_products else "Some of them perhaps"
        parts.append(
            element("p", {"class": "message"}, *((tag, " ") if of_all else ()), f"{who} {said(pairing.some, pairing)}.")
        )
        unknown = depends_on([reason for reason in pairing.some.reasons if reason.certainty != CERTAIN])
        if unknown:
            parts.append(element("p", {"class": "faint"}, f"This depends on {unknown}."))
        parts += _reasons([reason for reason in pairing.some.reasons if reason not in pairing.ruling.reasons])
    return element("article", {"class": f"pair remark {grave}", "id": f"pair-{number}", "tabindex": "-1"}, *parts)


def _reasons(reasons: Sequence[Reason]) -> list[Markup]:
    return [element("p", {}, reason.why, " ", element("span", {"class": "faint"}, f"({reason.rule})")) for reason in reasons]
