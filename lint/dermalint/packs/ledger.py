"""Collecting the problems of packs while they are linked: each with its pack and place, each told once."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from dermalint.packs.model import PackFile
from dermalint.packs.references import Reference
from dermalint.packs.scope import Scope
from dermalint.regimen.model import ERROR, Problem
from dermalint.spans import Place, SourceText
from dermalint_grammar import nodes


@dataclass(frozen=True, slots=True)
class ReadPack:
    """A rule file that was read into a tree; ``unread`` are the names of its sentences with mistakes."""

    file: PackFile
    source: SourceText
    pack: nodes.Pack
    unread: frozenset[str] = frozenset()

    @property
    def name(self) -> str:
        """The pack's name."""
        return self.pack.name.text


@dataclass(slots=True)
class Ledger:
    """All problems so far.

    What is left out because a declaration it speaks of is at fault is collected by that declaration: one mistake gives one
    message more, not one for every rule.
    """

    problems: list[Problem] = field(default_factory=list)
    _dependents: dict[tuple[str, str, str], list[tuple[str, Place]]] = field(default_factory=dict)

    def tell(
        self, pack: ReadPack, span: nodes.Span, message: str, suggestion: str | None = None, *, level: str = ERROR
    ) -> None:
        """Note a problem at a place of a pack."""
        place = Place(span.start, span.end, "", pack.file.shown)
        self.problems.append(Problem(level, message, suggestion, place, pack.name))

    def check(self, pack: ReadPack, reference: Reference, scope: Scope, what: str, outcome: str = "is left out") -> bool:
        """Whether a name may be used; if not, that is noted, with ``what`` (``the rule x``) and what becomes of it."""
        trouble = scope.trouble(pack.name, reference)
        if trouble is None:
            return True
        span = _find_name(pack, reference)
        if trouble.failed is not None:
            self.depend(pack, span, trouble.failed, what, outcome)
        else:
            self.tell(pack, span, f"{trouble.message}; {what} {outcome}.", trouble.suggestion)
        return False

    def depend(self, pack: ReadPack, span: nodes.Span, failed: str, what: str, outcome: str = "is left out") -> None:
        """Note that something speaks of a name whose own sentence is at fault."""
        place = Place(span.start, span.end, "", pack.file.shown)
        self._dependents.setdefault((pack.name, failed, outcome), []).append((what, place))

    def close(self) -> tuple[Problem, ...]:
        """All problems by pack, file and place."""
        for (pack, name, outcome), dependents in self._dependents.items():
            whats = list(dict.fromkeys(what for what, _ in dependents))
            place = min(place for _, place in dependents)
            listed = whats[0] if len(whats) == 1 else f"{', '.join(whats[:-1])} and {whats[-1]}"
            does = outcome if len(whats) == 1 else outcome.replace("is ", "are ", 1)
            message = f"{name} is itself at fault (see its own message), so {listed} {does}."
            self.problems.append(Problem(ERROR, message, None, place, pack))
        self._dependents.clear()
        return tuple(sorted(set(self.problems), key=_order))


def _find_name(pack: ReadPack, reference: Reference) -> nodes.Span:
    """Where the name itself stands in what speaks of it: in ``retinol on fase``, the last word."""
    start, end = reference.span
    found = list(re.finditer(rf"(?<![\w-]){re.escape(reference.name)}(?![\w-])", pack.source.text[start:end]))
    return nodes.Span(start + found[-1].start(), start + found[-1].end()) if found else reference.span


def _order(problem: Problem) -> tuple[str, str, int, int, str]:
    place = problem.place or Place(0, 0)
    return (problem.pack or "", place.path or "", place.start, place.end, problem.message)
