"""``dermalint arrange``: from wishes to a regimen that all rules accept, or to what clashes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, calendar_date, one_of
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.packs.model import PackSet
    from dermalint.regimen.model import Regimen

HELP = """Arrange the wishes of a regimen file into a full regimen that every rule accepts.

The file has `wishes:` with products and how often (`evenings: 3 per week`), slots to keep free, ramps and a cycle.
The plan says why each product stands where it does. Where wishes cannot be met together, the smallest set of wishes and
rules that clash is shown, and which smaller wishes would do.

\b
Show the plan:
    dermalint arrange wishes.regimen.yaml
Write the regimen:
    dermalint arrange wishes.regimen.yaml --to calm.regimen.yaml
Change as little as possible against last month's:
    dermalint arrange wishes.regimen.yaml --near march.regimen.yaml

\b
Exit status: 0 every wish is met, 1 some are not, or there is no plan,
2 something could not be read or the call was wrong.
"""


@click.command("arrange", help=HELP, short_help="Arrange wishes into a regimen that all rules accept.")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--as", "format_", callback=one_of("text", "json", "yaml"), default="text", metavar="text|json|yaml",
    help="The plan with its reasons (text, as usual), the same for programs (json), or the regimen file alone (yaml).",
)  # fmt: skip
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE", help="Write the regimen to a new .regimen.yaml file.")
@click.option("--near", type=click.Path(path_type=Path), metavar="FILE", help="Of equal plans, the one nearest this regimen.")
@click.option("--person", metavar="NAME", help="For which of the file's people.")
@click.option("--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More rule packs.")
@click.option("--only", multiple=True, metavar="NAME", help="Only this rule or pack; may be given several times.")
@click.option("--without", multiple=True, metavar="NAME", help="Not this rule or pack; may be given several times.")
@click.option("--stance", callback=one_of("usual", "strict"), metavar="usual|strict", help="How strictly to judge.")
@click.option("--region", metavar="NAME", help="The region to judge for, such as eu.")
@click.option("--as-of", callback=calendar_date, metavar="DATE", help="Judge on this date, not today's.")
@click.option(
    "--fail-at", callback=one_of("avoid", "caution", "advice"), metavar="avoid|caution|advice",
    help="The least severe finding that a plan must not have (caution, as usual).",
)  # fmt: skip
@plugin_options
def command(
    file: Path,
    format_: str,
    to: Path | None,
    near: Path | None,
    person: str | None,
    packs: Sequence[Path],
    only: Sequence[str],
    without: Sequence[str],
    stance: str | None,
    region: str | None,
    as_of: date | None,
    fail_at: str | None,
    without_plugins: bool,
    only_plugins: Sequence[str],
) -> int:
    """Arrange, print, perhaps write, and return the exit status."""
    from dermalint.arrange.arranging import arrange
    from dermalint.arrange.clash import find_cores, find_relaxations
    from dermalint.arrange.search import TooLarge
    from dermalint.arrange.wanted import WishError
    from dermalint.checks.asked import Asked as AskedOfCase
    from dermalint.cli.names import check_region, full_names
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.regimen.write import write_regimen
    from dermalint.report.arrange_report import as_data, plan_text
    from dermalint.review import Asked, open_desk
    from dermalint.settings.model import NOTHING_SET, SettingsError
    from dermalint.verdict.findings import SEVERITIES
    from dermalint_grammar.record import replace

    regimen = _read(file, person)
    before = None if near is None else _read(near, person)
    try:
        settings = project_settings([str(file)])
        plugins = chosen_plugins(without_plugins, only_plugins, settings.plugins if settings else None)
        known_packs = project_packs(settings, packs)
        asked = Asked(packs=known_packs, stance=stance, region=region, as_of=as_of, plugins=plugins, settings=settings)
        desk, known = open_desk(asked)
    except SettingsError as wrong_settings:
        return tell_wrong_settings(wrong_settings)
    part = settings.part_for(str(file)) if settings else NOTHING_SET
    if region:
        check_region(region, known)
    if only or without:
        names = {"only": full_names("--only", only, known), "without": full_names("--without", without, known)}
        desk, known = open_desk(replace(asked, **names))
    case = AskedOfCase(
        as_of or datetime.now(UTC).date(),
        region or (regimen.region.name if regimen.region else part.region),
        stance or regimen.stance or part.stance or "usual",
    )
    least = fail_at or (part.fail_at if part.fail_at in SEVERITIES else None) or "caution"
    clock = regimen.clock
    if part.day is not None and not clock.stated:
        regimen = replace(regimen, clock=replace(clock, stated=part.day.stated))
    try:
        arranged = arrange(desk.bench, regimen, case, near=before, severity=least, part=part)
        missed = not arranged.attempt.accepted or bool(arranged.attempt.missed())
        cores = find_cores(arranged) if missed else ()
        relaxations = find_relaxations(arranged, cores) if cores else ()
    except WishError as wrong:
        raise WrongCall(f"{file}: {wrong.message}", wrong.hint) from wrong
    except TooLarge as large:
        raise WrongCall(
            "These wishes are too many for the plain search.",
            'The solver takes them: pip install "dermalint[solver]"',
        ) from large
    attempt = arranged.attempt
    text = None
    if attempt.regimen is not None and attempt.accepted:
        text = write_regimen(replace(attempt.regimen, clock=clock))  # clocks of the settings stay there
    if to is not None:
        _write(to, text)
    rules = {fact.because for puzzle in attempt.puzzles for fact in puzzle.facts}
    sentences = _sentences(known, {linked.id for linked in desk.bench.rules} & rules)
    from dermalint.cli.writing import page_for_stdout, write_document, write_text

    if format_ == "json":
        import json

        data = as_data(arranged, sentences, cores, relaxations, text)
        write_document(json.dumps(data, ensure_ascii=False, indent=2) + "\n")
    elif format_ == "yaml":
        if text is not None:
            write_document(text)
    else:
        write_text(plan_text(page_for_stdout(), arranged, sentences, cores, relaxations))
    return 1 if missed else 0


def _read(file: Path, person: str | None) -> Regimen:
    """A file's regimen without mistakes, of one person."""
    from dermalint.regimen.model import ERROR
    from dermalint.regimen.read import read_regimen

    reading = read_regimen(file, shown=str(file))
    wrong = [problem for problem in reading.problems if problem.level == ERROR]
    if wrong or not reading.regimens:
        said = wrong[0].message if wrong else "It holds no regimen."
        raise WrongCall(f"{file}: {said}", f"All that is wrong with it: dermalint review {file}")
    found = [regimen for regimen in reading.regimens if person is None or regimen.person_name == person]
    if len(found) != 1:
        names = ", ".join(regimen.person_name or "" for regimen in reading.regimens)
        raise WrongCall(f"{file}: this file has several people, or none of that name.", f"Give --person one of: {names}")
    return found[0]


def _write(to: Path, text: str | None) -> None:
    """Write the regimen to a file that is not there yet."""
    from dermalint.cli.writing import write_file

    if not to.name.endswith((".regimen.yaml", ".regimen.yml")):
        raise WrongCall(f"--to {to}: the plan is a regimen file in YAML.", "Give it a name such as plan.regimen.yaml")
    if to.exists():
        raise WrongCall(f"--to {to} is there already, and is not written over.", "Give --to another name.")
    if text is not None:
        write_file(to, text)


def _sentences(known: PackSet, rules: set[str]) -> dict[str, str]:
    """The rules' own sentences."""
    from dermalint.report.rules_report import cards, sentence_of

    return {
        linked.id: sentence_of(card.text, linked.rule.sentence)
        for card in (cards(known, sorted(rules)) if rules else [])
        for linked in card.rules
    }
