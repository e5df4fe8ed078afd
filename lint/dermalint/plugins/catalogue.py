"""What the entry points of installed plugins say, before any of them is imported.

The name of an entry point in the group ``dermalint.plugins`` says which hook its plugin answers and for what, so that a plugin
is imported only when that is asked for::

    [project.entry-points."dermalint.plugins"]
    "measures.free-acid" = "dermalint_acids.measures"
    "regimen_formats.csv" = "larkspur_table"
    "report_formats.tally" = "larkspur_table"
    "packs.house" = "larkspur_house"
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Sequence

from dermalint.plugins.entry_points import PACKS, PLUGINS, EntryPoint, read_entry_points
from dermalint.regimen.model import HINT, Problem
from dermalint.vocabulary.world import BUILT_IN_MEASURES, nearest
from dermalint_grammar.record import Record

MEASURES, REGIMENS, REPORTS, PACKS_HOOK = "measures", "regimen_formats", "report_formats", "packs"
HOOKS = (MEASURES, PACKS_HOOK, REGIMENS, REPORTS)

# What dermalint has itself, and what its documents promise: no plugin may take these names.
TAKEN = {
    MEASURES: BUILT_IN_MEASURES,
    REGIMENS: frozenset({"yaml", "yml", "json", "toml"}),
    REPORTS: frozenset({"text", "json", "sarif", "html", "fhir"}),
    PACKS_HOOK: frozenset[str](),
}
_LABEL = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class Offer(Record):
    """What one entry point offers: the hook, and the measure, ending or format it is for (for ``packs``, any name)."""

    entry: EntryPoint
    hook: str
    label: str


class Catalogue(Record):
    """Installed packs and plugins.

    ``packs`` are the entry points of packs that are text; ``offers`` what plugins in Python offer, in force; ``left_out`` what
    the user's choice leaves out; ``problems`` say which entry points cannot be used as they are written, and ``unusable`` are
    these.  ``path`` is where they were looked for, None for ``sys.path``.
    """

    packs: tuple[EntryPoint, ...] = ()
    offers: tuple[Offer, ...] = ()
    left_out: tuple[Offer, ...] = ()
    problems: tuple[Problem, ...] = ()
    unusable: tuple[EntryPoint, ...] = ()
    path: tuple[str, ...] | None = None

    def find(self, hook: str, label: str) -> Offer | None:
        """The offer of a hook for a name."""
        return next((offer for offer in self.offers if (offer.hook, offer.label) == (hook, label)), None)

    def labels(self, hook: str) -> tuple[str, ...]:
        """The names that a hook is offered for."""
        return tuple(offer.label for offer in self.offers if offer.hook == hook)


def read_catalogue(allowed: Sequence[str] | None = None, search_path: Sequence[str] | None = None) -> Catalogue:
    """The installed packs and plugins, by distribution and name; nothing is imported.

    ``allowed`` names the plugins in Python that may be used, by distribution or entry point (none of them when empty; None:
    all); packs that are text are no code and always used.  ``search_path`` stands in for ``sys.path``.
    """
    path = [entry or os.curdir for entry in (sys.path if search_path is None else search_path)]
    entries = read_entry_points(path, ask_library=search_path is None)
    packs = tuple(entry for entry in entries if entry.group == PACKS)
    where = None if search_path is None else tuple(path)
    plugins = [entry for entry in entries if entry.group == PLUGINS]
    if not plugins and not allowed:
        return Catalogue(packs, path=where)
    return _sorted_out(packs, plugins, allowed, where)


def _sorted_out(
    packs: tuple[EntryPoint, ...], plugins: Sequence[EntryPoint], allowed: Sequence[str] | None, path: tuple[str, ...] | None
) -> Catalogue:
    offers: dict[tuple[str, str], Offer] = {}
    left_out: list[Offer] = []
    problems = _not_installed(plugins, allowed)
    unusable: list[EntryPoint] = []
    for entry in plugins:
        hook, _, label = entry.name.partition(".")
        offer = Offer(entry, hook, label)
        if allowed is not None and entry.distribution not in allowed and entry.name not in allowed:
            left_out.append(offer)
            continue
        fault = _unusable(offer, offers.get((hook, label)))
        if fault is None:
            offers[(hook, f"{entry.distribution}: {label}") if hook == PACKS_HOOK else (hook, label)] = offer
        else:
            unusable.append(entry)
            message = f"The plugin {entry.origin} {fault[0]}. It is left out."
            problems.append(Problem(HINT, message, fault[1], plugin=entry.origin))
    return Catalogue(packs, tuple(offers.values()), tuple(left_out), tuple(problems), tuple(unusable), path)


def _not_installed(plugins: Sequence[EntryPoint], allowed: Sequence[str] | None) -> list[Problem]:
    """What is allowed and not there: a name misspelt would leave a plugin out without a word."""
    if not allowed:
        return []
    known = frozenset(name for entry in plugins for name in (entry.distribution, entry.name))
    return [
        Problem(
            HINT,
            f"The plugin {name} may be used, and nothing of this name is installed.",
            f"Did you mean `{meant}`?" if (meant := nearest(name, known)) else "Install it, or take the name out.",
            plugin=name,
        )
        for name in allowed
        if name not in known
    ]


def _unusable(offer: Offer, other: Offer | None) -> tuple[str, str] | None:
    """Why an entry point cannot be used as it is written, and what to do; None when it can."""
    hook, label = offer.hook, offer.label
    if hook not in HOOKS:
        meant = nearest(hook, frozenset(HOOKS))
        known = f"names of entry points begin with {', '.join(f'`{name}.`' for name in HOOKS)}"
        return f"names no hook of this version of dermalint ({known})", (
            f"Did its maker mean `{meant}.{label}`? Otherwise update dermalint." if meant else "Update dermalint or the plugin."
        )
    if hook == PACKS_HOOK:
        return None
    if not _LABEL.fullmatch(label):
        return f"needs a name in small letters, digits and hyphens behind `{hook}.`", "Tell its maker."
    if label in TAKEN[hook]:
        return f"defines {label}, which dermalint has itself", "Its maker has to choose another name."
    if other is not None:
        return f"defines {label}, which the plugin {other.entry.origin} defines too; the first by name is used", (
            f"Uninstall one of the two, or choose: `--only-plugins {offer.entry.distribution}`."
        )
    return None
