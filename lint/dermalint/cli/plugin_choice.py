"""The options that say which plugins may run, and reports that plugins give."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import click

from dermalint.cli.calls import WrongCall, nearest_of


def plugin_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """``--without-plugins`` and ``--only-plugins NAME``."""
    only = click.option(
        "--only-plugins",
        multiple=True,
        metavar="NAME",
        help="Of the plugins written in Python, only this distribution or entry point; may be given several times.",
    )
    without = click.option(
        "--without-plugins", is_flag=True, help="Run no plugin written in Python; packs that are text stay in force."
    )
    return without(only(command))


def chosen_plugins(without: bool, only: Sequence[str], allowed: Sequence[str] | None = None) -> tuple[str, ...] | None:
    """The plugins that may run, as :func:`~dermalint.plugins.catalogue.read_catalogue` takes them; None: all.

    ``allowed`` is what settings allow; the command line chooses among it.  Raises :class:`WrongCall` for a name that no
    installed plugin has.
    """
    if without and only:
        raise WrongCall("--without-plugins and --only-plugins exclude each other.", "Give one of the two.")
    if without:
        return ()
    if not only:
        return None if allowed is None else tuple(allowed)
    from dermalint.plugins.catalogue import read_catalogue

    # Everything that may be named is what is left out when nothing is allowed.
    entries = [offer.entry for offer in read_catalogue(()).left_out]
    known = {name for entry in entries for name in (entry.distribution, entry.name)}
    for name in only:
        if name not in known:
            hint = nearest_of(name, known) or "Installed: dermalint rules --plugins"
            raise WrongCall(f"--only-plugins: no plugin “{name}” is installed.", hint)
    if allowed is None:
        return tuple(only)
    named = ((entry.name, {entry.distribution, entry.name}) for entry in entries)
    return tuple(dict.fromkeys(name for name, names in named if names & {*only} and names & {*allowed}))


def check_report_name(name: str, usual: Sequence[str], plugins: tuple[str, ...] | None) -> None:
    """Raise :class:`WrongCall` for a format of reports that neither dermalint nor a plugin that may run has."""
    from dermalint.plugins.catalogue import REPORTS, read_catalogue

    known = [*usual, *read_catalogue(plugins).labels(REPORTS)]
    if name not in known:
        raise WrongCall(f"--as takes {', '.join(known[:-1])} or {known[-1]}, not “{name}”.", nearest_of(name, known))
