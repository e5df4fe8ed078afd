"""The vocabulary that generated rules and regimens speak of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from dermalint.vocabulary.world import World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Name, Span

NOWHERE = Span(0, 0)
DAY_SLOTS = ("morning", "midday", "afternoon", "evening")


class Compared(NamedTuple):
    """A number that rules compare: its unit as declared (``%``, empty or a word), and whether it adds up."""

    name: str
    unit: str
    adds: bool


@dataclass(frozen=True, slots=True, repr=False)
class Words:
    """Names of every sort.  None of these may be empty except ``families``, ``groups``, ``allergies`` and ``measures``.

    ``labels`` are label names of the substances.
    """

    substances: tuple[str, ...]
    labels: tuple[str, ...]
    families: tuple[str, ...]
    groups: tuple[str, ...]
    kinds: tuple[str, ...]
    bases: tuple[str, ...]
    areas: tuple[str, ...]
    events: tuple[str, ...]
    traits: tuple[str, ...]
    symptoms: tuple[str, ...]
    allergies: tuple[str, ...]
    reasons: tuple[str, ...]
    regions: tuple[str, ...]
    slots: tuple[str, ...]
    measures: tuple[Compared, ...]

    def __repr__(self) -> str:
        return f"<words: {len(self.chemistry)} substances and families>"  # all names would drown what a test reports

    @property
    def chemistry(self) -> tuple[str, ...]:
        """Substances and families: what can have a strength."""
        return self.substances + self.families

    @property
    def matter(self) -> tuple[str, ...]:
        """All that a term may name."""
        return self.chemistry + self.groups + self.kinds


_SUBSTANCES = ("retinol", "adapalene", "glycolic-acid", "3-o-ethyl-ascorbic-acid", "niacinamide")


def _label(name: str) -> str:
    """The label name that a generated pack gives a substance."""
    return name.replace("-", " ").title()


WORDS = Words(
    substances=_SUBSTANCES,
    labels=tuple(_label(name) for name in _SUBSTANCES),
    families=("retinoid", "hydroxy-acid"),
    groups=("active",),
    kinds=("cleanser", "toner", "serum", "moisturiser", "sunscreen"),
    bases=("water", "emulsion", "oil"),
    areas=("face", "cheeks", "chin", "lips", "neck"),
    events=("waxing", "microneedling"),
    traits=("pregnant", "sensitive"),
    symptoms=("peeling", "stinging"),
    allergies=("aspirin",),
    reasons=("acne", "melasma"),
    regions=("eu", "us"),
    slots=DAY_SLOTS,
    measures=(
        Compared("strength", "%", True),
        Compared("ph", "", False),
        Compared("spf", "", False),
        Compared("amount", "g", True),
        Compared("months-open", "months", False),
    ),
)
"""A small vocabulary, which a generated pack declares itself unless it is given another."""

_MEMBERS = {"retinol": "retinoid", "adapalene": "retinoid", "glycolic-acid": "hydroxy-acid"}


def words_of(world: World) -> Words:
    """All names of a world that packs were linked into."""
    return Words(
        substances=tuple(world.substances),
        labels=tuple(name for substance in world.substances.values() for name in substance.inci) or ("Aqua",),
        families=tuple(world.families),
        groups=tuple(world.groups),
        kinds=tuple(world.kinds),
        bases=tuple(world.bases),
        areas=tuple(world.areas),
        events=tuple(world.events),
        traits=tuple(world.traits),
        symptoms=tuple(world.symptoms),
        allergies=tuple(world.allergies),
        reasons=tuple(world.reasons),
        regions=tuple(world.regions),
        slots=tuple(world.slots),
        measures=tuple(Compared(measure.name, measure.unit, measure.adds) for measure in world.measures.values()),
    )


def declarations_of(words: Words) -> tuple[nodes.Declaration, ...]:
    """Declarations of all these names, so that a pack may stand alone.  The first area contains the second."""
    return tuple(_declarations(words))


def _declarations(words: Words) -> Iterator[nodes.Declaration]:
    for sort, names in (
        ("kind", words.kinds),
        ("base", words.bases),
        ("event", words.events),
        ("trait", words.traits),
        ("symptom", words.symptoms),
        ("allergy", words.allergies),
        ("reason", words.reasons),
        ("region", words.regions),
        ("slot", words.slots),
    ):
        for name in names:
            yield nodes.PlainDecl(sort, named(name), name.replace("-", " "), NOWHERE)
    for measure in words.measures:
        yield nodes.MeasureDecl(named(measure.name), measure.unit, measure.adds, NOWHERE)
    for number, name in enumerate(words.areas):
        contains = (named(words.areas[1]),) if number == 0 and len(words.areas) > 1 else ()
        yield nodes.AreaDecl(named(name), contains, (), NOWHERE)
    for name in words.families:
        yield nodes.FamilyDecl(named(name), name.replace("-", " "), (), NOWHERE)
    for name in words.substances:
        families = (named(_MEMBERS[name]),) if _MEMBERS.get(name) in words.families else ()
        yield nodes.SubstanceDecl(named(name), (_label(name),), (), (), (), None, families, (), NOWHERE)
    for name in words.groups:
        terms = tuple(nodes.Named(one, NOWHERE) for one in words.chemistry[:2])
        yield nodes.GroupDecl(named(name), "", terms[0] if len(terms) == 1 else nodes.OneOf(terms, NOWHERE), NOWHERE)


def named(text: str) -> Name:
    """A name that stands nowhere."""
    return Name(text, NOWHERE)
