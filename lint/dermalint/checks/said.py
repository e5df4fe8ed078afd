"""What terms say whatever the regimen: worked out once for all regimens of a run."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from dermalint.vocabulary.world import World
from dermalint_grammar import nodes

_Answer = TypeVar("_Answer")
_SEVERAL = (nodes.OneOf, nodes.AllOf)


class Said:
    """Answers about terms.

    They are kept by the identity of a term, which is kept with them so that its number stays its own.  Only terms of rules
    last as long: ``any product``, which checks make as they need it, is answered and forgotten.
    """

    def __init__(self, world: World) -> None:
        self.world = world
        self._names: dict[int, tuple[nodes.Term, tuple[frozenset[str], frozenset[str]]]] = {}
        self._limits: dict[int, tuple[nodes.Term, int | None]] = {}
        self._placed: dict[int, tuple[nodes.Term, bool]] = {}
        self._rinsed: dict[int, tuple[nodes.Term, tuple[nodes.Term, ...]]] = {}

    def names_in(self, term: nodes.Term) -> tuple[frozenset[str], frozenset[str]]:
        """The substances and families a term sums over for its strength, and those it excepts."""
        return _kept(self._names, term, self._find_names)

    def area_limit(self, term: nodes.Term) -> int | None:
        """The areas a term restricts itself to (``A on face``), or None."""
        return _kept(self._limits, term, self._find_limit)

    def is_placed(self, term: nodes.Term) -> bool:
        """Whether a term has a part that says ``on AREA``, so that it may mean only some of a product's areas."""
        return _kept(self._placed, term, self._find_placed)

    def rinsed_parts(self, term: nodes.Term) -> tuple[nodes.Term, ...]:
        """The parts of a term that say ``rinsed`` themselves."""
        return _kept(self._rinsed, term, self._find_rinsed)

    def _find_names(self, term: nodes.Term) -> tuple[frozenset[str], frozenset[str]]:
        if isinstance(term, nodes.Named) and term.name not in self.world.groups:
            return frozenset((term.name,)), frozenset()
        if isinstance(term, _SEVERAL):
            wanted, but = frozenset[str](), frozenset[str]()
            for part in term.terms:
                more, less = self._find_names(part)
                wanted, but = wanted | more, but | less
            return wanted, but
        if isinstance(term, nodes.Except):
            wanted, but = self._find_names(term.term)
            # ``except prescribed retinol`` leaves whole products out, ``except retinol`` one part of a sum.
            return wanted, but | (self._find_names(term.but)[0] if is_plain(term.but) else frozenset())
        if isinstance(term, nodes.Literal):
            key = self.world.labels.get(" ".join(term.inci.casefold().split()))
            return (frozenset((key,)) if key else frozenset()), frozenset()
        inner = self._inside(term)
        return (frozenset(), frozenset()) if inner is None else self._find_names(inner)

    def _find_limit(self, term: nodes.Term) -> int | None:
        if isinstance(term, nodes.OnArea):
            own = self.world.areas.get(term.area, 0)
            inner = self._find_limit(term.term)
            return own if inner is None else own & inner
        if isinstance(term, nodes.OneOf):
            limits = [self._find_limit(part) for part in term.terms]
            mask = 0
            for limit in limits:
                if limit is None:
                    return None
                mask |= limit
            return mask
        if isinstance(term, nodes.AllOf):
            mask = -1
            for part in term.terms:
                limit = self._find_limit(part)
                mask &= -1 if limit is None else limit
            return None if mask == -1 else mask
        below = self._inside(term)
        return None if below is None else self._find_limit(below)

    def _find_placed(self, term: nodes.Term) -> bool:
        if isinstance(term, _SEVERAL):
            return any(map(self._find_placed, term.terms))
        inner = self._inside(term)
        return isinstance(term, nodes.OnArea) or (inner is not None and self._find_placed(inner))

    def _find_rinsed(self, term: nodes.Term) -> tuple[nodes.Term, ...]:
        if isinstance(term, nodes.Contacted) and term.contact == "rinsed":
            return (term,)
        if isinstance(term, _SEVERAL):
            return tuple(found for part in term.terms for found in self._find_rinsed(part))
        inner = self._inside(term)
        return () if inner is None else self._find_rinsed(inner)

    def _inside(self, term: nodes.Term) -> nodes.Term | None:
        """The term that another one narrows, or that the name of a group stands for."""
        if isinstance(term, nodes.Named):
            group = self.world.groups.get(term.name)
            return None if group is None else group.term
        return None if isinstance(term, nodes.NotTerm) else getattr(term, "term", None)


def _kept(answers: dict[int, tuple[nodes.Term, _Answer]], term: nodes.Term, find: Callable[[Any], _Answer]) -> _Answer:
    if isinstance(term, nodes.AnyProduct):
        return find(term)
    known = answers.get(id(term))
    if known is None:
        known = answers[id(term)] = term, find(term)
    return known[1]


def is_plain(term: nodes.Term) -> bool:
    """Whether a term is made of names alone."""
    if isinstance(term, nodes.OneOf):
        return all(is_plain(part) for part in term.terms)
    return isinstance(term, nodes.Named | nodes.Literal)
