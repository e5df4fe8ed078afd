"""``dermalint impact``: what a change of packs does to regimens."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, calendar_date, one_of, processes
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.report.page import Page
    from dermalint.verdict.compare import Impact
    from dermalint.verdict.report_model import Review

HELP = """Say which regimens gain or lose findings when rule packs change.

PATH is a regimen file or a folder of them, as for review. A pack that is given stands in for the installed one of its name;
without --before (or --after) that side is judged by what is installed and what settings name.

\b
Which published regimens break under the new version of the house's rules?
    dermalint impact --before house-rules/1.4 --after house-rules/1.5 courses/
What would a pack add to what is installed?
    dermalint impact --after new-conflicts.rules courses/
A page for colleagues, to be opened in a browser or printed:
    dermalint impact --after new-conflicts.rules courses/ --as html --to changes.html
For another program:
    dermalint impact --after new-conflicts.rules courses/ --as json

\b
Exit status: 0 no regimen gains a finding at or above --fail-at, 1 some do (or one becomes graver), 2 something could not be
read or the call was wrong.
"""


@click.command("impact", help=HELP, short_help="Say which regimens gain or lose findings when packs change.")
@click.argument("paths", metavar="PATH...", nargs=-1)
@click.option("--before", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="Packs as they were.")
@click.option("--after", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="Packs as they become.")
@click.option(
    "--as", "format_", callback=one_of("text", "json", "html"), default="text", metavar="text|json|html",
    help="For people (text, as usual, or an html page) or for programs (json).",
)  # fmt: skip
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE", help="Write the report to a file.")
@click.option("--stance", callback=one_of("usual", "strict"), metavar="usual|strict", help="How strictly to judge.")
@click.option("--region", metavar="NAME", help="The region to judge for, such as eu.")
@click.option("--as-of", callback=calendar_date, metavar="DATE", help="Judge on this date, not today's.")
@click.option(
    "--fail-at",
    callback=one_of("avoid", "caution", "advice", "never"),
    metavar="avoid|caution|advice|never",
    help="From which severity on a gained finding gives exit status 1 (caution, as usual).",
)
@click.option("--jobs", callback=processes, default="1", metavar="N|auto", help="How many processes share the files.")
@plugin_options
def command(
    paths: Sequence[str],
    before: Sequence[Path],
    after: Sequence[Path],
    format_: str,
    to: Path | None,
    stance: str | None,
    region: str | None,
    as_of: date | None,
    fail_at: str | None,
    jobs: int,
    without_plugins: bool,
    only_plugins: Sequence[str],
) -> int:
    """Review twice, print the differences, and return the exit status."""
    if not paths or not (before or after):
        example = "For instance: dermalint impact --after new-conflicts.rules courses/"
        what = "Which packs are to be compared?" if paths else "Which regimens are to be reviewed?"
        raise WrongCall(what, example, click.get_current_context())
    from dermalint.cli.exit_status import FINDINGS, UNREAD, WELL, exit_status, failing
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.cli.writing import keep_inputs, page_for_file, page_for_stdout, write_document, write_file, write_text
    from dermalint.report.impact_report import in_numbers
    from dermalint.report.page import wrap
    from dermalint.report.text_report import care
    from dermalint.review import Asked, review_paths
    from dermalint.settings.model import SettingsError
    from dermalint.verdict.compare import compare
    from dermalint_grammar.record import replace

    try:
        settings = project_settings(paths)
        own = project_packs(settings)
        plugins = chosen_plugins(without_plugins, only_plugins, settings.plugins if settings else None)
        asked = Asked(stance=stance, region=region, as_of=as_of, jobs=jobs, plugins=plugins, settings=settings)
        if region:
            from dermalint.cli.names import check_region
            from dermalint.packs.load import load_packs

            check_region(region, load_packs(tuple(after) or own))
        # Packs of the settings could be those that change, so they count only where none are given.
        old, new = (review_paths(paths, replace(asked, packs=tuple(packs) or own)) for packs in (before, after))
    except SettingsError as wrong:
        return tell_wrong_settings(wrong)
    impacts = compare(old, new)
    if to is not None:
        keep_inputs(old, to)
        write_file(to, _document(format_, page_for_file(), old, new, impacts))
        said = f"The report is in {to}. {in_numbers(impacts)}"
        page = page_for_stdout()
        write_text(page.finish([*wrap(said, page.width), "", *care(page)]))
    elif format_ == "text":
        write_text(_document(format_, page_for_stdout(), old, new, impacts))
    else:
        write_document(_document(format_, page_for_stdout(), old, new, impacts))
    unread = max(exit_status(review, failing("never", "show")) for review in (old, new))
    if unread >= UNREAD:
        return unread
    fails = failing(fail_at, "show", settings)
    graver = ((impact, change.after) for impact in impacts for change in impact.changed if change.graver)
    gained = ((impact, finding) for impact in impacts for finding in impact.gained)
    return FINDINGS if any(fails(impact.after, finding) for impact, finding in (*gained, *graver)) else WELL


def _document(format_: str, page: Page, before: Review, after: Review, impacts: Sequence[Impact]) -> str:
    if format_ == "html":
        from dermalint.report import impact_html

        return impact_html.render(before, after, impacts)
    from dermalint.report.impact_report import as_json, as_text

    return as_json(before, after, impacts) if format_ == "json" else as_text(page, before, after, impacts)
