"""``dermalint proof``: what rule packs say together, and whether it can be true."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, calendar_date, one_of
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.packs.model import PackSet
    from dermalint.proof.coverage import Missing
    from dermalint.proof.ground import Ground
    from dermalint.report.page import Page
    from dermalint.spans import SourceText

HELP = """Prove rule packs: what they say together, and whether it can be true.

PATH is a rule file or a folder of them; without one, everything that is installed is proven. The packs are proven beside all
others in force, so that what contradicts an installed pack is found too.

\b
Is anything wrong with our rules?
    dermalint proof house-rules/
What does this rule catch? The smallest regimen that breaks it, and the nearest that holds:
    dermalint proof house-rules/ --witness house.acid-off-retinoid-nights --to witness/
Which boundaries do the examples of our rules not show, and which examples would show them?
    dermalint proof house-rules/ --coverage
    dermalint proof house-rules/ --missing
On which regimens do two versions of a pack disagree?
    dermalint proof --before house-rules/1.4 house-rules/1.5

\b
Exit status: 0 nothing is wrong, 1 something is (or two versions disagree), 2 a pack could not be read or the call was wrong.
"""


@click.command("proof", help=HELP, short_help="Prove rule packs: contradictions, examples, coverage, witnesses.")
@click.argument("paths", metavar="[PATH...]", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--as", "format_", callback=one_of("text", "json"), default="text", metavar="text|json",
    help="For people (text, as usual) or for programs (json).",
)  # fmt: skip
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE", help="Write the report to a file.")
@click.option(
    "--witness", is_flag=False, flag_value="", metavar="[RULE]",
    help="For a rule (or all): the smallest regimen that breaks it, and the nearest that holds; with --to FOLDER as files.",
)  # fmt: skip
@click.option("--coverage", is_flag=True, help="Which boundaries and clauses the examples show.")
@click.option("--missing", is_flag=True, help="Examples that would show the boundaries that none shows.")
@click.option("--clauses", is_flag=True, help="With --missing: examples for clauses and parts of terms too.")
@click.option(
    "--before",
    type=click.Path(path_type=Path),
    metavar="PATH",
    help="On which regimens this older version of the packs disagrees.",
)
@click.option("--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More packs that are in force.")
@click.option("--as-of", callback=calendar_date, metavar="DATE", help="Judge law and reviews that are due on this date.")
@click.option("--remarks", is_flag=True, help="Text: show remarks on sources too.")
@plugin_options
def command(
    paths: Sequence[Path],
    format_: str,
    to: Path | None,
    witness: str | None,
    coverage: bool,
    missing: bool,
    clauses: bool,
    before: Path | None,
    packs: Sequence[Path],
    as_of: date | None,
    remarks: bool,
    without_plugins: bool,
    only_plugins: Sequence[str],
) -> int:
    """Prove the packs, print the report, and return the exit status."""
    from dermalint import __version__
    from dermalint.cli.exit_status import FINDINGS, UNREAD, WELL
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.proof.prove import prove
    from dermalint.report.proof_report import as_json, as_text
    from dermalint.settings.model import SettingsError

    if sum((witness is not None, coverage or missing, before is not None)) > 1:
        raise WrongCall("--witness, --coverage (or --missing) and --before each ask for something else.", "Give one of them.")
    if clauses and not missing:
        raise WrongCall("--clauses says which missing examples are looked for.", "Give --missing too.")
    try:
        settings = project_settings([str(path) for path in paths])
    except SettingsError as wrong:
        return tell_wrong_settings(wrong)
    allowed = chosen_plugins(without_plugins, only_plugins, settings.plugins if settings else None)
    if not paths:  # else they could be other versions of what is proven
        packs = project_packs(settings, packs)
    ground, known = stand_on(paths, packs, as_of, allowed)
    if witness is not None:
        return _show_witnesses(ground, known, witness, format_, to)
    if coverage or missing:
        return _show_coverage(ground, missing, clauses, format_, to)
    if before is not None:
        older, _ = stand_on((before,), packs, as_of, allowed)
        return _show_differences(older, ground, format_, to)
    proof = prove(ground)
    sources = sources_of(known, ground)
    if format_ == "json":
        text = as_json(proof, sources, __version__)
    else:
        text = as_text(_page(to), proof, sources, remarks=remarks)
    _write(text, format_, to)
    if any(flaw.kind == "mistake" for flaw in proof.flaws):
        return UNREAD
    return FINDINGS if proof.faults else WELL


def _page(to: Path | None) -> Page:
    from dermalint.cli.writing import page_for_file, page_for_stdout

    return page_for_stdout() if to is None else page_for_file()


def _write(text: str, format_: str, to: Path | None) -> None:
    from dermalint.cli.writing import write_document, write_file, write_text

    if to is None:
        (write_text if format_ == "text" else write_document)(text)
        return
    if to.suffix == ".rules":
        raise WrongCall(f"--to {to} would write over a rule file.", "Give --to another name.")
    write_file(to, text)


def _show_witnesses(ground: Ground, known: PackSet, name: str, format_: str, to: Path | None) -> int:
    """Print witnesses, or write them into a folder; 1 where a rule has no confirmed one."""
    from dermalint import __version__
    from dermalint.cli.names import full_names
    from dermalint.cli.writing import write_file, write_text
    from dermalint.proof.witness import Witnesses, confirm
    from dermalint.report.witness_report import witnesses_as_json, witnesses_as_text

    wanted = full_names("--witness", [name], known) if name else ()
    rules = [linked for linked in ground.proven if not wanted or linked.id in wanted or linked.pack in wanted]
    if name and not rules:
        rules = [linked for linked in ground.rules if linked.id in wanted or linked.pack in wanted]
    witnesses = Witnesses(ground)
    found = [confirm(witnesses.of(linked), ground) for linked in rules]
    if to is None:
        text = witnesses_as_json(found, __version__) if format_ == "json" else witnesses_as_text(_page(None), found, ground)
        _write(text, format_, None)
    else:
        try:
            to.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise WrongCall(f"--to {to}: {error.strerror or error}.", "Give the name of a folder.") from error
        files = [
            (one.witness.rule, word, text)
            for one in found
            for word, text in (("breaks", one.breaks), ("holds", one.holds))
            if text
        ]
        for rule, word, text in files:
            write_file(to / f"{rule}.{word}.regimen.yaml", text)
        write_text(f"{len(files)} regimen file{'' if len(files) == 1 else 's'} written to {to}.\n")
    return 0 if all(one.well for one in found) else 1


def _show_coverage(ground: Ground, missing: bool, clauses: bool, format_: str, to: Path | None) -> int:
    """Print what examples show; 1 where a boundary is not shown."""
    from dermalint import __version__
    from dermalint.proof.coverage import Covering
    from dermalint.proof.mutants import BOUNDARY, CLAUSE
    from dermalint.report.coverage_report import coverage_as_json, coverage_as_text

    covering = Covering(ground)
    found = [covering.measure(linked) for linked in ground.proven]
    wanted: list[Missing] = []
    if missing:
        for linked, coverage in zip(ground.proven, found, strict=True):
            for sort in (BOUNDARY, CLAUSE) if clauses else (BOUNDARY,):
                wanted += covering.missing(linked, coverage, sort)
    if format_ == "json":
        text = coverage_as_json(found, wanted, ground, __version__)
    else:
        text = coverage_as_text(_page(to), found, wanted, ground)
    _write(text, format_, to)
    return 0 if all(shown == number for shown, number in (one.of(BOUNDARY) for one in found)) else 1


def _show_differences(older: Ground, ground: Ground, format_: str, to: Path | None) -> int:
    """Print on what two versions disagree; 1 where they do."""
    from dermalint import __version__
    from dermalint.proof.before import compare
    from dermalint.report.witness_report import differences_as_json, differences_as_text

    found = list(compare(older, ground, older.names | ground.names))
    text = differences_as_json(found, __version__) if format_ == "json" else differences_as_text(_page(to), found)
    _write(text, format_, to)
    return 1 if any(one.plan is not None for one in found) else 0


def stand_on(
    paths: Sequence[Path], packs: Sequence[Path], as_of: date | None, allowed: tuple[str, ...] | None
) -> tuple[Ground, PackSet]:
    """The packs in force and those of them that lie at ``paths``.  Raises :class:`WrongCall` where there is none."""
    from datetime import UTC, datetime

    from dermalint.packs.find import find_packs
    from dermalint.packs.load import load_packs
    from dermalint.plugins.catalogue import read_catalogue
    from dermalint.plugins.installed import Installed
    from dermalint.proof.ground import Ground

    plugins = Installed(partial(read_catalogue, allowed))
    known = load_packs((*paths, *packs), plugins=plugins)
    files = {Path(file.path).resolve() for file in find_packs(tuple(paths), installed=False).files}
    asked = [pack.name for pack in known.packs if Path(pack.file).resolve() in files]
    if paths and not files:
        raise WrongCall(
            f"There is no rule pack in {', '.join(str(path) for path in paths)}.",
            "Give a file whose name ends in .rules, or its folder.",
        )
    today = as_of or datetime.now(UTC).date()
    return Ground(known, asked or (("",) if paths else ()), today, plugins), known


def sources_of(known: PackSet, ground: Ground) -> dict[str, SourceText]:
    """The texts of all packs, by the path that messages call them by."""
    from dermalint.spans import SourceText

    texts = {pack.path: SourceText(pack.path, ground.text_of(pack.name)) for pack in known.packs}
    return {**texts, **known.sources}
