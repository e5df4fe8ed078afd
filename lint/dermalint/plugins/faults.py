"""What is wrong with a plugin, from where it shows to the one problem that tells it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from dermalint.plugins.catalogue import MEASURES, PACKS_HOOK, REGIMENS, REPORTS
from dermalint.regimen.model import ERROR, Problem

_NAMED = 5  # so many rules or files are named, then counted


class Fault(NamedTuple):
    """One fault: of which plugin, why, what to do, and who needed what it does not give.

    ``level`` is an error where the run depended on the plugin, else a hint.  ``plugin`` is its distribution and entry point.
    """

    hook: str
    label: str
    plugin: str
    cause: str
    todo: str
    level: str = ERROR
    needed: tuple[str, ...] = ()


class Unavailable(Exception):
    """Something that a plugin should give cannot be had."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.cause)
        self.fault = fault


def merge(faults: Iterable[Fault]) -> tuple[Problem, ...]:
    """One problem for each thing that cannot be had: its first cause, and everyone who needed it."""
    merged: dict[tuple[str, str, str], Fault] = {}
    for fault in faults:
        key = (fault.hook, fault.label, fault.plugin) if fault.hook else (fault.cause, "", fault.plugin)
        first = merged.get(key)
        if first is not None:
            needed = dict.fromkeys((*first.needed, *fault.needed))
            merged[key] = first._replace(needed=tuple(needed))
        else:
            merged[key] = fault
    return tuple(_problem(fault) for _, fault in sorted(merged.items()))


def _problem(fault: Fault) -> Problem:
    message = f"The plugin {fault.plugin} {fault.cause}." if fault.plugin != fault.label else f"{fault.cause}."
    return Problem(fault.level, f"{message} {_consequence(fault)}".rstrip(), fault.todo or None, plugin=fault.plugin)


def _consequence(fault: Fault) -> str:
    if fault.hook == MEASURES:
        without = _listed(sorted(fault.needed))
        return f"Not judged where {fault.label} is asked for: {without}." if without else "It is left out."
    if fault.hook == REGIMENS:
        return f"Not read: {_listed(fault.needed)}." if fault.needed else "It is left out."
    if fault.hook == REPORTS:
        return "The report is given as text instead."
    return "It is left out." if fault.hook == PACKS_HOOK else ""


def _listed(names: Iterable[str]) -> str:
    listed = list(names)
    more = len(listed) - _NAMED
    if more > 0:
        return f"{', '.join(listed[:_NAMED])} and {more} more"
    return ", ".join(listed)
