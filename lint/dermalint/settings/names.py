"""Whether the rules, packs and regions that settings name exist; the packs say."""

from __future__ import annotations

from collections.abc import Iterable

from dermalint.packs.model import PackSet
from dermalint.regimen.model import ERROR, Problem
from dermalint.settings.model import Settings, SettingsError
from dermalint.spans import Place
from dermalint.vocabulary.world import nearest


def check_names(settings: Settings, packs: PackSet) -> None:
    """Raise :class:`SettingsError` for a rule, pack or region that no pack in force has.

    Where a pack failed to load, names of rules are not judged: the pack's own mistake is told.
    """
    problems: list[Problem] = []
    known = {pack.name for pack in packs.packs} | {linked.id for linked in packs.rules}
    whole = not any(problem.level == ERROR for problem in packs.problems)
    for part in (settings.everywhere, *(folder.part for folder in settings.folders)):
        if whole:
            unknown = (name for name in sorted(part.severities) if name not in known)
            problems += [_unknown(settings, name, known, "rule or pack") for name in unknown]
        if part.region and part.region not in packs.world.regions:
            problems.append(_unknown(settings, part.region, packs.world.regions, "region"))
    if problems:
        raise SettingsError(settings.shown, tuple(problems), settings.source)


def _unknown(settings: Settings, name: str, known: Iterable[str], what: str) -> Problem:
    names = sorted(known)
    close = nearest(name, frozenset(names))
    few = f"Known: {', '.join(names)}." if len(names) < 10 else "All names: `dermalint rules`."
    suggestion = f"Did you mean `{close}`?" if close else few
    return Problem(ERROR, f"There is no {what} `{name}`.", suggestion, _place(settings, name))


def _place(settings: Settings, name: str) -> Place | None:
    """Where the name stands: as a whole, or the rule's own part behind its pack's."""
    text = settings.source.text if settings.source else ""
    for part in (name, name.partition(".")[2]):
        at = _word(text, part) if part else -1
        if at >= 0:
            return Place(at, at + len(part), "", settings.shown)
    return None


def _word(text: str, word: str) -> int:
    at = text.find(word)
    while at >= 0:
        before, behind = text[at - 1 : at], text[at + len(word) : at + len(word) + 1]
        if not (before.isalnum() or before == "-" or behind.isalnum() or behind == "-"):
            return at
        at = text.find(word, at + 1)
    return -1
