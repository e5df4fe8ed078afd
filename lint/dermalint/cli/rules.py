"""``dermalint rules``: which rules there are, and what one of them says."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from dermalint.cli.calls import one_of

HELP = """List rule packs and their rules, or show one rule with its reasons, sources and examples.

NAME is a pack, a rule's full name (pack.rule), or its own name where one pack alone has it.

\b
    dermalint rules
    dermalint rules acids
    dermalint rules acids.acid-off-retinoid-nights
    dermalint rules --packs house-rules/ --as json
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
def command(name: str | None, format_: str, packs: Sequence[Path]) -> int:
    """Print the list or the rule; 2 when a pack has a mistake."""
    from dermalint import __version__
    from dermalint.cli.names import full_names
    from dermalint.cli.writing import page_for_stdout, write_document, write_text
    from dermalint.packs.load import load_packs
    from dermalint.regimen.model import ERROR
    from dermalint.report.rules_report import as_json, as_text, cards

    known = load_packs(packs)
    wanted = full_names("", [name], known) if name else ()
    shown = cards(known, wanted)
    if format_ == "json":
        write_document(as_json(known, shown, __version__))
    else:
        one_rule = any(rule.id in wanted for rule in known.rules)
        write_text(as_text(page_for_stdout(), known, shown, whole=one_rule))
    return 2 if any(problem.level == ERROR for problem in known.problems) else 0
