"""Remarks of the HTML page: what is wrong, when, why and what to do, with the lines of the file they are about."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.days import listed, when
from dermalint.report.markup import Markup, element
from dermalint.report.quotes import HERE, Mark
from dermalint.report.remarks import causes, counted_as, marks_of, measured_against, sentence, set_aside
from dermalint.report.tally import in_force
from dermalint.spans import SourceText
from dermalint.verdict.findings import POSSIBLE, Finding
from dermalint.verdict.report_model import FileResult
from dermalint_grammar.record import Record


class Numbered(Record):
    """A finding with its number among the regimen's remarks, its name on the page, and the classes its filters go by."""

    finding: Finding
    number: int
    name: str
    kept: str


def number_remarks(regimen: int, file: FileResult, topics: Sequence[str]) -> list[Numbered]:
    """The findings that count, in the order of the text report: by cause, the most severe first."""
    numbered: list[Numbered] = []
    for together in causes([finding for finding in file.findings if in_force(finding)]):
        for finding in together:
            number = len(numbered) + 1
            sure = "possible" if finding.certainty == POSSIBLE else "certain"
            kept = f"of-{finding.severity} is-{sure} topic topic-{topics.index(finding.topic)}"
            numbered.append(Numbered(finding, number, f"g{regimen}-{number}", kept))
    return numbered


def label(remark: Numbered) -> list[Markup | str]:
    """``Caution 2`` with its sign; a possible one has a question mark, and says so to those who do not see it."""
    finding = remark.finding
    word = finding.severity.capitalize()
    if finding.certainty == POSSIBLE:
        hidden = element("span", {"class": "unseen"}, "possible ")
        return [sign(finding.severity), hidden, word, element("span", {"aria-hidden": "true"}, "?"), f" {remark.number}"]
    return [sign(finding.severity), f"{word} {remark.number}"]


def sign(severity: str) -> Markup:
    """The drawing of a severity; the word stands beside it."""
    use = element("use", {"href": f"#sign-{severity}"})
    return element("svg", {"class": "sign", "viewBox": "0 0 16 16", "aria-hidden": "true", "focusable": "false"}, use)


def remark_list(name: str, file: FileResult, numbered: Sequence[Numbered]) -> Markup:
    """All remarks on a regimen."""
    heading = element("h3", {"id": f"{name}-remarks"}, "Remarks")
    if not numbered:
        mistaken = any(problem.level == ERROR for problem in file.problems)
        said = "None. What the mistakes concern was not checked." if mistaken else "No rule in force was broken."
        none = element("p", {}, said)
        return element("div", {"class": "remarks"}, heading, none)
    phases = any(occurrence.phase > 1 for finding in file.findings for occurrence in finding.occurs)
    items = [_remark(remark, file, phases) for remark in numbered]
    none_fits = element("p", {"class": "none-fits", "hidden": ""}, "No remark on this regimen fits the filters.")
    listing = element("ol", {"class": "remark-list", "aria-labelledby": f"{name}-remarks"}, *items)
    return element("div", {"class": "remarks"}, heading, none_fits, listing)


def _remark(remark: Numbered, file: FileResult, phases: bool) -> Markup:
    finding = remark.finding
    possible = finding.certainty == POSSIBLE
    said = f"Possibly: {finding.message}" if possible else finding.message
    parts = [
        element("h4", {}, element("span", {"class": f"tag {finding.severity}{' maybe' if possible else ''}"}, *label(remark))),
        element("p", {"class": "message"}, said),
    ]
    if finding.occurs:
        parts.append(element("p", {"class": "when"}, sentence(when(finding.occurs, phases))))
    parts.append(paired(main_words(finding, possible)))
    details = [*quoted(marks_of(finding), file.sources, file.path), paired(small_words(finding, possible))]
    parts.append(element("details", {}, element("summary", {}, "The lines, figures and sources"), *details))
    return element("li", {"class": f"remark {finding.severity} {remark.kept}", "id": remark.name, "tabindex": "-1"}, *parts)


def main_words(finding: Finding, possible: bool) -> Iterator[tuple[str, str]]:
    """What a reader needs of a finding beside its message and its days."""
    if possible:
        yield "Depends on", sentence(listed(finding.unknown or ("what the file does not say",)))
    yield "What to do", finding.advise
    for mend in finding.mends:
        yield "To mend", mend.say
    yield "Why", finding.why
    yield "Other view", finding.disputed or ""


