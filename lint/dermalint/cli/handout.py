"""``dermalint handout``: what the audience takes home, as a page, a text for mail, a PDF or a calendar."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, calendar_date, nearest_of, one_of
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.handout.plan import HandOut
    from dermalint.regimen.model import Reading, Regimen
    from dermalint.review import Desk
    from dermalint.verdict.report_model import FileResult

FORMATS = ("html", "text", "markdown", "pdf", "ics")
LANGUAGES = ("en", "de", "es", "fr", "nl")
NEEDS = ("jinja2", "babel", "icalendar")
_PACKAGE = re.compile(r"([^=]+)=([0-9]{1,5}(?:\.[0-9]{1,3})?)[ ]*(?:g|mL|ml)?")

HELP = """Write what people take home: the days at a glance, each routine in steps, what means stop, and whom to ask.

The regimen is reviewed first. While the rules find something certain to avoid in it, no hand-out is written; cautions and
advice that concern it are on the page. A page asks for nothing over a network and prints on one or two sheets.

\b
A page to print or to open:
    dermalint handout calm.regimen.yaml --to calm.html
In another language, in large print:
    dermalint handout calm.regimen.yaml --language nl --large-print --to calm.html
Reminders for a phone:
    dermalint handout calm.regimen.yaml --as ics --to calm.ics
How long packages last, and how many to buy:
    dermalint handout calm.regimen.yaml --package plain-cream=50 --package day-shield=40 --to calm.html

\b
Exit status: 0 the hand-out was written, 1 it was refused for what the rules find (or written --even-so), 2 something could
not be read or the call was wrong, 3 a fault inside dermalint or a plugin.
"""


@click.command("handout", help=HELP, short_help="Write the page, the PDF or the calendar that people take home.")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--as", "format_", callback=one_of(*FORMATS), default="html", metavar="|".join(FORMATS),
    help="A page (html, as usual), a text or markdown for mail, a pdf, or a calendar (ics).",
)  # fmt: skip
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE", help="Write the hand-out to a file.")
@click.option(
    "--language", callback=one_of(*LANGUAGES), default="en", metavar="|".join(LANGUAGES),
    help="English (en, as usual), German, Spanish, French or Dutch.",
)  # fmt: skip
@click.option("--large-print", is_flag=True, help="Large letters, for a page or a PDF.")
@click.option("--paper", callback=one_of("a4", "letter"), default="a4", metavar="a4|letter", help="The sheets to print on.")
@click.option("--person", metavar="NAME", help="For whom, where the file holds several people.")
@click.option("--from", "first_day", callback=calendar_date, metavar="DATE", help="The first day, where the file names none.")
@click.option(
    "--package", "packages", multiple=True, metavar="PRODUCT=GRAMS",
    help="What a package holds, in g or mL; may be given several times.",
)  # fmt: skip
@click.option("--even-so", is_flag=True, help="Write it although something is to be avoided, and print that on it.")
@click.option("--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More rule packs.")
@click.option("--stance", callback=one_of("usual", "strict"), metavar="usual|strict", help="How strictly to judge.")
@click.option("--region", metavar="NAME", help="The region to judge for, such as eu.")
@click.option("--as-of", callback=calendar_date, metavar="DATE", help="Judge on this date, not today's.")
@plugin_options
def command(
    file: Path,
    format_: str,
    to: Path | None,
    language: str,
    large_print: bool,
    paper: str,
    person: str | None,
    first_day: date | None,
    packages: Sequence[str],
    even_so: bool,
    packs: Sequence[Path],
    stance: str | None,
    region: str | None,
    as_of: date | None,
    without_plugins: bool,
    only_plugins: Sequence[str],
) -> int:
    """Write the hand-out and return the exit status."""
    _check_extras(format_)
    _check_target(file, to)
    from dermalint.cli.exit_status import FINDINGS, WELL
    from dermalint.cli.mistakes import tell_mistakes
    from dermalint.cli.names import check_region
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.plugins.faults import merge
    from dermalint.review import Asked, open_desk, review_reading
    from dermalint.settings.model import SettingsError

    try:
        settings = project_settings([str(file)])
        plugins = chosen_plugins(without_plugins, only_plugins, settings.plugins if settings else None)
        desk, known = open_desk(
            Asked(
                packs=project_packs(settings, packs),
                stance=stance,
                region=region,
                as_of=as_of,
                plugins=plugins,
                settings=settings,
            )
        )
    except SettingsError as error:
        return tell_wrong_settings(error)
    if region:
        check_region(region, known)
    reading = _read(file, desk)
    if not reading.regimens:
        return _tell_none(tell_mistakes((*known.problems, *reading.problems), reading.sources, reading.path))
    number = _whose(reading, person)
    regimen = reading.regimens[number]
    if first_day is not None:
        regimen = _begun(regimen, first_day)
        reading = _with(reading, number, regimen)
    result = review_reading(reading, desk)[number]
    problems = (*known.problems, *result.problems, *merge(desk.bench.plugins.take_faults()))
    if status := tell_mistakes(problems, result.sources, reading.path):
        return _tell_none(status)
    if regimen.wishes or not regimen.phases:
        raise WrongCall(f"{file} has wishes that no routine fulfils yet.", f"To arrange them: dermalint arrange {file}")
    if format_ == "ics" and regimen.starts is None:
        raise WrongCall("A calendar needs a first day, and the file names none.", "Name it: --from 2026-03-02")
    contents = _contents(packages, regimen)
    plan = _plan(reading, number, result, desk)
    if plan.avoid and not even_so:
        _refuse(plan, file)
        return FINDINGS
    _write(plan, format_, to, language, large_print, paper, contents)
    return FINDINGS if plan.avoid else WELL


def _check_extras(format_: str) -> None:
    from importlib.util import find_spec

    if any(find_spec(name) is None for name in NEEDS):
        raise WrongCall("Hand-outs need libraries that are not installed.", 'Install them: pip install "dermalint[handout]"')
    if format_ == "pdf" and find_spec("weasyprint") is None:
        raise WrongCall("A PDF needs a library that is not installed.", 'Install it: pip install "dermalint[pdf]"')


def _check_target(file: Path, to: Path | None) -> None:
    if to is None:
        return
    source = to.name.endswith((".rules", ".regimen.yaml", ".regimen.yml", ".regimen.json", ".regimen.toml"))
    if source or to.resolve() == file.resolve():
        raise WrongCall(f"--to {to} would write over a regimen or a rule file.", "Give --to another name.")


def _read(file: Path, desk: Desk) -> Reading:
    from dermalint.regimen.read import read_regimen

    plugins = desk.bench.plugins
    return plugins.read_regimen(file, str(file)) if plugins.reads(file) else read_regimen(file, shown=str(file))


def _tell_none(status: int) -> int:
    click.echo("No hand-out was written: first these mistakes have to go.", err=True)
    return status


def _whose(reading: Reading, person: str | None) -> int:
    """Which of the file's regimens is meant."""
    names = [regimen.person_name for regimen in reading.regimens]
    if person is None:
        if len(names) == 1:
            return 0
        people = ", ".join(name or "" for name in names)
        raise WrongCall(f"{reading.path} holds several people, and a hand-out is for one.", f"Name one with --person: {people}")
    if person in names:
        return names.index(person)
    known = [name for name in names if name]
    hint = nearest_of(person, known) or (f"The file has: {', '.join(known)}" if known else "The file names nobody.")
    raise WrongCall(f"--person: there is no “{person}” in {reading.path}.", hint)


