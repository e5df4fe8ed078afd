"""Whether what a rule compares can be compared: a measure's unit, and strengths only of what has a strength."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import NamedTuple

from dermalint.packs.references import walk
from dermalint.vocabulary.world import BUILT_IN_MEASURES, Group, Measure
from dermalint_grammar import nodes

_DURATIONS = frozenset(unit.value for unit in nodes.Unit)


class Misfit(NamedTuple):
    """What does not fit, and what would."""

    span: nodes.Span
    message: str
    suggestion: str | None


def measure_mistakes(
    node: nodes.Node, measures: Mapping[str, Measure], has_substance: Callable[[nodes.Term], bool]
) -> Iterator[Misfit]:
    """Every comparison in a tree whose unit, or whose subject, does not fit its measure."""
    for part in walk(node):
        match part:
            case nodes.Measured(term, name, _, quantity, span) if name in measures:
                yield from _mistakes(measures[name], term, quantity, span, has_substance)
            case nodes.Limit(measure=measure, total=True, quantity=quantity) if (
                measure.text in measures and not measures[measure.text].adds
            ):
                yield Misfit(
                    measure.span,
                    f"{measure.text} does not add up, so it has no total",
                    f"`limit {measure.text} of …`, without `total`",
                )
            case nodes.Limit(measure=measure, term=term, quantity=quantity) if measure.text in measures:
                yield from _mistakes(measures[measure.text], term, quantity, measure.span, has_substance)


def measures_asked(trees: Iterable[nodes.Node], groups: Mapping[str, Group]) -> tuple[str, ...]:
    """The measures that trees compare and that the engine does not know itself, those of their groups included."""
    found: set[str] = set()
    waiting, seen = list(trees), set[str]()
    while waiting:
        for part in walk(waiting.pop()):
            match part:
                case nodes.Measured(measure=name) if name not in BUILT_IN_MEASURES:
                    found.add(name)
                case nodes.Limit(measure=nodes.Name(name)) if name not in BUILT_IN_MEASURES:
                    found.add(name)
                case nodes.Named(name) if name in groups and name not in seen:
                    seen.add(name)
                    waiting.append(groups[name].term)
    return tuple(sorted(found))


def _mistakes(
    measure: Measure, term: nodes.Term, quantity: nodes.Quantity, span: nodes.Span, has_substance: Callable[[nodes.Term], bool]
) -> Iterator[Misfit]:
    unit = expected_unit(measure)
    if quantity.unit != unit:
        plural = f"{unit}s" if unit in _DURATIONS else unit
        example = f"{measure.name} … {_written(quantity.value)} {plural}".rstrip()
        told = {"%": "in per cent", "g": "in grams", "": "as a bare number"}.get(unit, f"in {unit}s")
        yield Misfit(quantity.span, f"{measure.name} is written {told}", f"`{example}`")
    if measure.adds and measure.unit == "%" and not has_substance(term):
        yield Misfit(
            span,
            f"{measure.name} is asked of something that is no substance or family, so it has none",
            f"Name a substance or family: `retinol with {measure.name} at least …`",
        )


def expected_unit(measure: Measure) -> str:
    """The unit of quantities compared with a measure: ``%``, ``g``, a duration's unit, or none for any other."""
    if measure.unit in ("%", "g"):
        return measure.unit
    singular = measure.unit.removesuffix("s")
    return singular if singular in _DURATIONS else ""


def _written(value: int) -> str:
    whole, rest = divmod(value, nodes.BILLION)
    return f"{whole}.{rest:09d}".rstrip("0").rstrip(".")
