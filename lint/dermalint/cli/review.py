"""``dermalint review``: check regimen files and say what the rules find."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, calendar_date, from_one_on, one_of
from dermalint.cli.plugin_choice import check_report_name, chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.report.tally import Tally
    from dermalint.verdict.report_model import Review

FORMATS = ("text", "json", "sarif", "html", "fhir")

HELP = """Check regimen files and say what the rules find.

PATH is a regimen file, or a folder that is searched for files named *.regimen.yaml (.yml, .json, .toml).

\b
One file:
    dermalint review calm.regimen.yaml
All files below a folder, with the house's own rules beside the shipped ones:
    dermalint review courses/ --packs house-rules/
Only what one pack says, judged strictly, as the law stands in the EU on a day:
    dermalint review calm.regimen.yaml --only acids --stance strict --region eu --as-of 2027-06-01
A document for another program:
    dermalint review courses/ --as json --to findings.json
A page for colleagues, to be opened in a browser or printed:
    dermalint review courses/ --as html --to remarks.html

\b
Exit status: 0 nothing to object to, 1 findings, 2 something could not be read or the call was wrong,
3 a fault inside dermalint or a plugin.
"""


@click.command("review", help=HELP, short_help="Check regimen files and say what the rules find.")
@click.argument("paths", metavar="PATH...", nargs=-1)
@click.option(
    "--as",
    "format_",
    default="text",
    metavar="|".join(FORMATS),
    help="For people (text, as usual, or an html page) or for programs (json, sarif 2.1.0, HL7 fhir R4), or a plugin's format.",
)
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE", help="Write the report to a file.")
@click.option(
    "--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More rule packs: a file or a folder."
)
@click.option("--only", multiple=True, metavar="NAME", help="Only this rule or pack; may be given several times.")
@click.option("--without", multiple=True, metavar="NAME", help="Not this rule or pack; may be given several times.")
@click.option("--stance", callback=one_of("usual", "strict"), metavar="usual|strict", help="How strictly to judge.")
@click.option("--region", metavar="NAME", help="The region to judge for, such as eu.")
@click.option(
    "--as-of", callback=calendar_date, metavar="DATE", help="Judge law, shelf dates and waivers on this date, not today's."
)
@click.option(
    "--fail-at",
    callback=one_of("avoid", "caution", "advice", "never"),
    default="caution",
    metavar="avoid|caution|advice|never",
    help="From which severity on a finding gives exit status 1 (caution, as usual).",
)
@click.option(
    "--possible",
    callback=one_of("show", "hide", "fail"),
    default="show",
    metavar="show|hide|fail",
    help="Findings that depend on what a file does not say: show them (as usual), hide them, or let them fail too.",
)
@click.option(
    "--jobs", callback=from_one_on, default="1", metavar="N", help="How many processes share the files (one, as usual)."
)
@plugin_options
@click.option("--quiet", is_flag=True, help="Text: only mistakes and what fails, and nothing at all when all is well.")
def command(
    paths: Sequence[str],
    format_: str,
    to: Path | None,
    packs: Sequence[Path],
    only: Sequence[str],
    without: Sequence[str],
    stance: str | None,
    region: str | None,
    as_of: date | None,
    fail_at: str,
    possible: str,
    jobs: int,
    without_plugins: bool,
    only_plugins: Sequence[str],
    quiet: bool,
) -> int:
    """Check the files, print the report, and return the exit status."""
    if not paths:
        raise WrongCall(
            "Which file or folder is to be reviewed?",
            "For instance: dermalint review calm.regimen.yaml",
            click.get_current_context(),
        )
    plugins = chosen_plugins(without_plugins, only_plugins)
    if format_ not in FORMATS:
        check_report_name(format_, FORMATS, plugins)
    if only or without or region:  # names are looked up only for those who give some
        from dermalint.cli.names import check_region, full_names
        from dermalint.packs.load import load_packs
        from dermalint.plugins.catalogue import read_catalogue
        from dermalint.plugins.installed import Installed

        known = load_packs(packs, plugins=Installed(partial(read_catalogue, plugins)))
        only = full_names("--only", only, known)
        without = full_names("--without", without, known)
        if region:
            check_region(region, known)
    from dermalint.review import Asked, review_paths

    asked = Asked(
        packs=tuple(packs),
        only=tuple(only),
        without=tuple(without),
        stance=stance,
        region=region,
        as_of=as_of,
        jobs=jobs,
        plan=format_ not in FORMATS or format_ == "html",
        plugins=plugins,
    )
    review = review_paths(paths, asked)
    if format_ not in FORMATS:
        return _report_of_plugin(review, format_, to, fail_at, possible, quiet, plugins)
    return _report(review, format_, to, fail_at, possible, quiet)


def _report(review: Review, format_: str, to: Path | None, fail_at: str, possible: str, quiet: bool) -> int:
    from dermalint.cli.exit_status import exit_status, failing
    from dermalint.cli.writing import page_for_file, page_for_stdout, write_document, write_file, write_text
    from dermalint.report.tally import count, only_what_fails, without_possible

    fails = failing(fail_at, possible)
    status = exit_status(review, fails)
    tally = count(review)
    shown = without_possible(review) if possible == "hide" else review
    if format_ != "text":
        text = _document(format_, shown, tally, status, possible)
    else:
        from dermalint.report import text_report

        if quiet:
            shown = only_what_fails(shown, fails)
        silent = quiet and status == 0
        text = "" if silent else text_report.render(shown, page_for_stdout() if to is None else page_for_file(), tally)
    if to is None:
        (write_text if format_ == "text" else write_document)(text)
        return status
    _keep_inputs(review, to)
    write_file(to, text)
    if not quiet:
        from dermalint.report import text_report

        write_text(text_report.written(page_for_stdout(), str(to), tally))
    return status


def _report_of_plugin(
    review: Review, format_: str, to: Path | None, fail_at: str, possible: str, quiet: bool, plugins: tuple[str, ...] | None
) -> int:
    """Print a plugin's report; where that fails, the usual one on standard output, which names the fault."""
    from dermalint.cli.exit_status import exit_status, failing
    from dermalint.cli.writing import write_document, write_file
    from dermalint.plugins.catalogue import read_catalogue
    from dermalint.plugins.faults import Unavailable, merge
    from dermalint.plugins.installed import Installed
    from dermalint.report.tally import without_possible
    from dermalint_grammar.record import replace

    installed = Installed(partial(read_catalogue, plugins))
    text = None
    try:
        text = installed.render(format_, without_possible(review) if possible == "hide" else review)
    except Unavailable as unavailable:
        installed.blame(unavailable.fault)
    problems = merge(installed.take_faults())
    if text is None:
        return _report(replace(review, problems=(*review.problems, *problems)), "text", None, fail_at, possible, quiet)
    for problem in problems:
        click.echo(problem.message, err=True)
    if to is None:
        write_document(text)
    else:
        _keep_inputs(review, to)
        write_file(to, text)
    return exit_status(review, failing(fail_at, possible))


def _document(format_: str, review: Review, tally: Tally, status: int, possible: str) -> str:
    """The review as a document; each format's module is imported for it alone."""
    if format_ == "sarif":
        from dermalint.report import sarif_report

        return sarif_report.render(review, status, possible_fails=possible == "fail")
    if format_ == "html":
        from dermalint.report import html_report

        return html_report.render(review, tally)
    if format_ == "fhir":
        from dermalint.report import fhir_report

        return fhir_report.render(review)
    from dermalint.report import json_report

    return json_report.render(review, tally)


def _keep_inputs(review: Review, to: Path) -> None:
    """Refuse to write a report over a file that was read, or over any rule file."""
    target = to.resolve()
    read = {Path(path).resolve() for result in review.files for path in (result.path, *result.sources)}
    if target in read or target.suffix == ".rules":
        raise WrongCall(f"--to {to} would write the report over a regimen or a rule file.", "Give --to another name.")
