"""Which names a tree speaks of, where, and what each of them must be."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from dermalint.vocabulary.world import label_key
from dermalint_grammar import nodes

MATTER = ("substance", "family", "group", "kind")  # what a term may name: these share one space of names
PERSON = ("trait", "symptom")
MEDICINE = ("substance", "family")
ALLERGEN = ("allergy", "substance", "family")
EVENT = ("event",)
LABEL_NAME = "label name"  # of a substance, as label_key writes it

_EVERY = frozenset({"daylight", "routine", "day"})
_COUNTED = frozenset({"times", "days"})


class Reference(NamedTuple):
    """A name in a tree: it must be of one of ``sorts``."""

    sorts: tuple[str, ...]
    name: str
    span: nodes.Span


def walk(node: nodes.Node) -> Iterator[nodes.Node]:
    """A node and every node inside it, in the order of its text."""
    yield node
    for value in values(node):
        if isinstance(value, nodes.Node):
            yield from walk(value)
        elif isinstance(value, tuple):
            for item in value:
                if isinstance(item, nodes.Node):
                    yield from walk(item)


def values(node: nodes.Node) -> tuple[Any, ...]:
    """The values of a node's fields, in their order."""
    return tuple(getattr(node, name) for name in getattr(node, "__match_args__", ()))


def references(node: nodes.Node) -> Iterator[Reference]:
    """All names that a term, requirement, condition or example speaks of."""
    for part in walk(node):
        yield from _own_references(part)


def _own_references(part: nodes.Node) -> Iterator[Reference]:
    match part:
        case nodes.Named(name, span):
            yield Reference(MATTER, name, span)
        case nodes.Literal(inci, span):
            yield Reference((LABEL_NAME,), label_key(inci), span)
        case nodes.BaseIs(name, span):
            yield Reference(("base",), name, span)
        case nodes.OnArea(_, name, span):
            yield Reference(("area",), name, span)
        case nodes.EventIs(name, span):
            yield Reference(EVENT, name, span)
        case nodes.Measured(_, name, _, _, span):
            yield Reference(("measure",), name, span)
        case nodes.Limit(measure=measure):
            yield Reference(("measure",), measure.text, measure.span)
        case nodes.UseOnly(slots=slots):
            for slot in slots:
                yield Reference(("slot",), slot.text, slot.span)
        case nodes.NeverUse(slot=nodes.Name(text, span)):
            yield Reference(("slot",), text, span)
        case nodes.ApplyEdge(slot=str(name), span=span):
            yield Reference(("slot",), name, span)
        case nodes.UseCount(counted=name, span=span) if name not in _COUNTED:
            yield Reference(("slot",), name, span)
        case nodes.Reach(where="every", slot=str(name), span=span) if name not in _EVERY:
            yield Reference(("slot",), name, span)
        case nodes.ExpectEvery(slot=name, span=span) if name not in _EVERY:
            yield Reference(("slot",), name, span)
        case nodes.PersonIs(name, _, span):
            yield Reference(PERSON, name, span)
        case nodes.AllergicTo(name, span):
            yield Reference(ALLERGEN, name, span)
        case nodes.Takes(name, _, span):
            yield Reference(MEDICINE, name, span)
        case nodes.ReasonIs(name, span):
            yield Reference(("reason",), name, span)
        case nodes.RegionIs(name, span):
            yield Reference(("region",), name, span)
        case nodes.SkinIs(name, span):
            yield Reference(("state of the skin",), name, span)
        case nodes.Given() | nodes.Remark() | nodes.ExampleStep() | nodes.ExampleRoutine() | nodes.ExampleEvent():
            yield from _example_references(part)


def _example_references(part: nodes.Node) -> Iterator[Reference]:
    given = {"trait": PERSON, "takes": MEDICINE, "allergic": ALLERGEN, "reason": ("reason",), "region": ("region",)}
    remark = {"area": ("area",), "base": ("base",), "measure": ("measure",), "content": ("substance", "family", "kind")}
    match part:
        case nodes.Given(kind=kind, name=name, span=span) if kind in given:
            yield Reference(given[kind], name, span)
        case nodes.Remark(kind=kind, word=name, span=span) if kind in remark:
            yield Reference(remark[kind], name, span)
        case nodes.ExampleStep(what=nodes.Name(name, span)):
            yield Reference(("substance", "family", "kind"), name, span)
        case nodes.ExampleRoutine(slot=name, span=span):
            yield Reference(("slot",), name, span)
        case nodes.ExampleEvent(event=name, span=span):
            yield Reference(EVENT, name, span)
