"""What finding and loading packs gives: plain data, and rules that are built only when somebody asks for them."""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from typing import Any, NamedTuple

from dermalint.regimen.model import Problem
from dermalint.spans import SourceText
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.record import Record

GIVEN = "given"
_NO_SOURCES: Mapping[str, SourceText] = {}


class PackFile(NamedTuple):
    """A rule file that was found.

    ``path`` opens it; ``shown`` is how messages call it: as the user wrote it, or its package's folder and what follows.
    ``origin`` is ``given``, or the distribution and entry point that named its folder (``dermalint: acids``).
    """

    path: str
    shown: str
    origin: str


class LoadedPack(NamedTuple):
    """A pack in force; ``path`` as messages call its file, ``file`` as it is opened."""

    name: str
    version: str
    title: str
    about: str
    path: str
    file: str
    origin: str
    uses: tuple[str, ...] = ()


class LinkedRule:
    """A rule whose every name is known, called ``pack.rule``.

    ``triggers`` holds substances, families and kinds of which the regimen's products must answer to at least one for the
    rule to be able to fire, or is None for a rule that must always be run.  A product answers to its kinds, to what it
    contains, to every family above that, and, where it contains a family's total, to everything below that family.
    ``suspends`` are the full names of the rules it suspends; ``measures`` those that it asks for and a plugin computes.

    The tree of a rule from the cache is unpickled at the first use of :attr:`rule`: most rules of most runs are skipped
    by their triggers and never built.
    """

    __slots__ = ("_blob", "_rule", "id", "measures", "pack", "path", "suspends", "triggers")

    def __init__(
        self,
        id: str,  # noqa: A002  (the field's published name)
        pack: str,
        path: str,
        triggers: frozenset[str] | None,
        suspends: tuple[str, ...],
        rule: nodes.Rule | None,
        blob: bytes = b"",
        measures: tuple[str, ...] = (),
    ) -> None:
        self.id = id
        self.pack = pack
        self.path = path
        self.triggers = triggers
        self.suspends = suspends
        self.measures = measures
        self._rule = rule
        self._blob = blob

    @property
    def rule(self) -> nodes.Rule:
        """The rule's tree."""
        if self._rule is None:
            rule = pickle.loads(self._blob)  # the cache file's checksum and owner were verified when it was read
            assert isinstance(rule, nodes.Rule)
            self._rule = rule
        return self._rule

    def __reduce__(self) -> tuple[Any, ...]:
        blob = self._blob or pickle.dumps(self._rule, protocol=5)
        return LinkedRule, (self.id, self.pack, self.path, self.triggers, self.suspends, None, blob, self.measures)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, LinkedRule):
            return NotImplemented
        return (self.id, self.path, self.triggers, self.suspends, self.rule) == (
            other.id,
            other.path,
            other.triggers,
            other.suspends,
            other.rule,
        )

    def __hash__(self) -> int:
        return hash(self.id)

    def __repr__(self) -> str:
        return f"LinkedRule({self.id!r})"


class PackSet(Record):
    """Everything that the packs in force say.

    ``packs`` by name, ``rules`` by pack and then as they stand in it.  ``problems`` name the pack and its place;
    ``sources`` holds, by shown path, the texts that the problems' places point into.  ``key`` is the name of all that the set
    was made from (:func:`dermalint.packs.cache.cache_key`); empty where nothing is kept between runs.
    """

    world: World
    packs: tuple[LoadedPack, ...]
    rules: tuple[LinkedRule, ...]
    problems: tuple[Problem, ...]
    sources: Mapping[str, SourceText] = _NO_SOURCES
    key: str = ""
