"""The world: every name that rules and regimens may use, linked and checked.

The world is built once from all packs in force (:mod:`dermalint.packs`) and read by everything else.  Nothing in it
points back to a pack's text: what a name means is here, who declared it is the packs' business.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from dermalint_grammar import nodes
from dermalint_grammar.record import Record

BUILT_IN_EVENTS: Mapping[str, str] = {"bed": "bedtime", "daylight": "daylight"}
BUILT_IN_MEASURES = frozenset({"strength", "ph", "spf", "amount", "months-open", "days-past-expiry"})
SKIN_STATES = ("damp", "dry")
TOPICS = ("separation", "order", "timing", "frequency", "strength", "sun", "person", "companion", "shelf")

_NOTHING: Mapping[str, Any] = {}
_BREAKS = re.compile(r"[\W_]+")


class Substance(NamedTuple):
    """An INCI substance: its label names, chemistry and the families it is directly in.

    ``pka`` in billionths; ``molar_mass`` in billionths of a gram per mole.
    """

    key: str
    inci: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    cas: tuple[str, ...] = ()
    pka: tuple[int, ...] = ()
    molar_mass: int | None = None
    families: tuple[str, ...] = ()


class Family(NamedTuple):
    """An open set of substances, itself directly in the families ``parents``."""

    key: str
    title: str
    parents: tuple[str, ...] = ()


class Group(NamedTuple):
    """A named selector, which means exactly its term."""

    key: str
    title: str
    term: nodes.Term


class Measure(NamedTuple):
    """A number that rules compare; ``unit`` as declared ("%", "" or a word), ``adds`` where parts of a whole add up."""

    name: str
    unit: str
    adds: bool


class World(Record):
    """All names in force.

    ``areas`` maps each area to its bit mask: two areas overlap when their masks share a bit, and one covers another when
    it has all its bits.  ``labels`` maps normalised INCI names and synonyms (:func:`label_key`) to substance keys, and
    ``spellings`` their kebab-case to the same.  ``ancestors`` maps each substance and family to every family it is in,
    itself included; ``members`` is the reverse: each family's substances and families, itself included.
    """

    substances: Mapping[str, Substance] = _NOTHING
    families: Mapping[str, Family] = _NOTHING
    groups: Mapping[str, Group] = _NOTHING
    kinds: Mapping[str, str] = _NOTHING
    bases: Mapping[str, str] = _NOTHING
    events: Mapping[str, str] = _NOTHING
    traits: Mapping[str, str] = _NOTHING
    symptoms: Mapping[str, str] = _NOTHING
    allergies: Mapping[str, str] = _NOTHING
    reasons: Mapping[str, str] = _NOTHING
    regions: Mapping[str, str] = _NOTHING
    slots: Mapping[str, str] = _NOTHING
    areas: Mapping[str, int] = _NOTHING
    measures: Mapping[str, Measure] = _NOTHING
    labels: Mapping[str, str] = _NOTHING
    spellings: Mapping[str, str] = _NOTHING
    ancestors: Mapping[str, frozenset[str]] = _NOTHING
    members: Mapping[str, frozenset[str]] = _NOTHING


def label_key(text: str) -> str:
    """A label name as :attr:`World.labels` stores it: case folded, white space collapsed."""
    return " ".join(text.casefold().split())


def kebab_case(text: str) -> str:
    """A label name as a file writes it: ``3-O-Ethyl Ascorbic Acid`` becomes ``3-o-ethyl-ascorbic-acid``."""
    return _BREAKS.sub("-", text.casefold()).strip("-")


def resolve_content(name: str, world: World) -> str | None:
    """The substance or family that a file's name stands for, or None.

    The key itself is meant first; then an INCI name or a synonym, written as on a label or in kebab-case.
    """
    if name in world.substances or name in world.families:
        return name
    return world.labels.get(label_key(name)) or world.spellings.get(kebab_case(name))


def title_of(world: World, name: str) -> str:
    """A name as people read it: the first INCI name of a substance, the title of anything else, or the name in words."""
    if name in world.substances:
        inci = world.substances[name].inci
        return inci[0] if inci else in_words(name)
    titled: Family | Group | None = world.families.get(name) or world.groups.get(name)
    if titled is not None:
        return titled.title or in_words(name)
    for titles in (
        world.kinds,
        world.bases,
        world.events,
        world.traits,
        world.symptoms,
        world.allergies,
        world.reasons,
        world.regions,
        world.slots,
        BUILT_IN_EVENTS,
    ):
        if name in titles:
            return titles[name] or in_words(name)
    return in_words(name)


def in_words(name: str) -> str:
    """A key in words: ``eye-area`` becomes ``eye area``."""
    return name.replace("-", " ")


def nearest(name: str, known: Mapping[str, object] | frozenset[str] | set[str]) -> str | None:
    """The known name most like the given one, or None when none is near; the same for any order of ``known``."""
    from difflib import get_close_matches  # only a mistake pays for it

    close = get_close_matches(name.casefold(), sorted(known), n=1, cutoff=0.7)
    return close[0] if close else None
