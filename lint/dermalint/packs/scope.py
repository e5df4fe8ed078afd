"""Which pack sees which names, and what to say about a name that it does not see."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from dermalint.packs.references import LABEL_NAME, Reference
from dermalint.vocabulary.world import BUILT_IN_EVENTS, SKIN_STATES, nearest

_BUILT_IN: Mapping[str, frozenset[str]] = {
    "event": frozenset(BUILT_IN_EVENTS),
    "state of the skin": frozenset(SKIN_STATES),
}
# How a rule names what is of another sort than the one meant.
_SPELLED: Mapping[str, str] = {
    "base": "`base {}`",
    "event": "`event {}`",
    "area": "`… on {}`",
    "trait": "`person is {}`",
    "symptom": "`person has {}`",
    "allergy": "`person is allergic to {}`",
    "reason": "`reason is {}`",
    "region": "`region is {}`",
    "slot": "`in the {}`",
    "measure": "`with {} at least …`",
}


class Trouble(NamedTuple):
    """Why a name cannot be used; ``failed`` names a declaration that is itself at fault and already reported."""

    message: str
    suggestion: str | None
    failed: str | None = None


@dataclass(slots=True)
class Scope:
    """All declared names with the packs that declare them, while packs are being linked.

    ``visible`` maps each pack to the packs whose names it sees: itself, what it uses, and what those use.  ``unread`` holds
    the names that each pack's sentences with mistakes would have declared.
    """

    visible: Mapping[str, frozenset[str]]
    unread: Mapping[str, frozenset[str]] = field(default_factory=dict)
    owners: dict[tuple[str, str], set[str]] = field(default_factory=dict)
    failed: set[tuple[str, str, str]] = field(default_factory=set)
    spellings: Mapping[str, str] = field(default_factory=dict)  # kebab-case of label names to substances, for suggestions

    def own(self, pack: str, sort: str, name: str) -> None:
        """Note that a pack declares a name."""
        self.owners.setdefault((sort, name), set()).add(pack)

    def fail(self, pack: str, sort: str, name: str) -> None:
        """Note that a pack's declaration of a name is at fault and does not count."""
        self.failed.add((pack, sort, name))
        packs = self.owners.get((sort, name), set())
        packs.discard(pack)
        if not packs:
            self.owners.pop((sort, name), None)

    def sees(self, pack: str, sort: str, name: str) -> bool:
        """Whether a pack may use a name as something of this sort."""
        if name in _BUILT_IN.get(sort, ()):
            return True
        return not self.owners.get((sort, name), set()).isdisjoint(self.visible[pack])

    def at_fault(self, pack: str, sort: str, name: str) -> bool:
        """Whether a pack tried to declare a name and did not manage."""
        return (pack, sort, name) in self.failed or name in self.unread.get(pack, ())

    def owner(self, sort: str, name: str) -> str | None:
        """The pack that declares a name, the first in the alphabet where several do."""
        return min(self.owners.get((sort, name), ()), default=None)

    def trouble(self, pack: str, reference: Reference) -> Trouble | None:
        """What is wrong with a name in a pack, or None."""
        sorts, name = reference.sorts, reference.name
        if any((pack, sort, name) in self.failed for sort in sorts):
            return Trouble("", None, name)
        if any(self.sees(pack, sort, name) for sort in sorts):
            return None
        for other in self.visible[pack]:
            if any(self.at_fault(other, sort, name) for sort in sorts):
                return Trouble("", None, name)
        for sort in sorts:
            owner = self.owner(sort, name)
            if owner is not None:
                return Trouble(
                    f"The {sort} {name} is declared in the pack {owner}: add `uses {owner}` at the top of this pack",
                    f"uses {owner}",
                )
        for sort in _SPELLED:
            if sort not in sorts and self.sees(pack, sort, name):
                message = f"{name} is {_article(sort)}, where {_choice(sorts)} was expected"
                return Trouble(message, f"It is named with {_SPELLED[sort].format(name)}.")
        known = self.names(pack, sorts)
        if sorts == (LABEL_NAME,):
            return Trouble(f'No substance has the label name "{name}"', nearest(name, known))
        synonym = self.spellings.get(name)
        return Trouble(f"There is no {_or(sorts)} called {name}", synonym if synonym in known else nearest(name, known))

    def names(self, pack: str, sorts: Iterable[str]) -> set[str]:
        """Everything of these sorts that a pack sees."""
        wanted = frozenset(sorts)
        names = {name for (sort, name), packs in self.owners.items() if sort in wanted and packs & self.visible[pack]}
        return names.union(*(_BUILT_IN.get(sort, ()) for sort in wanted))


def _or(sorts: tuple[str, ...]) -> str:
    return sorts[0] if len(sorts) == 1 else f"{', '.join(sorts[:-1])} or {sorts[-1]}"


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _choice(sorts: tuple[str, ...]) -> str:
    return _article(_or(sorts))
