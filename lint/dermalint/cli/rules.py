"""``dermalint rules``: which rules there are, and what one of them says."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from dermalint.cli.calls import WrongCall, one_of
from dermalint.cli.plugin_choice import chosen_plugins, plugin_options

if TYPE_CHECKING:
    from dermalint.plugins.installed import Installed

HELP = """List rule packs and their rules, or show one rule with its reasons, sources and examples.

NAME is a pack, a rule's full name (pack.rule), or its own name where one pack alone has it.

\b
    dermalint rules
    dermalint rules acids
    dermalint rules acids.acid-off-retinoid-nights
    dermalint rules --packs house-rules/ --as json
What is installed, and how it is (packs and plugins of the folder's settings count, as for review):
    dermalint rules --plugins
The settings in force in this folder, and where each comes from (NAME may be another file or folder):
    dermalint rules --settings
"""


@click.command("rules", help=HELP, short_help="List rule packs and rules, or show one rule with its reasons and sources.")
@click.argument("name", required=False)
@click.option(
    "--as",
    "format_",
    callback=one_of("text", "json"),
    default="text",
    metavar="text|json",
    help="For people (text, as usual) or for programs (json).",
)
@click.option(
    "--packs", multiple=True, type=click.Path(path_type=Path), metavar="PATH", help="More rule packs: a file or a folder."
)
@click.option("--plugins", "health", is_flag=True, help="List installed packs and plugins instead, and how each is.")
@click.option("--settings", "settings_", is_flag=True, help="Show the settings in force instead, and where each is set.")
@plugin_options
def command(
    name: str | None,
    format_: str,
    packs: Sequence[Path],
    health: bool,
    settings_: bool,
    without_plugins: bool,
    only_plugins: Sequence[str],
) -> int:
    """Print the list or the rule; 2 when a pack has a mistake, with ``--plugins`` 3 when something installed is at fault."""
    if settings_:
        return _show_settings(name, format_)
    from dermalint import __version__
    from dermalint.cli.names import full_names
    from dermalint.cli.project_settings import project_packs, project_settings, tell_wrong_settings
    from dermalint.cli.writing import page_for_stdout, write_document, write_text
    from dermalint.packs.load import load_packs
    from dermalint.plugins.catalogue import read_catalogue
    from dermalint.plugins.installed import Installed
    from dermalint.regimen.model import ERROR
    from dermalint.report.rules_report import as_json, as_text, cards
    from dermalint.settings.model import SettingsError

    try:
        settings = project_settings([])
    except SettingsError as wrong:
        return tell_wrong_settings(wrong)
    allowed = settings.plugins if settings else None
    packs = project_packs(settings, packs)
    plugins = Installed(partial(read_catalogue, chosen_plugins(without_plugins, only_plugins, allowed)))
    if health:
        return _show_health(name, format_, tuple(packs), plugins)
    known = load_packs(packs, plugins=plugins)
    wanted = full_names("", [name], known) if name else ()
    shown = cards(known, wanted)
    if format_ == "json":
        write_document(as_json(known, shown, __version__))
    else:
        one_rule = any(rule.id in wanted for rule in known.rules)
        write_text(as_text(page_for_stdout(), known, shown, whole=one_rule))
    return 2 if any(problem.level == ERROR for problem in known.problems) else 0


def _show_settings(name: str | None, format_: str) -> int:
    from dermalint import __version__
    from dermalint.cli.project_settings import project_settings, tell_wrong_settings
    from dermalint.cli.writing import page_for_stdout, write_document, write_text
    from dermalint.report.settings_report import as_json, as_text
    from dermalint.settings.effective import effective
    from dermalint.settings.model import SettingsError

    try:
        settings = project_settings([] if name is None else [name])
    except SettingsError as wrong:
        return tell_wrong_settings(wrong)
    rows, file = effective(settings), settings.shown if settings else None
    if format_ == "json":
        write_document(as_json(rows, file, __version__))
    else:
        write_text(as_text(page_for_stdout(), rows, file))
    return 0


def _show_health(name: str | None, format_: str, packs: tuple[Path, ...], plugins: Installed) -> int:
    if name is not None:
        raise WrongCall("--plugins lists all that is installed and takes no name.", f"For the rules: dermalint rules {name}")
    from dermalint import __version__
    from dermalint.cli.writing import page_for_stdout, write_document, write_text
    from dermalint.packs.health import examine
    from dermalint.report.plugins_report import as_json, as_text

    found = examine(plugins, packs)
    if format_ == "json":
        write_document(as_json(found, __version__))
    else:
        write_text(as_text(page_for_stdout(), found))
    return 3 if any(remark.grave for health in found for remark in health.remarks) else 0
