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
What is installed, and how it is:
    dermalint rules --plugins
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
@plugin_options
def command(
    name: str | None, format_: str, packs: Sequence[Path], health: bool, without_plugins: bool, only_plugins: Sequence[str]
) -> int:
    """Print the list or the rule; 2 when a pack has a mistake, with ``--plugins`` 3 when something installed is at fault."""
    from dermalint import __version__
    from dermalint.cli.names import full_names
    from dermalint.cli.writing import page_for_stdout, write_document, write_text
    from dermalint.packs.load import load_packs
    from dermalint.plugins.catalogue import read_catalogue
    from dermalint.plugins.installed import Installed
    from dermalint.regimen.model import ERROR
    from dermalint.report.rules_report import as_json, as_text, cards

    plugins = Installed(partial(read_catalogue, chosen_plugins(without_plugins, only_plugins)))
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
