"""``dermalint start``: a small regimen, pack, plugin or project to begin with."""

from __future__ import annotations

from pathlib import Path

import click

from dermalint.cli.calls import WrongCall, nearest_of

KINDS = ("regimen", "pack", "plugin", "project")

HELP = """Write a small regimen, pack, plugin or project called NAME, complete and ready to be changed.

\b
A regimen file that reviews without a finding:
    dermalint start regimen calm-evenings --to courses/
Rules of your own, as a package that installs and passes its own tests; no programming:
    dermalint start pack larkspur-house
The same with a measure of your own, computed in Python:
    dermalint start plugin larkspur-actives
A folder for regimens, with settings and hooks before a commit:
    dermalint start project larkspur-row

Nothing is ever written over. NAME has small letters, digits and hyphens.

\b
Exit status: 0 written, 2 not written, and why.
"""


@click.command("start", help=HELP, short_help="Write a small regimen, pack, plugin or project to begin with.")
@click.argument("kind", metavar="|".join(KINDS), required=False)
@click.argument("name", required=False)
@click.option(
    "--to",
    type=click.Path(path_type=Path),
    default=Path(),
    metavar="FOLDER",
    help="Write into this folder (as usual: the one you are in).",
)
def command(kind: str | None, name: str | None, to: Path) -> int:
    """Write the files, say which and what to do next, and return the exit status."""
    if kind is not None and kind not in KINDS:
        nearest = nearest_of(kind, KINDS) or "For instance: dermalint start pack larkspur-house"
        known = f"{', '.join(KINDS[:-1])} or {KINDS[-1]}"
        raise WrongCall(f"What can be started is a {known}, and “{kind}” is none.", nearest, click.get_current_context())
    if kind is None or name is None:
        what = "What is to be started?" if kind is None else f"What is the {kind} to be called?"
        instance = {"regimen": "calm-evenings", "project": "larkspur-row"}.get(kind or "", "larkspur-house")
        raise WrongCall(what, f"For instance: dermalint start {kind or 'pack'} {instance}", click.get_current_context())
    from dermalint.cli.writing import page_for_stdout, write_text
    from dermalint.report.start_report import as_text
    from dermalint.start.names import CannotStart
    from dermalint.start.write import write_start

    try:
        written = write_start(kind, name, to)
    except CannotStart as wrong:
        raise WrongCall(str(wrong), wrong.hint, click.get_current_context()) from None
    write_text(as_text(page_for_stdout(), kind, name, written))
    return 0
