"""``dermalint pairings``: which products go together, computed from the packs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from dermalint.cli.calls import WrongCall, calendar_date, one_of
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.packs.model import PackSet
    from dermalint.pairings.grid import Grid
    from dermalint.regimen.model import Regimen

HELP = """Say which families go together, or which products of a regimen: in one routine, in which order, or how far apart.

Every answer is found by asking the rules about the two products, laid into small regimens nearer and nearer to each other.
Without FILE, the families and substances are paired that rules about two products are written for.

\b
The whole grid:
    dermalint pairings
Three families only:
    dermalint pairings --of retinoid --of alpha-hydroxy-acid --of vitamin-c
The products of a regimen, for its own person and region:
    dermalint pairings calm.regimen.yaml
A page to print for the classroom:
    dermalint pairings --as html --to pairings.html

\b
Exit status: 0 the grid was made, 2 something could not be read or the call was wrong.
"""


@click.command("pairings", help=HELP, short_help="Say which families or products go together, from the rules.")
@click.argument("file", metavar="[FILE]", required=False, type=click.Path(path_type=Path))
@click.option("--of", "names", multiple=True, metavar="NAME", help="A family, substance or kind; may be given several times.")
@click.option(
    "--as", "format_", callback=one_of("text", "json", "html"), default="text", metavar="text|json|html",
    help="For people (text, as usual, or an html page) or for programs (json).",
)  # fmt: skip
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE", help="Write the grid to a file.")
@click.option("--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More rule packs.")
@click.option("--only", multiple=True, metavar="NAME", help="Only this rule or pack; may be given several times.")
@click.option("--without", multiple=True, metavar="NAME", help="Not this rule or pack; may be given several times.")
@click.option("--stance", callback=one_of("usual", "strict"), metavar="usual|strict", help="How strictly to judge.")
@click.option("--region", metavar="NAME", help="The region to judge for, such as eu.")
@click.option("--as-of", callback=calendar_date, metavar="DATE", help="Judge the law on this date, not today's.")
@plugin_options
def command(
    file: Path | None,
    names: Sequence[str],
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
    """Build the grid, print it, and return the exit status."""
    from dermalint.cli.names import check_region, full_names
    from dermalint.packs.load import load_packs
    from dermalint.pairings.grid import NOBODY, build_grid
    from dermalint.pairings.subjects import Unknown, of_names, of_regimen
    from dermalint.plugins.catalogue import read_catalogue
    from dermalint.plugins.installed import Installed
    from dermalint.regimen.model import ERROR

    if file is not None and names:
        raise WrongCall("--of names families, and a file's own products are paired instead.", "Give one of the two.")
    plugins = Installed(partial(read_catalogue, chosen_plugins(without_plugins, only_plugins)))
    known = load_packs(tuple(packs), plugins=plugins)
    if region:
        check_region(region, known)
    kept, left = full_names("--only", only, known), full_names("--without", without, known)
    rules = [
        linked
        for linked in known.rules
        if (not kept or linked.id in kept or linked.pack in kept) and linked.id not in left and linked.pack not in left
    ]
    base: Regimen = NOBODY
    if file is not None:
        base = _read(file)
        subjects = of_regimen(base, known.world)
    else:
        try:
            subjects = of_names(known, names)
        except Unknown as unknown:
            hint = f"Did you mean {unknown.hint}?" if unknown.hint else "All names: dermalint rules"
            raise WrongCall(f"--of: there is no family, substance or kind “{unknown.name}”.", hint) from unknown
    today = as_of or datetime.now(UTC).date()
    region = region or (base.region.name if base.region else None)
    stance = stance or base.stance or "usual"
    grid = build_grid(known, rules, subjects, today, base=base, region=region, stance=stance, plugins=plugins)
    about = {"file": str(file) if file else None, "region": region, "stance": stance, "as_of": today.isoformat()}
    _write(grid, known, about, format_, to)
    return 2 if any(problem.level == ERROR for problem in known.problems) else 0


def _read(file: Path) -> Regimen:
    from dermalint.regimen.read import read_regimen

    reading = read_regimen(file, shown=str(file))
    if not reading.regimens:
        said = reading.problems[0].message if reading.problems else "it holds no regimen"
        raise WrongCall(f"{file}: {said}", "To see all that is wrong with it: dermalint review FILE")
    return reading.regimens[0]


def _write(grid: Grid, known: PackSet, about: dict[str, Any], format_: str, to: Path | None) -> None:
    from dermalint import __version__
    from dermalint.cli.writing import page_for_file, page_for_stdout, write_document, write_file, write_text

    if format_ == "json":
        from dermalint.report.pairings_report import as_json

        text = as_json(grid, __version__, {**about, "packs": [f"{pack.name} {pack.version}" for pack in known.packs]})
    elif format_ == "html":
        from dermalint.report.pairings_html import render

        where = f"region {about['region']}, " if about["region"] else ""
        of = f"The products of {about['file']}, " if about["file"] else ""
        text = render(grid, f"{of}{where}{about['stance']} stance, as of {about['as_of']}; {len(known.packs)} rule packs.")
    else:
        from dermalint.report.pairings_report import as_text

        text = as_text(page_for_stdout() if to is None else page_for_file(), grid)
    if to is None:
        (write_text if format_ == "text" else write_document)(text)
        return
    if to.suffix == ".rules" or to.name.endswith((".regimen.yaml", ".regimen.yml", ".regimen.json", ".regimen.toml")):
        raise WrongCall(f"--to {to} would write over a regimen or a rule file.", "Give --to another name.")
    write_file(to, text)
