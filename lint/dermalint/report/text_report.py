"""The review as a person reads it: remarks beside the lines they are about, as a teacher writes them in the margin.

A margin on the left says in a word what each line is (``Caution``, ``line 31``, ``when``, ``why``); the rule beside it runs
down through everything that belongs to one cause.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.days import date_in_words, listed, when
from dermalint.report.page import Page, tame, wrap
from dermalint.report.quotes import HERE, Mark, quote
from dermalint.report.remarks import CARE, causes, counted_as, marks_of, measured_against, sentence, set_aside
from dermalint.report.tally import Tally, count, in_force, unsaid
from dermalint.spans import SourceText
from dermalint.verdict.findings import POSSIBLE, Finding
from dermalint.verdict.report_model import FileResult, Review

_PACKS_NAMED = 4  # with more of them in force, their number says enough


def render(review: Review, page: Page | None = None, tally: Tally | None = None) -> str:
    """The whole report, ending with the caution.

    ``tally`` gives the counts where the review at hand shows less than was found (``--possible hide``).
    """
    return "".join(pieces(review, page or Page(), tally))


def pieces(review: Review, page: Page, tally: Tally | None = None) -> Iterator[str]:
    """The same text piece by piece, so that of very many files only one is in memory."""
    if review.problems:
        lines = [page.paint("Before any regimen was read", "title"), *ruled(page)]
        for problem in review.problems:
            lines += [*problem_note(page, problem, review.sources, ""), ""]
        yield page.finish(lines)
    path, said = None, set[Problem]()  # what several people of one file share is said once
    possible = 0
    for result in review.files:
        if result.path != path:
            path, said = result.path, set()
        problems = list(unsaid(result.problems, said))
        possible += sum(in_force(finding) and finding.certainty == POSSIBLE for finding in result.findings)
        if problems or result.findings or not result.readable:
            yield page.finish(list(_file(page, result, problems)))
    yield page.finish([*_closing(page, review, tally or count(review), possible), *care(page)])


def care(page: Page) -> Iterator[str]:
    """The caution that ends everything a person reads."""
    yield from wrap(CARE, page.width)


def _file(page: Page, result: FileResult, problems: Sequence[Problem]) -> Iterator[str]:
    title = result.regimen or result.path
    if result.person:
        title += f", for {result.person}"
    for line in wrap(title, page.width):
        yield page.paint(line, "title")
    about = [f"region {result.region}"] if result.region else []
    about += [f"{result.stance} stance"] if result.readable else []
    yield from ruled(page, " · ".join([result.path, *about] if result.regimen else about))
    for problem in (problem for problem in problems if problem.level == ERROR):
        yield from problem_note(page, problem, result.sources, result.path)
        yield ""
    if not result.readable:
        yield from page.note("Not read", "This file was not checked.", "avoid")
        yield ""
        return
    phases = any(occurrence.phase > 1 for finding in result.findings for occurrence in finding.occurs)
    for together in causes([finding for finding in result.findings if in_force(finding)]):
        quoted: set[Mark] = set()
        for number, finding in enumerate(together):
            if number:
                yield page.row("")
            yield from _finding(page, finding, result, phases, quoted)
        yield ""
    for problem in (problem for problem in problems if problem.level != ERROR):
        yield from problem_note(page, problem, result.sources, result.path)
        yield ""
    aside = [finding for finding in result.findings if not in_force(finding)]
    for number, finding in enumerate(aside):
        yield from page.note("" if number else "Set aside", set_aside(finding, result), body="faint")
    if aside:
        yield ""


def ruled(page: Page, text: str = "") -> Iterator[str]:
    """A line across the page, below a faint text."""
    if text:
        for line in wrap(text, page.width):
            yield page.paint(line, "faint")
    yield page.paint("─" * page.width, "faint")


def _finding(page: Page, finding: Finding, result: FileResult, phases: bool, quoted: set[Mark]) -> Iterator[str]:
    possible = finding.certainty == POSSIBLE
    said = f"Possibly: {finding.message}" if possible else finding.message
    yield from page.note(finding.severity.capitalize(), said, finding.severity, "title")
    if possible:
        unknown = listed(finding.unknown or ("what the file does not say",))
        yield from page.note("unknown", f"This depends on {unknown}.")
    marks = marks_of(finding)
    if not quoted.issuperset(marks):  # the second finding of one cause need not quote the same lines again
        quoted.update(marks)
        yield from quote(page, marks, result.sources, result.path)
    if finding.occurs:
        yield from page.note("when", sentence(when(finding.occurs, phases)))
    if finding.measured:
        label, said = measured_against(finding.measured, possible)
        yield from page.note(label, said)
    if finding.matched:
        yield from page.note("counted as", counted_as(finding))
    if finding.why:
        yield from page.note("why", finding.why)
    if finding.advise:
        yield from page.note("what to do", finding.advise)
    for number, mend in enumerate(finding.mends):
        yield from page.note("" if number else "to mend", mend.say)
    if finding.disputed:
        yield from page.note("other view", finding.disputed)
    for number, source in enumerate(finding.sources):
        yield from page.note("" if number else "source", source, body="faint")
    yield from page.note("rule", finding.rule, body="faint")


def problem_note(page: Page, problem: Problem, sources: Mapping[str, SourceText], own: str) -> Iterator[str]:
    """A mistake or a hint at its place; ``own`` is the path of the text that is spoken of anyway (empty: none)."""
    error = problem.level == ERROR
    label, colour, body = ("Mistake", "avoid", "title") if error else ("Hint", "advice", "")
    yield from page.note(label, problem.message, colour, body)
    if problem.place is not None:
        if (problem.place.path or own) in sources:
            yield from quote(page, [Mark(problem.place, HERE)], sources, own)
        elif problem.place.path:
            yield from page.note("in", problem.place.path)
    if problem.suggestion:
        yield from page.note("try", problem.suggestion)
    if problem.pack:
        yield from page.note("pack", problem.pack)
    if problem.plugin:
        yield from page.note("plugin", problem.plugin)


def _closing(page: Page, review: Review, tally: Tally, possible_shown: int) -> Iterator[str]:
    yield from (page.paint(line, "title") for line in wrap(summary(tally, possible_shown), page.width))
    packs = listed([f"{pack.name} {pack.version}" for pack in review.packs])
    if len(review.packs) > _PACKS_NAMED:
        packs = f"{len(review.packs)} rule packs"
    asked = [
        f"Judged by {packs}" if packs else "No rule packs were in force, so nothing was judged",
        *([f"region {review.region}"] if review.region else []),
        f"{review.stance} stance",
        f"as of {date_in_words(review.as_of)}",
    ]
    yield from (page.paint(line, "faint") for line in wrap(tame(" · ".join(asked)), page.width))
    yield ""


def summary(tally: Tally, possible_shown: int | None = None) -> str:
    """The closing line: how many files, what was found; never that anything is safe."""
    if not tally.files:
        return "No regimen file was found."
    read = tally.files - tally.unreadable
    parts = [f"{_many(read, 'file')} read"]
    parts += [f"{tally.unreadable} could not be read"] if tally.unreadable else []
    found = [
        *([f"{tally.avoid} to avoid"] if tally.avoid else []),
        *([_many(tally.caution, "caution")] if tally.caution else []),
        *([f"{_many(tally.advice, 'piece')} of advice"] if tally.advice else []),
        *([f"{tally.possible} possible" + _hidden(tally, possible_shown)] if tally.possible else []),
    ]
    found = found or (["no rule in force was broken"] if read and not tally.errors else [])
    found += [_many(tally.errors, "mistake")] if tally.errors else []
    found += [_many(tally.hints, "hint")] if tally.hints else []
    found += [f"{tally.waived} waived"] if tally.waived else []
    found += [f"{tally.suspended} suspended"] if tally.suspended else []
    return ", ".join(parts) + (f": {', '.join(found)}." if found else ".")


def _hidden(tally: Tally, shown: int | None) -> str:
    return "" if shown is None or shown == tally.possible else f" ({tally.possible - shown} not shown)"


def _many(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def written(page: Page, path: str, tally: Tally) -> str:
    """What is said on the screen when the report itself went to a file."""
    said = f"The report is in {path}. {summary(tally)}"
    return page.finish([*wrap(said, page.width), "", *care(page)])
