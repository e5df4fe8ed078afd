"""Loading plugins, each by itself: one that is at fault is named and left out, and the run goes on.

A plugin goes through five steps, and a fault in one of them undoes the ones before: it is imported; its interface version is
compared; it is registered, which checks the names and arguments of its hooks; the hook that is asked for is called; what
the hook returns is checked.  Every step that runs the plugin's own code is guarded (:mod:`dermalint.plugins.guard`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any

import pluggy

from dermalint.plugins.catalogue import PACKS_HOOK, Catalogue, Offer
from dermalint.plugins.faults import Fault, Unavailable
from dermalint.plugins.guard import Outcome, call_guarded, tell_fault, time_limit
from dermalint.plugins.specification import INTERFACE, PROJECT, Hooks
from dermalint.regimen.model import HINT

_TELL = "Tell its maker; until then `--without-plugins` runs without it."


@dataclass(slots=True)
class Loader:
    """The plugins loaded so far, by the value of their entry points; ``notes`` are faults that cost nothing more."""

    catalogue: Catalogue
    seconds: float = field(default_factory=time_limit)
    manager: pluggy.PluginManager = field(default_factory=lambda: pluggy.PluginManager(PROJECT))
    notes: list[Fault] = field(default_factory=list)
    _plugins: dict[str, Any] = field(default_factory=dict)  # a plugin, or the (cause, todo) of its fault
    _answers: dict[tuple[str, str], Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.manager.add_hookspecs(Hooks)

    def paths(self, offer: Offer) -> tuple[Path, ...]:
        """The packs that a plugin gives.  Raises :class:`Unavailable`."""
        answer: tuple[Path, ...] = self._answer(offer)
        return answer

    def function(self, offer: Offer) -> Callable[..., Any]:
        """The function behind an offer.  Raises :class:`Unavailable` where it cannot be had."""
        answer: Mapping[str, Callable[..., Any]] = self._answer(offer)
        if offer.label not in answer:
            raise self._fault(offer, f"does not give {offer.label} from its hook `{offer.hook}`, as its name promises", _TELL)
        return answer[offer.label]

    def call(self, offer: Offer, function: Callable[[], Any], doing: str) -> Any:
        """Call a plugin's function, guarded.  ``doing`` is told in a fault (``when it measured night-cream``).

        Raises :class:`Unavailable`.  After a call that did not come back the plugin is not called again.
        """
        plugin = self._plugins.get(offer.entry.value)
        if isinstance(plugin, tuple):
            raise self._fault(offer, *plugin)
        outcome = self._guarded(offer, function)
        if outcome.fault is not None:
            if outcome.late:
                self._drop(offer)
                self._plugins[offer.entry.value] = (f"{outcome.fault} {doing}", _TELL)
            raise self._fault(offer, f"{outcome.fault} {doing}", _TELL)
        return outcome.value

    # --- the five steps ---

    def _answer(self, offer: Offer) -> Any:
        key = (offer.entry.value, offer.hook)
        if key not in self._answers:
            self._answers[key] = self._ask(offer)
        answer = self._answers[key]
        if isinstance(answer, _Refused):
            raise self._fault(offer, answer.cause, answer.todo)
        return answer

    def _ask(self, offer: Offer) -> Any:
        value = offer.entry.value
        if value not in self._plugins:
            self._plugins[value] = self._load(offer)
        plugin = self._plugins[value]
        if isinstance(plugin, tuple):
            return _Refused(*plugin)
        hook = next(
            (
                implementation
                for implementation in getattr(self.manager.hook, offer.hook).get_hookimpls()
                if implementation.plugin_name == value
            ),
            None,
        )
        if hook is None:
            return _Refused(f"has no hook `{offer.hook}`, as its name promises", _TELL)

        def ask() -> Any:  # what a hook gives may be lazy, so that reading it runs the plugin's code as well
            given = hook.function()
            return _as_paths(given) if offer.hook == PACKS_HOOK else _as_functions(given)

        outcome = self._guarded(offer, ask)
        if outcome.fault is not None:
            return _Refused(f"failed when it was asked for its {offer.hook}: it {outcome.fault}", _TELL)
        if isinstance(outcome.value, str):
            return _Refused(f"gave what its hook `{offer.hook}` must not give: {outcome.value}", _TELL)
        self._note_unnamed(offer, outcome.value)
        return outcome.value

    def _load(self, offer: Offer) -> Any:
        """A plugin in force, or why it is not and what to do, as two texts."""
        value, distribution = offer.entry.value, offer.entry.distribution
        outcome = self._guarded(offer, lambda: _import(value))
        if outcome.fault is not None:
            if outcome.fault.startswith(("raised ModuleNotFoundError", "raised ImportError")):
                return f"cannot be imported: it {outcome.fault}", f"Install {distribution} again, or uninstall it."
            return f"cannot be imported: it {outcome.fault}", _TELL
        plugin, interface = outcome.value
        if interface is None:
            return f"does not say for which interface it is written (`DERMALINT_INTERFACE = {INTERFACE}`)", _TELL
        if type(interface) is not int:
            return f"has a DERMALINT_INTERFACE that is no whole number ({_kind(interface)})", _TELL
        if interface < INTERFACE:
            return f"is out of date: written for interface {interface}, where {INTERFACE} is offered", f"Update {distribution}."
        if interface > INTERFACE:
            return f"is too new: written for interface {interface}, where {INTERFACE} is offered", "Update dermalint."
        outcome = self._guarded(offer, lambda: self._register(plugin, value))
        if outcome.fault is not None or outcome.value is not None:
            self._drop(offer)
            return f"does not fit the interface: {outcome.value or f'it {outcome.fault}'}", _TELL
        return plugin

    def _register(self, plugin: Any, value: str) -> str | None:
        try:
            self.manager.register(plugin, value)
            self.manager.check_pending()
        except pluggy.PluginValidationError as fault:
            return tell_fault(fault).partition(": ")[2]
        return None if self.manager.get_hookcallers(plugin) else "it provides nothing"

    def _drop(self, offer: Offer) -> None:
        if self.manager.has_plugin(offer.entry.value):
            self.manager.unregister(name=offer.entry.value)

    # --- what is told ---

    def _guarded(self, offer: Offer, function: Callable[[], Any]) -> Outcome:
        outcome = call_guarded(function, self.seconds)
        if outcome.printed:
            self._note(offer, "prints to standard output, where the report goes; what it printed was dropped")
        return outcome

    def _note_unnamed(self, offer: Offer, answer: Any) -> None:
        if offer.hook == PACKS_HOOK:
            return
        named = {
            other.label
            for other in (*self.catalogue.offers, *self.catalogue.left_out)
            if other.hook == offer.hook and other.entry.value == offer.entry.value
        }
        taken = {problem.plugin for problem in self.catalogue.problems}
        for label in sorted(answer):
            name = f"{offer.hook}.{label}"
            if label not in named and f"{offer.entry.distribution}: {name}" not in taken:
                self._note(offer, f"gives {label} from its hook `{offer.hook}`, but no entry point `{name}`; it is not used")

    def _note(self, offer: Offer, cause: str) -> None:
        note = Fault("", "", offer.entry.origin, cause, "Tell its maker.", HINT)
        if note not in self.notes:
            self.notes.append(note)

    @staticmethod
    def _fault(offer: Offer, cause: str, todo: str) -> Unavailable:
        return Unavailable(Fault(offer.hook, offer.label, offer.entry.origin, cause, todo))


@dataclass(frozen=True, slots=True)
class _Refused:
    """An answer that cannot be used."""

    cause: str
    todo: str


def _import(value: str) -> tuple[Any, Any]:
    module, _, attribute = value.partition(":")
    plugin: Any = import_module(module)
    for name in filter(None, attribute.split(".")):
        plugin = getattr(plugin, name)
    return plugin, getattr(plugin, "DERMALINT_INTERFACE", None)


def _as_paths(given: Any) -> tuple[Path, ...] | str:
    """The absolute paths that a hook gave, or in words why they are none."""
    if isinstance(given, str | bytes | Path) or not hasattr(given, "__iter__"):
        return f"{_kind(given)} where a list of paths was expected"
    paths = []
    for path in given:
        if not isinstance(path, str | Path):
            return f"{_kind(path)} where a path was expected"
        if not Path(path).is_absolute():
            return f"{path} is not an absolute path"
        paths.append(Path(path))
    return tuple(paths)


def _as_functions(given: Any) -> dict[str, Callable[..., Any]] | str:
    """The functions that a hook gave, by name, or in words why they are none."""
    if not isinstance(given, Mapping):
        return f"{_kind(given)} where names with their functions were expected"
    for name, function in given.items():
        if not isinstance(name, str):
            return f"{_kind(name)} where a name was expected"
        if not callable(function):
            return f"{_kind(function)} for {name}, where a function was expected"
    return dict(given)


def _kind(value: Any) -> str:
    if value is None:
        return "nothing (None)"
    return f"a value of the type {type(value).__name__}"
