"""``dermalint review``: check regimen files and say what the rules find."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, calendar_date, one_of, processes
from dermalint.cli.plugin_choice import check_report_name, chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.cli.exit_status import Fails
    from dermalint.report.tally import Tally
    from dermalint.settings.model import Settings
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
What could be done about each finding, proven by reviewing it again:
    dermalint review calm.regimen.yaml --mends
A page for colleagues, to be opened in a browser or printed:
    dermalint review courses/ --as html --to remarks.html
An old library: record what is found today; from then on, only what is new fails:
    dermalint review courses/ --write-known known.json
    dermalint review courses/ --known known.json

Settings of a project stand in dermalint.toml, or under [tool.dermalint] in pyproject.toml, in the folder of the first PATH or
above it, up to the git repository's; what is given here wins. To see which are in force: dermalint rules --settings

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
    metavar="avoid|caution|advice|never",
    help="From which severity on a finding gives exit status 1 (caution, as usual).",
)
@click.option(
    "--possible",
    callback=one_of("show", "hide", "fail"),
    metavar="show|hide|fail",
    help="Findings that depend on what a file does not say: show them (as usual), hide them, or let them fail too.",
)
@click.option(
    "--known", type=click.Path(path_type=Path), metavar="FILE", help="Findings recorded in this file are known and do not fail."
)
@click.option(
    "--write-known", type=click.Path(path_type=Path), metavar="FILE", help="Record all findings in this file, and report none."
)
@click.option(
    "--jobs",
    callback=processes,
    default="1",
    metavar="N|auto",
    help="How many processes share the files (one, as usual; auto: one a processor).",
)
@click.option("--no-cache", is_flag=True, help="Judge every file anew, and keep no results for the next run.")
@click.option(
    "--progress/--no-progress",
    default=None,
    help="Say on standard error how far a long run is; as usual on a terminal, once a run takes a second.",
)
@click.option("--mends", is_flag=True, help="Say for each finding which proven changes would mend it (takes longer).")
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
    fail_at: str | None,
    possible: str | None,
    known: Path | None,
    write_known: Path | None,
    jobs: int,
    no_cache: bool,
    progress: bool | None,
    without_plugins: bool,
    only_plugins: Sequence[str],
    mends: bool,
    quiet: bool,
) -> int:
    """Check the files, print the report, and return the exit status."""
    if not paths:
        raise WrongCall(
            "Which file or folder is to be reviewed?",
            "For instance: dermalint review calm.regimen.yaml",
            click.get_current_context(),
        )
    if known and write_known:
        raise WrongCall("--known and --write-known exclude each other.", "--write-known FILE writes the record anew.")
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.settings.model import SettingsError

    try:
        settings = project_settings(paths)
        allowed = settings.plugins if settings else None
        plugins = chosen_plugins(without_plugins, only_plugins, allowed)
        if format_ not in FORMATS:
            check_report_name(format_, FORMATS, plugins)
        packs = project_packs(settings, packs)
        if only or without or region:  # names are looked up only for those who give some
            only, without = _full_names(only, without, region, packs, plugins)
        possible = possible or (settings.possible if settings else None) or "show"
        from dermalint.review import Asked, review_paths

        asked = Asked(
            packs=packs,
            only=tuple(only),
            without=tuple(without),
            stance=stance,
            region=region,
            as_of=as_of,
            jobs=jobs,
            plan=format_ not in FORMATS or format_ == "html",
            plugins=plugins,
            settings=settings,
            cache=not no_cache,
        )
        review = _with_progress(partial(review_paths, paths, asked), progress)
        if mends:
            from dermalint.mend.fill import with_mends

            review = with_mends(review, asked)
    except SettingsError as wrong:
        return tell_wrong_settings(wrong)
    if write_known is not None:
        return _write_known(review, write_known)
    from dermalint.cli.exit_status import failing

    review = _known_aside(review, known, settings, all_rules=not (only or without))
    fails = failing(fail_at, possible, settings)
    if format_ not in FORMATS:
        return _report_of_plugin(review, format_, to, fails, possible, quiet, plugins)
    return _report(review, format_, to, fails, possible, quiet)


def _full_names(
    only: Sequence[str], without: Sequence[str], region: str | None, packs: Sequence[Path], plugins: tuple[str, ...] | None
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    from dermalint.cli.names import check_region, full_names
    from dermalint.packs.load import load_packs
    from dermalint.plugins.catalogue import read_catalogue
    from dermalint.plugins.installed import Installed

    known = load_packs(packs, plugins=Installed(partial(read_catalogue, plugins)))
    if region:
        check_region(region, known)
    return full_names("--only", only, known), full_names("--without", without, known)


def _with_progress(run: Callable[..., Review], wanted: bool | None) -> Review:
    from dermalint.cli.progress import Progress, progress_wanted

    if not progress_wanted(wanted):
        return run()
    progress = Progress(wanted)
    try:
        return run(progress)
    finally:
        progress.clear()


def _write_known(review: Review, file: Path) -> int:
    """Record the findings in force; the exit status tells only of what could not be read."""
    from dermalint.cli.exit_status import exit_status, failing
    from dermalint.cli.writing import keep_inputs, page_for_stderr, write_file, write_text
    from dermalint.report.tally import all_problems
    from dermalint.report.text_report import problem_note
    from dermalint.verdict.known import read_known, record_known

    keep_inputs(review, file, "--write-known")
    write_file(file, record_known(review, file))
    number = len(read_known(file))
    write_text(f"{number} finding{'' if number == 1 else 's'} recorded in {file}.\n")
    page = page_for_stderr()
    for problem in all_problems(review):
        if problem.level == "error":
            click.echo(page.finish(list(problem_note(page, problem, {}, ""))), err=True, nl=False)
    return exit_status(review, failing("never", "show"))


def _known_aside(review: Review, known: Path | None, settings: Settings | None, *, all_rules: bool) -> Review:
    """The review with known findings set aside, by the record that was given, else by that of the settings."""
    record = known or (Path(settings.known) if settings and settings.known else None)
    if record is None:
        return review
    from dermalint.verdict.known import KnownError, read_known, set_known_aside

    try:
        entries = read_known(record)
    except KnownError as error:
        raise WrongCall(str(error), "To write one: dermalint review PATH… --write-known FILE") from None
    return set_known_aside(review, entries, record, all_rules=all_rules)


def _report(review: Review, format_: str, to: Path | None, fails: Fails, possible: str, quiet: bool) -> int:
    from dermalint.cli.exit_status import exit_status
    from dermalint.cli.writing import keep_inputs, page_for_file, page_for_stdout, write_document, write_file, write_text
    from dermalint.report.tally import count, only_what_fails, without_possible

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
        text = "" if silent else text_report.pieces(shown, page_for_stdout() if to is None else page_for_file(), tally)
    if to is None:
        (write_text if format_ == "text" else write_document)(text)
        return status
    keep_inputs(review, to)
    write_file(to, text)
    if not quiet:
        from dermalint.report import text_report

        write_text(text_report.written(page_for_stdout(), str(to), tally))
    return status


def _report_of_plugin(
    review: Review, format_: str, to: Path | None, fails: Fails, possible: str, quiet: bool, plugins: tuple[str, ...] | None
) -> int:
    """Print a plugin's report; where that fails, the usual one on standard output, which names the fault."""
    from dermalint.cli.exit_status import exit_status
    from dermalint.cli.writing import keep_inputs, write_document, write_file
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
        return _report(replace(review, problems=(*review.problems, *problems)), "text", None, fails, possible, quiet)
    for problem in problems:
        click.echo(problem.message, err=True)
    if to is None:
        write_document(text)
    else:
        keep_inputs(review, to)
        write_file(to, text)
    return exit_status(review, fails)


def _document(format_: str, review: Review, tally: Tally, status: int, possible: str) -> str | Iterable[str]:
    """The review as a document, whole or in pieces; each format's module is imported for it alone."""
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

    return json_report.pieces(review, tally)
