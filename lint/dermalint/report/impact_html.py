"""What a change of packs does to regimens, as one page of HTML that asks for nothing over a network and needs no script."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.days import date_in_words, when
from dermalint.report.html_head import care_footer, head, own_file, sign_sheet
from dermalint.report.html_remarks import main_words, paired, problem_item, quoted, sign, small_words
from dermalint.report.impact_report import different_packs, in_numbers
from dermalint.report.markup import Markup, element
from dermalint.report.remarks import marks_of, sentence
from dermalint.verdict.compare import Changed, Impact
from dermalint.verdict.findings import POSSIBLE, Finding
from dermalint.verdict.report_model import FileResult, Review

TITLE = "What the new packs change"

_FATES = ("gained", "changed", "lost")  # what becomes of a finding, in the order of the page


def render(before: Review, after: Review, impacts: Sequence[Impact]) -> str:
    """The whole page: each regimen that gains, loses or sees findings changed; the rest by name."""
    told = [impact for impact in impacts if impact.any or _mistakes(impact.after) or not impact.after.readable]
    style = own_file("html_page.css") + own_file("impact_page.css")
    shown = [_regimen(number, impact) for number, impact in enumerate(told)]
    body = element(
        "body",
        {},
        element("a", {"class": "skip", "href": "#regimens"}, "Skip to the regimens"),
        sign_sheet(),
        _header(before, after, impacts, told),
        *([_filters()] if any(impact.any for impact in told) else []),
        element("main", {"id": "regimens", "tabindex": "-1"}, *_packs(before, after), *shown, *_untouched(impacts, told)),
        care_footer(),
    )
    return f"<!doctype html>\n{element('html', {'lang': 'en'}, head(TITLE, style), body)}\n"


def _header(before: Review, after: Review, impacts: Sequence[Impact], told: Sequence[Impact]) -> Markup:
    asked = [*([f"region {after.region}"] if after.region else []), f"{after.stance} stance"]
    asked.append(f"as of {date_in_words(after.as_of)}")
    packs = different_packs(before, after) or "Packs: the same names and versions on both sides"
    parts = [
        element("h1", {}, TITLE),
        element("p", {"class": "summary"}, in_numbers(impacts)),
        element("p", {}, f"{packs}."),
        element("p", {"class": "faint"}, " · ".join(asked)),
    ]
    if len(told) > 1:
        items = [
            element(
                "li", {}, element("a", {"href": f"#g{number}"}, _name(impact.after)), " ",
                element("span", {"class": "faint"}, _counted(impact)),
            )
            for number, impact in enumerate(told)
        ]  # fmt: skip
        parts.append(element("nav", {"aria-label": "Regimens on this page"}, element("ol", {"class": "contents"}, *items)))
    return element("header", {}, *parts)


def _counted(impact: Impact) -> str:
    counts = [(len(impact.gained), "gained"), (len(impact.changed), "changed"), (len(impact.lost), "lost")]
    return ", ".join(f"{number} {word}" for number, word in counts if number) or "mistakes"


def _name(file: FileResult) -> str:
    return (file.regimen or file.path) + (f", for {file.person}" if file.person else "")


def _filters() -> Markup:
    """Boxes that the style sheet alone obeys."""
    boxes = [
        element("label", {"class": "box"}, element("input", {"type": "checkbox", "id": f"keep-{fate}", "checked": ""}), fate)
        for fate in _FATES
    ]
    legend = element("legend", {}, "Show")
    return element(
        "form", {"id": "filters", "aria-label": "Which findings to show", "autocomplete": "off"},
        element("fieldset", {}, legend, *boxes), element("button", {"type": "reset"}, "Show all"),
    )  # fmt: skip


def _mistakes(file: FileResult) -> list[Problem]:
    return [problem for problem in file.problems if problem.level == ERROR]


def _packs(before: Review, after: Review) -> Iterator[Markup]:
    """What is wrong with packs of either side."""
    for name, title, review in (("before", "With the packs before", before), ("after", "With the packs after", after)):
        errors = [problem for problem in review.problems if problem.level == ERROR]
        if errors:
            items = [problem_item(problem, review.sources, "") for problem in errors]
            heading = element("h2", {"id": f"packs-{name}"}, title)
            listed = element("ul", {"class": "problems"}, *items)
            yield element("section", {"class": "sheet", "aria-labelledby": f"packs-{name}"}, heading, listed)


def _regimen(number: int, impact: Impact) -> Markup:
    file, name = impact.after, f"g{number}"
    about = [file.path, *([f"region {file.region}"] if file.region else [])]
    parts = [element("h2", {"id": f"{name}-title"}, _name(file)), element("p", {"class": "faint path"}, " · ".join(about))]
    errors = _mistakes(file)
    if errors:
        items = [problem_item(problem, file.sources, file.path) for problem in errors]
        parts += [element("h3", {}, "Mistakes in the file"), element("ul", {"class": "problems"}, *items)]
    if not file.readable:
        parts.append(element("p", {}, "This file was not checked."))
    gained = [_remark("gained", finding, file) for finding in impact.gained]
    changed = [_change(change, file) for change in impact.changed]
    lost = [_remark("lost", finding, impact.before) for finding in impact.lost]
    for fate, items in zip(_FATES, (gained, changed, lost), strict=True):
        if items:
            label = f"{name}-{fate}"
            heading = element("h3", {"id": label}, f"{fate.capitalize()} ({len(items)})")
            listed = element("ol", {"class": "remark-list", "aria-labelledby": label}, *items)
            parts.append(element("div", {"class": f"fate {fate}"}, heading, listed))
    return element("section", {"class": "sheet", "id": name, "aria-labelledby": f"{name}-title"}, *parts)


def _remark(fate: str, finding: Finding, file: FileResult) -> Markup:
    """A gained finding with all of it; of a lost one the words alone, as its rule may be gone."""
    parts = [_heading(finding), element("p", {"class": "message"}, finding.message), *_when("When", finding)]
    possible = finding.certainty == POSSIBLE
    if fate == "gained":
        parts.append(paired(main_words(finding, possible)))
    lines = quoted(marks_of(finding), file.sources, file.path)
    summary = element("summary", {}, "The lines, figures and sources")
    parts.append(element("details", {}, summary, *lines, paired(small_words(finding, possible))))
    return element("li", {"class": f"remark {finding.severity}"}, *parts)


def _change(change: Changed, file: FileResult) -> Markup:
    """A finding as it becomes, and beside it what differed before."""
    new, old = change.after, change.before
    parts = [_heading(new), element("p", {"class": "message"}, new.message), *_when("When", new)]
    was = [element("p", {}, element("strong", {}, "Before: "), f"{_weight(old)}: {old.message}")]
    if old.occurs != new.occurs:
        was += _when("Before, when", old)
    parts.append(element("div", {"class": "was"}, *was))
    possible = new.certainty == POSSIBLE
    parts.append(paired(main_words(new, possible)))
    summary = element("summary", {}, "The lines, figures and sources")
    lines = quoted(marks_of(new), file.sources, file.path)
    folded = element("details", {}, summary, *lines, paired(small_words(new, possible)))
    return element("li", {"class": f"remark {new.severity}"}, *parts, folded)


def _heading(finding: Finding) -> Markup:
    maybe = " maybe" if finding.certainty == POSSIBLE else ""
    tag = element("span", {"class": f"tag {finding.severity}{maybe}"}, sign(finding.severity), _weight(finding))
    return element("h4", {}, tag)


def _weight(finding: Finding) -> str:
    return f"Possible {finding.severity}" if finding.certainty == POSSIBLE else finding.severity.capitalize()


def _when(word: str, finding: Finding) -> list[Markup]:
    if not finding.occurs:
        return []
    phases = any(occurrence.phase > 1 for occurrence in finding.occurs)
    hidden = element("span", {"class": "unseen"}, f"{word}: ")
    return [element("p", {"class": "when"}, hidden, sentence(when(finding.occurs, phases)))]


def _untouched(impacts: Sequence[Impact], told: Sequence[Impact]) -> Iterator[Markup]:
    shown = {id(impact) for impact in told}
    rest = [impact.after for impact in impacts if id(impact) not in shown]
    if rest:
        items = [element("li", {}, _name(file), " ", element("span", {"class": "faint path"}, file.path)) for file in rest]
        summary = element("summary", {}, f"Without a difference: {len(rest)}")
        yield element("section", {"class": "sheet"}, element("details", {"class": "aside"}, summary, element("ul", {}, *items)))
    elif not impacts:
        yield element("p", {"class": "sheet"}, "There is no regimen to show.")
