"""Loading plugins, each by itself: one that is at fault is named and left out, and the run goes on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import pluggy

from dermalint.plugins.entry_points import PLUGINS, EntryPoint
from dermalint.plugins.specification import INTERFACE, PROJECT, Hooks
from dermalint.regimen.model import ERROR, Problem


@dataclass(frozen=True, slots=True)
class ProvidedPath:
    """A rule file or folder, and the plugin that provides it."""

    path: Path
    origin: str


@dataclass(frozen=True, slots=True)
class Plugins:
    """The plugins in force, and what is wrong with the others."""

    manager: pluggy.PluginManager
    problems: tuple[Problem, ...]

    def packs(self) -> tuple[tuple[ProvidedPath, ...], tuple[Problem, ...]]:
        """The paths that plugins provide, and the problems of those that failed to."""
        provided: list[ProvidedPath] = []
        problems: list[Problem] = []
        for hook in self.manager.hook.packs.get_hookimpls():
            try:
                answer: Any = hook.function()
                paths = [_absolute(path) for path in answer]
            except (Exception, SystemExit) as fault:
                problems.append(_at_fault(hook.plugin_name, f"failed when it was asked for its packs: {_told(fault)}"))
            else:
                provided.extend(ProvidedPath(path, hook.plugin_name) for path in paths)
        provided.sort(key=lambda each: each.origin)
        return tuple(provided), tuple(sorted(problems, key=lambda problem: problem.plugin or ""))


def load_plugins(entries: Sequence[EntryPoint]) -> Plugins:
    """Import, check and register the plugins among these entry points, in their order.

    A plugin is in force only as a whole: it must be written for this interface, and everything it provides must be known.
    """
    manager = pluggy.PluginManager(PROJECT)
    manager.add_hookspecs(Hooks)
    problems: list[Problem] = []
    for entry in entries:
        if entry.group != PLUGINS:
            continue
        fault = _register(entry, manager)
        if fault is not None:
            problems.append(_at_fault(entry.origin, fault))
    return Plugins(manager, tuple(problems))


def _register(entry: EntryPoint, manager: pluggy.PluginManager) -> str | None:
    """Why a plugin cannot be in force; None when it now is."""
    try:
        plugin = _import(entry.value)
    except (Exception, SystemExit) as fault:
        return f"cannot be imported: {_told(fault)}"
    interface = getattr(plugin, "DERMALINT_INTERFACE", None)
    if interface is None:
        return f"does not say for which interface it is written (`DERMALINT_INTERFACE = {INTERFACE}`)"
    if interface != INTERFACE:
        return f"is written for interface {interface}, and this version of dermalint offers {INTERFACE}"
    try:
        manager.register(plugin, entry.origin)
        manager.check_pending()
        if not manager.get_hookcallers(plugin):
            raise ValueError("it provides nothing")
    except (Exception, SystemExit) as fault:
        if manager.has_plugin(entry.origin):
            manager.unregister(name=entry.origin)
        return f"does not fit the interface: {_told(fault)}"
    return None


def _import(value: str) -> Any:
    module, _, attribute = value.partition(":")
    plugin: Any = import_module(module)
    for name in filter(None, attribute.split(".")):
        plugin = getattr(plugin, name)
    return plugin


def _absolute(path: Any) -> Path:
    absolute = Path(path)
    if not absolute.is_absolute():
        raise ValueError(f"{path} is not an absolute path")
    return absolute


def _at_fault(plugin: str, what: str) -> Problem:
    return Problem(ERROR, f"The plugin {plugin} {what}. It is left out.", plugin=plugin)


def _told(fault: BaseException) -> str:
    """A fault in one line."""
    text = " ".join(str(fault).split())
    return f"{text} ({type(fault).__name__})" if text else type(fault).__name__
