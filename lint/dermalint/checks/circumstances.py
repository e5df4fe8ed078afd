"""The clauses of a rule in words, as circumstances that are given: ``the person is pregnant``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from dermalint.checks.explain import duration_text, term_text
from dermalint.vocabulary.world import World, in_words
from dermalint_grammar import nodes

_SHARED = ("the person has ", "the person is ", "the person takes ", "the person ", "the regimen is for ", "the region is ")


def circumstances_text(conditions: Sequence[nodes.Condition], world: World) -> str:
    """What a rule's ``if`` clauses ask, joined by ``and``; empty where nothing but ``unless`` and dates is asked."""
    return " and ".join(text for condition in conditions if (text := _text(condition, world)))


def _text(condition: nodes.Condition, world: World) -> str:
    writer = _WRITERS.get(type(condition))
    return writer(condition, world) if writer is not None else ""


def _any(condition: nodes.AnyCondition, world: World) -> str:
    texts = [_text(part, world) for part in condition.conditions]
    if not all(texts):
        return ""
    for start in _SHARED:  # "the person has burning or stinging"
        if all(text.startswith(start) for text in texts):
            return start + " or ".join(text.removeprefix(start) for text in texts)
    return " or ".join(texts)


def _takes(condition: nodes.Takes, world: World) -> str:
    medicine = in_words(condition.medicine)
    if condition.within is None:
        return f"the person takes {medicine}"
    return f"the person took {medicine} within {duration_text(condition.within)}"


def _around(condition: nodes.Around, world: World) -> str:
    term, duration = term_text(condition.term, world), duration_text(condition.duration)
    return f"it is within {duration} after {term}" if condition.side == "after" else f"{term} comes within {duration}"


_WRITERS: dict[type, Callable[[Any, World], str]] = {
    nodes.AnyCondition: _any,
    nodes.EveryCondition: lambda condition, world: circumstances_text(condition.conditions, world),
    nodes.PersonIs: lambda condition, world: f"the person {condition.verb} {_trait(condition, world)}",
    nodes.AllergicTo: lambda condition, world: (
        f"the person is allergic to {world.allergies.get(condition.allergen, in_words(condition.allergen))}"
    ),
    nodes.Takes: _takes,
    nodes.ReasonIs: lambda condition, world: (
        f"the regimen is for {world.reasons.get(condition.reason, in_words(condition.reason))}"
    ),
    nodes.Age: lambda condition, world: f"the age is {condition.comparison.value} {duration_text(condition.duration)}",
    nodes.Phototype: lambda condition, world: f"the phototype is {condition.comparison.value} {condition.number}",
    nodes.RegionIs: lambda condition, world: f"the region is {world.regions.get(condition.region, in_words(condition.region))}",
    nodes.Around: _around,
}


def _trait(condition: nodes.PersonIs, world: World) -> str:
    """A name behind `is` says it itself (`sensitive`), behind `has` its title does (`G6PD deficiency`)."""
    title = world.traits.get(condition.trait) or world.symptoms.get(condition.trait)
    return title if title and condition.verb == "has" else in_words(condition.trait)
