"""What a shell offers for the values of options and arguments: words of a choice, names of rules, packs and regions, files.

Only a shell that asks for completion pays for it; a command is called without any of this.  Whatever goes wrong here means
that nothing is offered, as nobody reads messages between two presses of a key.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

from dermalint.packs.model import PackSet

if TYPE_CHECKING:
    _ParamType = click.ParamType[Any]
else:  # the oldest click that will do has it without a parameter
    _ParamType = click.ParamType

_WORD = re.compile(r"[a-z][a-z0-9-]*")
_Offers = Callable[[click.Context], Iterable[tuple[str, str]]]


class _Offered(_ParamType):
    """A value that a shell completes with what is offered, each with a few words on it."""

    name = "text"

    def __init__(self, offers: _Offers) -> None:
        self._offers = offers

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:  # noqa: ARG002
        try:
            offered = dict(self._offers(ctx))
        except Exception:  # see above
            return []
        return [CompletionItem(name, help=said or None) for name, said in offered.items() if name.startswith(incomplete)]


def complete_values(command: click.Command) -> click.Command:
    """The same command, its options and arguments completed by what their names and help texts say they take."""
    for param in command.params:
        kind = _kind_of(command, param)
        if kind is not None:
            param.type = kind
    return command


def _kind_of(command: click.Command, param: click.Parameter) -> _ParamType | None:
    metavar = getattr(param, "metavar", None) or ""
    name = (param.name or "").replace("_", "-")
    named: dict[str, _Offers] = {
        "only": _rules_and_packs, "without": _rules_and_packs, "region": _regions, "only-plugins": _plugins,
    }  # fmt: skip
    if command.name == "rules" and isinstance(param, click.Argument):
        return _Offered(_rules_and_packs)
    if isinstance(param, click.Option) and name in named:
        return _Offered(named[name])
    if command.name == "review" and "--as" in param.opts:
        return _Offered(lambda ctx: [*_words(metavar), *_reports_of_plugins(ctx)])
    if "|" in metavar:
        return _Offered(lambda _: _words(metavar))
    if metavar.strip("[].") in ("PATH", "FILE", "FOLDER") and not isinstance(param.type, click.Path):
        return click.Path()
    return None


def _words(metavar: str) -> list[tuple[str, str]]:
    """The words of ``N|auto`` and the like; what is in capitals stands for a value of one's own."""
    return [(word, "") for word in metavar.strip("[].").split("|") if _WORD.fullmatch(word)]


def _packs(ctx: click.Context) -> PackSet:
    """The packs in force as far as they are known yet: installed, of the settings, given before."""
    from dermalint.cli.project_settings import project_settings
    from dermalint.packs.load import load_packs
    from dermalint.settings.model import SettingsError

    given: Any = ctx.params.get("packs") or ()
    paths = [str(path) for path in ctx.params.get("paths") or ()]
    try:
        settings = project_settings(paths)
    except SettingsError:
        settings = None
    own = settings.packs if settings else ()
    return load_packs(tuple(Path(path) for path in (*own, *given)))


def _rules_and_packs(ctx: click.Context) -> Iterable[tuple[str, str]]:
    """Packs, and rules by their full names."""
    packs = _packs(ctx)
    yield from ((pack.name, "pack") for pack in packs.packs)
    yield from ((linked.id, "rule") for linked in packs.rules)


def _regions(ctx: click.Context) -> Iterable[tuple[str, str]]:
    return [(name, "") for name in sorted(_packs(ctx).world.regions)]


def _plugins(_: click.Context) -> Iterable[tuple[str, str]]:
    from dermalint.plugins.catalogue import read_catalogue

    for offer in read_catalogue(()).left_out:
        yield offer.entry.distribution, "distribution"
        yield offer.entry.name, offer.entry.distribution


def _reports_of_plugins(_: click.Context) -> Iterable[tuple[str, str]]:
    from dermalint.plugins.catalogue import REPORTS, read_catalogue

    return [(name, "report of a plugin") for name in read_catalogue(None).labels(REPORTS)]
