"""The names in a regimen file, held against the world: what is unknown, and what has a better spelling."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from dermalint.regimen.model import (
    ERROR,
    HINT,
    ApplyStep,
    Mention,
    PastTest,
    Problem,
    Regimen,
)
from dermalint.spans import Place
from dermalint.vocabulary.world import World, in_words, kebab_case, nearest, resolve_content, title_of
from dermalint_grammar.record import Record

_FEW = 24  # names of a sort that are all told where none is near


class _Sort(Record):
    """A sort of names: how people call one, and the field of a file that holds them."""

    noun: str
    field: str
    known: Mapping[str, object]


def check_names(regimen: Regimen, world: World) -> tuple[Problem, ...]:
    """Problems of all names in a regimen, in the order of its text.

    An unknown name is an error at its place, with the nearest known one as suggestion; a synonym written in place of a
    substance's own name is a hint.
    """
    return tuple(dict.fromkeys(sorted(_all_problems(regimen, world), key=_order)))


def _order(problem: Problem) -> tuple[str, int, int, str]:
    place = problem.place or Place(0, 0)
    return (place.path or "", place.start, place.end, problem.message)


def _all_problems(regimen: Regimen, world: World) -> Iterator[Problem]:
    def check(sort: str, known: Mapping[str, object], mentions: Iterable[Mention]) -> Iterator[Problem]:
        for mention in mentions:
            if mention.name not in known:
                yield _unknown(mention.name, mention.place, sort, world)

    for product in regimen.products.values():
        yield from check("kind", world.kinds, product.kinds)
        yield from check("base", world.bases, () if product.base is None else (product.base,))
        for content in product.contains:
            yield from _check_matter(content.name, content.place, "substance", world)
    person = regimen.person
    yield from check("trait", world.traits, person.traits)
    yield from check("symptom", world.symptoms, person.symptoms)
    yield from check("reason", world.reasons, person.reasons)
    for allergy in person.allergies:
        if allergy.name not in world.allergies:
            yield from _check_matter(allergy.name, allergy.place, "allergy", world)
    for medicine in person.takes:
        yield from _check_matter(medicine.substance, medicine.place, "medicine", world)
    yield from check("region", world.regions, () if regimen.region is None else (regimen.region,))
    yield from check("event", world.events, (event.event for event in regimen.events))
    yield from check("area", world.areas, _areas(regimen))


def _areas(regimen: Regimen) -> Iterator[Mention]:
    for phase in regimen.phases:
        for routine in phase.routines:
            for step in routine.steps:
                if isinstance(step, ApplyStep):
                    yield from step.areas
                    yield from step.without
    for event in regimen.events:
        yield from event.areas
    for outdoors in regimen.outdoors:
        yield from outdoors.covered
    for past in regimen.history or ():
        if isinstance(past, PastTest):
            yield from past.areas


def _sorts(world: World) -> dict[str, _Sort]:
    matter: dict[str, object] = {**world.families, **world.substances}
    return {
        "substance": _Sort("substance or family", "contains", matter),
        "medicine": _Sort("medicine", "takes", matter),
        "kind": _Sort("kind of product", "kind", world.kinds),
        "base": _Sort("base", "base", world.bases),
        "trait": _Sort("trait", "traits", world.traits),
        "symptom": _Sort("symptom", "symptoms", world.symptoms),
        "reason": _Sort("reason", "reasons", world.reasons),
        "allergy": _Sort("allergy", "allergies", world.allergies),
        "event": _Sort("event", "event", world.events),
        "area": _Sort("area", "areas", world.areas),
        "region": _Sort("region", "region", world.regions),
    }


def _check_matter(name: str, place: Place, sort: str, world: World) -> Iterator[Problem]:
    """Substances and families: in ``contains``, in ``takes`` and in ``allergies``."""
    key = resolve_content(name, world)
    if key is None:
        yield _unknown(name, place, sort, world)
    elif key != name:
        called = title_of(world, key)
        own = called.casefold() == in_words(name).casefold() or kebab_case(called) == kebab_case(name)
        message = f"{name} is read as {key}." if own else f"{name} is another name of {called}; it is read as {key}."
        yield Problem(HINT, message, key, place)


def _unknown(name: str, place: Place, sort: str, world: World) -> Problem:
    sorts = _sorts(world)
    own = sorts[sort]
    for key, other in sorts.items():
        if key != sort and name in other.known and other.known is not own.known:
            message = f"{name} is {_with_article(other.noun)}, not {_with_article(own.noun)}: write it under `{other.field}`."
            return Problem(ERROR, message, f"{other.field}: {name}", place)
    known = set(own.known)
    if sort in ("substance", "medicine", "allergy"):
        known |= sorts["substance"].known.keys() | world.spellings.keys()
    close = nearest(kebab_case(name), known)
    if close is not None and close not in own.known:
        close = resolve_content(close, world) or close
    if close is None and known == set(own.known) and 0 < len(known) <= _FEW:
        close = f"There is: {', '.join(sorted(own.known))}."
    return Problem(ERROR, f"There is no {own.noun} called {name}.", close, place)


def _with_article(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"
