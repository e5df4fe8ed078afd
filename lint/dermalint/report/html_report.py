"""The review as one page of HTML for colleagues: the week as in a notebook, the remarks beside it.

The page asks for nothing over a network: style and script stand in it, and a content security policy lets nothing else in.
It can be read, filtered and printed without the script.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.days import date_in_words, listed
from dermalint.report.html_head import care_footer, head, own_file, sign_sheet
from dermalint.report.html_remarks import Numbered, number_remarks, problem_item, remark_list, set_aside_list, sign
from dermalint.report.html_week import dates, shelf, week
from dermalint.report.markup import Markup, element, joined, raw
from dermalint.report.tally import Tally, count, in_force
from dermalint.report.text_report import summary
from dermalint.verdict.findings import SEVERITIES
from dermalint.verdict.report_model import FileResult, Review


def render(review: Review, tally: Tally | None = None) -> str:
    """The whole page; ``tally`` gives the counts where the review at hand shows less than was found."""
    tally = tally or count(review)
    topics = sorted({finding.topic for file in review.files for finding in file.findings if in_force(finding)})
    paths = list(dict.fromkeys(file.path for file in review.files))
    style = own_file("html_page.css") + _filter_style(topics, paths)
    script = own_file("html_page.js")
    body = element(
        "body",
        {},
        element("a", {"class": "skip", "href": "#regimens"}, "Skip to the regimens"),
        sign_sheet(),
        _header(review, tally),
        _filters(review, topics, paths),
        element("main", {"id": "regimens", "tabindex": "-1"}, *_before(review), *_regimens(review, topics, paths)),
        care_footer(),
        raw("script", script),
    )
    return f"<!doctype html>\n{element('html', {'lang': 'en'}, head(_title(review), style, script), body)}\n"


def _title(review: Review) -> str:
    if len(review.files) == 1:
        return f"Remarks on {review.files[0].regimen or review.files[0].path}"
    return f"Remarks on {len(review.files)} regimens" if review.files else "Remarks"


def _header(review: Review, tally: Tally) -> Markup:
    packs = listed([f"{pack.name} {pack.version}" for pack in review.packs])
    asked = [
        *([f"region {review.region}"] if review.region else []),
        f"{review.stance} stance",
        f"as of {date_in_words(review.as_of)}",
    ]
    judged = f"Judged by {len(review.packs)} rule packs" if packs else "No rule packs were in force, so nothing was judged"
    folded = element("details", {}, element("summary", {}, "Which packs"), element("p", {}, packs)) if packs else Markup("")
    return element(
        "header",
        {},
        element("h1", {}, _title(review)),
        element("p", {"class": "summary"}, summary(tally, count(review).possible)),
        element("p", {"class": "faint"}, " · ".join([judged, *asked])),
        folded,
        *([_contents(review)] if len(review.files) > 1 else []),
    )


def _contents(review: Review) -> Markup:
    items = []
    for number, file in enumerate(review.files):
        counted = sum(in_force(finding) for finding in file.findings)
        said = "not read" if not file.readable else f"{counted} remark{'' if counted == 1 else 's'}"
        link = element("a", {"href": f"#g{number}"}, _name(file))
        items.append(element("li", {}, link, " ", element("span", {"class": "faint"}, said)))
    return element("nav", {"aria-label": "Regimens on this page"}, element("ol", {"class": "contents"}, *items))


def _name(file: FileResult) -> str:
    return (file.regimen or file.path) + (f", for {file.person}" if file.person else "")


def _filter_style(topics: Sequence[str], paths: Sequence[str]) -> str:
    """Rules that hide what a filter leaves out, so that the filters need no script."""
    hide = "{display:none}"
    rules = [f"body:has(#keep-{name}:not(:checked)) .of-{name}{hide}" for name in SEVERITIES]
    rules += [f'body:has(#sure option[value="{name}"]:checked) .is-{other}{hide}' for name, other in _OPPOSITE.items()]
    for kind, values in (("topic", topics), ("file", paths)):
        for number in range(len(values)):
            rules.append(f'body:has(#{kind} option[value="{number}"]:checked) .{kind}:not(.{kind}-{number}){hide}')
    return "\n".join(rules) + "\n"


_OPPOSITE = {"certain": "possible", "possible": "certain"}


def _filters(review: Review, topics: Sequence[str], paths: Sequence[str]) -> Markup:
    if not any(in_force(finding) for file in review.files for finding in file.findings):
        return Markup("")
    boxes = [
        element(
            "label", {"class": f"box {name}"},
            element("input", {"type": "checkbox", "id": f"keep-{name}", "checked": ""}), sign(name), name.capitalize(),
        )
        for name in SEVERITIES
    ]  # fmt: skip
    sure = [("all", "certain and possible"), ("certain", "certain only"), ("possible", "possible only")]
    chosen = [
        _choice("sure", "How sure", sure),
        _choice("topic", "Topic", [("all", "all topics"), *((str(number), topic) for number, topic in enumerate(topics))]),
    ]
    if len(paths) > 1:
        named = [(str(number), path) for number, path in enumerate(paths)]
        chosen.append(_choice("file", "File", [("all", "all files"), *named]))
    return element(
        "form", {"id": "filters", "aria-label": "Which remarks to show", "autocomplete": "off"},
        element("fieldset", {}, element("legend", {}, "Show"), *boxes),
        *chosen,
        element("button", {"type": "reset"}, "Show all"),
        element("p", {"id": "shown", "class": "faint", "role": "status"}),
    )  # fmt: skip


def _choice(name: str, label: str, options: Sequence[tuple[str, str]]) -> Markup:
    shown = [element("option", {"value": value}, said) for value, said in options]
    return element("label", {"class": "choice"}, element("span", {}, label), element("select", {"id": name}, *shown))


def _before(review: Review) -> Iterator[Markup]:
    if review.problems:
        items = [problem_item(problem, review.sources, "") for problem in review.problems]
        inside = [element("h2", {"id": "before"}, "Before any regimen was read"), element("ul", {"class": "problems"}, *items)]
        yield element("section", {"class": "sheet", "aria-labelledby": "before"}, *inside)


def _regimens(review: Review, topics: Sequence[str], paths: Sequence[str]) -> Iterator[Markup]:
    said: set[tuple[str, Problem]] = set()  # what several people of one file share is said once
    for number, file in enumerate(review.files):
        problems = [problem for problem in file.problems if (file.path, problem) not in said]
        said.update((file.path, problem) for problem in problems)
        yield _regimen(number, file, problems, topics, paths.index(file.path))
    if not review.files:
        yield element("p", {"class": "sheet"}, "There is no regimen to show.")


def _regimen(number: int, file: FileResult, problems: Sequence[Problem], topics: Sequence[str], path: int) -> Markup:
    name = f"g{number}"
    about = [file.path, *([f"region {file.region}"] if file.region else [])]
    about += [f"{file.stance} stance"] if file.readable else []
    if file.plan is not None and file.plan.starts:
        about.append(f"starts {date_in_words(file.plan.starts)}")
    numbered = number_remarks(number, file, topics)
    mistakes = [problem for problem in problems if problem.level == ERROR]
    hints = [problem for problem in problems if problem.level != ERROR]
    parts: list[Markup] = []
    if mistakes:
        parts.append(_problems("Mistakes in the file", mistakes, file))
    if not file.readable:
        parts.append(element("p", {}, "This file was not checked."))
    elif file.plan is not None or numbered:
        parts.append(_spread(name, file, numbered))
    if hints:
        parts.append(_problems("Hints on the file", hints, file))
    parts += set_aside_list(file)
    if file.plan is not None:
        parts += shelf(file.plan)
    heading = element("h2", {"id": f"{name}-title"}, _name(file))
    intro = [element("p", {"class": "about"}, file.plan.about)] if file.plan is not None and file.plan.about else []
    return element(
        "section", {"class": f"sheet file file-{path}", "id": name, "aria-labelledby": f"{name}-title"},
        heading, element("p", {"class": "faint path"}, " · ".join(about)), *intro, *parts,
    )  # fmt: skip


def _problems(title: str, problems: Sequence[Problem], file: FileResult) -> Markup:
    items = [problem_item(problem, file.sources, file.path) for problem in problems]
    return joined([element("h3", {}, title), element("ul", {"class": "problems"}, *items)])


def _spread(name: str, file: FileResult, numbered: Sequence[Numbered]) -> Markup:
    shown: list[Markup] = []
    if file.plan is not None:
        inside = [*week(name, file.plan, numbered), *dates(file.plan, numbered)]
        shown.append(element("div", {"class": "week"}, *inside))
    shown.append(remark_list(name, file, numbered))
    return element("div", {"class": "spread" if len(shown) > 1 else "alone"}, *shown)
