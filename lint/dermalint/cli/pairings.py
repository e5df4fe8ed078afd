"""``dermalint pairings``: what goes together, as a grid."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, calendar_date, nearest_of, one_of
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.checks.asked import Asked
    from dermalint.checks.judge import Bench
    from dermalint.pairings.model import Grid
    from dermalint.regimen.model import Reading

HELP = """Show which families and substances go together, or the products of a regimen, and which rule keeps which apart.

NAME is a family or a substance, as rules name it. Without names, all are compared that a rule keeps apart from something.
Each is stood for by a serum of water in a strength that is not stated; the engine is asked how two of them may be used.

\b
The whole grid, to print:
    dermalint pairings --as html --to pairings.html
A few of them:
    dermalint pairings retinoid vitamin-c copper-peptide
The products of a regimen:
    dermalint pairings --regimen calm.regimen.yaml

\b
Exit status: 0 the grid was made, 2 something could not be read or the call was wrong, 3 a plugin is at fault.
"""


@click.command("pairings", help=HELP, short_help="Show which families, or a regimen's products, go together.")
@click.argument("names", metavar="[NAME]...", nargs=-1)
@click.option("--regimen", "file", type=click.Path(path_type=Path), metavar="FILE", help="Compare the products of this file.")
@click.option("--person", metavar="NAME", help="In a file for several people, whose regimen is meant.")
@click.option(
    "--as", "format_", callback=one_of("text", "json", "html"), default="text", metavar="text|json|html",
    help="For people (text, as usual, or an html page) or for programs (json).",
)  # fmt: skip
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE", help="Write the grid to a file.")
@click.option(
    "--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More rule packs: a file or a folder."
)
@click.option("--only", multiple=True, metavar="NAME", help="Only this rule or pack; may be given several times.")
@click.option("--without", multiple=True, metavar="NAME", help="Not this rule or pack; may be given several times.")
@click.option("--stance", callback=one_of("usual", "strict"), metavar="usual|strict", help="How strictly to judge.")
@click.option("--region", metavar="NAME", help="The region to judge for, such as eu.")
@click.option("--as-of", callback=calendar_date, metavar="DATE", help="Judge on this date, not today's.")
@plugin_options
def command(
    names: Sequence[str],
    file: Path | None,
    person: str | None,
    format_: str,
    to: Path | None,
    packs: Sequence[Path],
    only: Sequence[str],
    without: Sequence[str],
    stance: str | None,
    region: str | None,
    as_of: date | None,
    without_plugins: bool,
    only_plugins: Sequence[str],
) -> int:
    """Compare, print or write the grid, and return the exit status."""
    if names and file is not None:
        raise WrongCall("Names and --regimen exclude each other.", "Compare names, or the products of one file.")
    from dermalint import __version__
    from dermalint.checks.asked import Asked as AskedOfCase
    from dermalint.cli.mistakes import tell_mistakes
    from dermalint.cli.names import check_region, full_names
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.cli.writing import page_for_file, page_for_stdout, write_document, write_file, write_text
    from dermalint.packs.load import load_packs
    from dermalint.plugins.catalogue import read_catalogue
    from dermalint.plugins.faults import merge
    from dermalint.plugins.installed import Installed
    from dermalint.report import pairings_report
    from dermalint.review import Asked, choose_rules
    from dermalint.settings.model import SettingsError

    try:
        settings = project_settings([str(file or Path())])
    except SettingsError as wrong:
        return tell_wrong_settings(wrong)
    allowed = chosen_plugins(without_plugins, only_plugins, settings.plugins if settings else None)
    plugins = Installed(partial(read_catalogue, allowed))
    known = load_packs(project_packs(settings, packs), plugins=plugins)
    part = settings.part_for(str(file or Path("named"))) if settings else None
    region = region or (part.region if part else None)
    if region:
        check_region(region, known)
    chosen = Asked(only=full_names("--only", only, known), without=full_names("--without", without, known))
    bench = choose_rules(known, chosen, plugins)
    day = as_of or datetime.now(UTC).date()
    asked = AskedOfCase(day, region, stance or (part.stance if part else None) or "usual")
    grid, reading = (_of_names(bench, asked, names), None) if file is None else _of_file(bench, asked, file, person)
    problems, sources = (reading.problems, reading.sources) if reading else ((), {})
    status = tell_mistakes((*known.problems, *problems, *merge(plugins.take_faults())), sources, str(file or ""))
    if grid is None:
        return status
    setting = pairings_report.Setting(
        __version__, tuple((pack.name, pack.version) for pack in known.packs), day.isoformat(), asked.stance, asked.region
    )
    if format_ == "html":
        from dermalint.report.pairings_html import render

        text = render(grid, setting)
    elif format_ == "json":
        text = pairings_report.as_json(grid, setting)
    else:
        text = pairings_report.as_text(page_for_stdout() if to is None else page_for_file(), grid, setting)
    if to is not None:
        write_file(to, text)
    elif format_ == "text":
        write_text(text)
    else:
        write_document(text)
    return status


def _of_names(bench: Bench, asked: Asked, names: Sequence[str]) -> Grid:
    from dermalint.pairings.grid import UnknownSubjectError, compare_names

    try:
        return compare_names(bench, asked, names)
    except UnknownSubjectError as unknown:
        hint = nearest_of(unknown.name, {*bench.world.families, *bench.world.substances})
        said = f"There is no family or substance “{unknown.name}”."
        raise WrongCall(said, hint or "For instance: dermalint pairings retinoid vitamin-c") from None


def _of_file(bench: Bench, asked: Asked, file: Path, person: str | None) -> tuple[Grid | None, Reading]:
    """The grid of a file's products, with what was read; no grid where the file cannot be read."""
    from dermalint.pairings.grid import compare_products
    from dermalint.regimen.read import read_regimen
    from dermalint_grammar.record import replace

    reading = read_regimen(file, shown=str(file))
    people = {regimen.person_name: regimen for regimen in reading.regimens}
    if not people:
        return None, reading
    if person not in people and len(people) > 1:
        listed = ", ".join(name for name in people if name)
        raise WrongCall("The file is for several people: whose regimen is meant?", f"--person with one of: {listed}")
    if person is not None and person not in people:
        raise WrongCall(f"The file has no person “{person}”.", nearest_of(person, [name for name in people if name]))
    regimen = people[person] if person in people else reading.regimens[0]
    region = asked.region or (regimen.region.name if regimen.region else None)
    return compare_products(bench, replace(asked, region=region, stance=asked.stance), regimen), reading