def small_words(finding: Finding, possible: bool) -> Iterator[tuple[str, str]]:
    """What stands folded below it: figures, sources, the rule."""
    measured = finding.measured
    if measured is not None and (measured.value is None or math.isfinite(measured.value)):
        yield measured_against(measured, possible)
    if finding.matched:
        yield "counted as", counted_as(finding)
    for source in finding.sources:
        yield "source", source
    yield "topic", finding.topic
    yield "rule", finding.rule


def paired(pairs: Iterator[tuple[str, str]]) -> Markup:
    """Words with what they stand before; a word that comes again is written once, and one before nothing not at all."""
    told: dict[str, list[str]] = {}
    for word, text in pairs:
        if text:
            told.setdefault(word[:1].upper() + word[1:], []).append(text)
    return described(told)


def described(told: Mapping[str, Sequence[str]]) -> Markup:
    """A list of words, each with one or more texts."""
    groups = [
        element("div", {}, element("dt", {}, word), " ", *(element("dd", {}, text) for text in texts))
        for word, texts in told.items()
    ]
    return element("dl", {}, *groups) if groups else Markup("")


def quoted(marks: Sequence[Mark], sources: Mapping[str, SourceText], own: str) -> Iterator[Markup]:
    """The lines that marks point into, file by file, with the marked words in ``mark``."""
    for path in dict.fromkeys([own, *(mark.place.path or own for mark in marks)]):
        source = sources.get(path)
        here = [mark for mark in marks if (mark.place.path or own) == path]
        if source is None or not here:
            continue
        lines: dict[int, list[Mark]] = {}
        for mark in sorted(here, key=lambda mark: (mark.place.start, mark.place.end)):
            lines.setdefault(source.position(mark.place.start).line, []).append(mark)
        rows = []
        for line, of in lines.items():
            number = element("span", {"class": "faint line"}, f"line {line}")
            rows.append(element("li", {}, number, element("code", {}, *_line(source, line, of))))
        if path != own:
            yield element("p", {"class": "faint path"}, f"in {path}")
        yield element("ul", {"class": "quote"}, *rows)


def _line(source: SourceText, line: int, marks: Sequence[Mark]) -> Iterator[Markup | str]:
    """A line in pieces; a mark that begins inside another one is left out, its note is not."""
    text = source.line_text(line)
    at = len(text) - len(text.lstrip())
    notes: list[str] = []
    for mark in marks:
        begin, finish = source.position(mark.place.start), source.position(mark.place.end)
        start = begin.column - 1
        end = len(text) if finish.line > line else finish.column - 1
        notes += [mark.note] if mark.note else []
        if start >= at and end > start:
            yield text[at:start]
            yield element("mark", {"class": "here" if mark.sign == HERE else "also"}, text[start:end])
            at = end
    yield text[at:]
    if notes:
        yield element("span", {"class": "note"}, "; ".join(notes))


def problem_item(problem: Problem, sources: Mapping[str, SourceText], own: str) -> Markup:
    """A mistake or a hint; ``own`` is the path of the file spoken of (empty: none)."""
    error = problem.level == ERROR
    word = element("strong", {"class": "tag avoid" if error else "tag advice"}, "Mistake" if error else "Hint")
    parts = [element("p", {}, word, " ", problem.message)]
    if problem.place is not None:
        if (problem.place.path or own) in sources:
            parts += quoted([Mark(problem.place, HERE)], sources, own)
        elif problem.place.path:
            parts.append(element("p", {"class": "faint path"}, f"in {problem.place.path}"))
    named = [("Try", problem.suggestion), ("Pack", problem.pack), ("Plugin", problem.plugin)]
    parts.append(paired((name, text or "") for name, text in named))
    return element("li", {}, *parts)


def set_aside_list(file: FileResult) -> list[Markup]:
    """Waived and suspended findings, folded."""
    aside = [finding for finding in file.findings if not in_force(finding)]
    if not aside:
        return []
    items = [element("li", {}, set_aside(finding, file)) for finding in aside]
    summary = element("summary", {}, f"Set aside: {len(aside)}")
    return [element("details", {"class": "aside"}, summary, element("ul", {}, *items))]