def _begun(regimen: Regimen, first_day: date) -> Regimen:
    from dermalint_grammar.record import replace

    if regimen.starts is not None and regimen.starts != first_day:
        raise WrongCall(
            f"The file itself says when it starts: {regimen.starts.isoformat()}.", "Leave --from out, or change `starts`."
        )
    return replace(regimen, starts=first_day)


def _with(reading: Reading, number: int, regimen: Regimen) -> Reading:
    from dermalint_grammar.record import replace

    regimens = (*reading.regimens[:number], regimen, *reading.regimens[number + 1 :])
    return replace(reading, regimens=regimens)


def _contents(packages: Sequence[str], regimen: Regimen) -> dict[str, int]:
    """What packages hold, in milligrams by product."""
    from fractions import Fraction

    found: dict[str, int] = {}
    for text in packages:
        match = _PACKAGE.fullmatch(text)
        if match is None or not Fraction(match[2]):
            raise WrongCall(
                f"--package takes a product and what it holds, not “{text}”.", "Write: --package plain-cream=50"
            )
        if match[1] not in regimen.products:
            hint = nearest_of(match[1], regimen.products) or f"Products: {', '.join(regimen.products)}"
            raise WrongCall(f"--package: the file has no product “{match[1]}”.", hint)
        found[match[1]] = round(Fraction(match[2]) * 1000)
    return found


def _plan(reading: Reading, number: int, result: FileResult, desk: Desk) -> HandOut:
    """The hand-out planned, with the clock of the settings where the file has none."""
    from dermalint.handout.preparing import prepare

    part = desk.asked.settings.part_for(reading.path) if desk.asked.settings else None
    regimen = reading.regimens[number]
    if part is not None and part.day is not None and not regimen.clock.stated:
        from dermalint_grammar.record import replace

        regimen = replace(regimen, clock=replace(regimen.clock, stated=part.day.stated))
    return prepare(regimen, result, desk)


def _refuse(plan: HandOut, file: Path) -> None:
    from dermalint.report.remarks import CARE

    count = len(plan.avoid)
    lines = [
        "No hand-out was written: the rules find something to avoid in this regimen."
        if count == 1
        else f"No hand-out was written: the rules find {count} things to avoid in this regimen."
    ]
    lines += [f"- {remark.message} ({remark.rule})" for remark in plan.avoid]
    lines += [
        f"To read why: dermalint review {file}",
        f"To see changes that help: dermalint mend {file}",
        "To write it all the same, with these points on it: --even-so",
        CARE,
    ]
    click.echo("\n".join(lines), err=True)


def _write(
    plan: HandOut, format_: str, to: Path | None, language: str, large: bool, paper: str, contents: dict[str, int]
) -> None:
    from dermalint.cli.writing import write_bytes, write_document, write_file
    from dermalint.cli.writing import write_text as print_text
    from dermalint.handout.making import make

    made = make(plan, format_, language, large=large, paper=paper, packages=contents)
    if isinstance(made, bytes):
        if to is not None:
            try:
                to.write_bytes(made)
            except OSError as error:
                raise WrongCall(f"{to} cannot be written: {error.strerror or error}.", "Give --to another name.") from error
        elif format_ == "pdf" and sys.stdout.isatty():
            raise WrongCall("A PDF is no text for a terminal.", "Write it to a file: --to handout.pdf")
        else:
            write_bytes(made)
    elif to is not None:
        write_file(to, made)
    else:
        (print_text if format_ == "text" else write_document)(made)
