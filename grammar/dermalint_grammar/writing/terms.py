"""Writing terms and conditions, with brackets only where they are needed."""

from __future__ import annotations

from enum import IntEnum

from .. import nodes
from .figures import write_duration, write_quantity, write_text


class Binding(IntEnum):
    """How closely the parts of a term or condition hold together, loosest first."""

    OR = 0
    AND = 1
    EXCEPT = 2
    ATOM = 3
    QUALIFIED = 4


def write_term(term: nodes.Term, binding: Binding = Binding.OR) -> str:
    """A term, in brackets where it holds together less closely than its place in the sentence asks."""
    text, own = _term(term)
    return text if own >= binding else f"({text})"


def _term(term: nodes.Term) -> tuple[str, Binding]:
    match term:
        case nodes.OneOf():
            return " or ".join(write_term(one, Binding.AND) for one in term.terms), Binding.OR
        case nodes.AllOf():
            return " and ".join(write_term(one, Binding.EXCEPT) for one in term.terms), Binding.AND
        case nodes.Except():
            return f"{write_term(term.term, Binding.ATOM)} except {write_term(term.but, Binding.ATOM)}", Binding.EXCEPT
        case nodes.NotTerm() | nodes.FirstUse() | nodes.PatchTest() | nodes.Contacted() | nodes.Marked():
            return f"{_mark(term)} {write_term(term.term, Binding.ATOM)}", Binding.ATOM
        case nodes.Measured():
            inner = write_term(term.term, Binding.QUALIFIED)
            figure = write_quantity(term.quantity.value, term.quantity.unit)
            return f"{inner} with {term.measure} {term.comparison} {figure}", Binding.QUALIFIED
        case nodes.WithContact():
            inner = write_term(term.term, Binding.QUALIFIED)
            return f"{inner} with contact {term.comparison} {write_duration(term.duration)}", Binding.QUALIFIED
        case nodes.OnArea():
            return f"{write_term(term.term, Binding.QUALIFIED)} on {term.area}", Binding.QUALIFIED
    return _simple(term), Binding.QUALIFIED


def _mark(term: nodes.NotTerm | nodes.FirstUse | nodes.PatchTest | nodes.Contacted | nodes.Marked) -> str:
    match term:
        case nodes.NotTerm():
            return "not"
        case nodes.FirstUse():
            return "first use of"
        case nodes.PatchTest():
            return "patch-test of"
        case nodes.Contacted():
            return term.contact
    return term.mark


def _simple(term: nodes.Named | nodes.Literal | nodes.AnyProduct | nodes.BaseIs | nodes.EventIs) -> str:
    match term:
        case nodes.Named():
            return term.name
        case nodes.Literal():
            return write_text(term.inci)
        case nodes.AnyProduct():
            return "any product"
        case nodes.BaseIs():
            return f"base {term.base}"
    return f"event {term.event}"


# --- conditions --------------------------------------------------------------------------------------------------------------


def write_condition(condition: nodes.Condition, binding: Binding = Binding.OR) -> str:
    """A condition, in brackets where it holds together less closely than its place in the sentence asks."""
    text, own = _condition(condition)
    return text if own >= binding else f"({text})"


def _condition(condition: nodes.Condition) -> tuple[str, Binding]:
    match condition:
        case nodes.AnyCondition():
            return " or ".join(write_condition(one, Binding.AND) for one in condition.conditions), Binding.OR
        case nodes.EveryCondition():
            return " and ".join(write_condition(one, Binding.ATOM) for one in condition.conditions), Binding.AND
        case nodes.NotCondition():
            return f"not {write_condition(condition.condition, Binding.ATOM)}", Binding.ATOM
        case nodes.Has() | nodes.Around() | nodes.DuringFirst():
            return _of_applications(condition), Binding.ATOM
    return _of_the_person(condition), Binding.ATOM


def _of_applications(condition: nodes.Has | nodes.Around | nodes.DuringFirst) -> str:
    atom = write_term(condition.term, Binding.ATOM)
    match condition:
        case nodes.Has():
            anchor = f" {condition.order} {write_term(condition.anchor, Binding.ATOM)}" if condition.anchor else ""
            return f"{condition.where} has {atom}{anchor}"
        case nodes.Around(side="after"):
            return f"within {write_duration(condition.duration)} after {atom}"
        case nodes.Around():
            return f"before {atom} within {write_duration(condition.duration)}"
    pause = f" after a pause of {write_duration(condition.pause)}" if condition.pause else ""
    return f"during the first {write_duration(condition.duration)} of {atom}{pause}"


def _of_the_person(
    condition: (
        nodes.PersonIs
        | nodes.AllergicTo
        | nodes.Takes
        | nodes.ReasonIs
        | nodes.Age
        | nodes.Phototype
        | nodes.RegionIs
        | nodes.SkinIs
        | nodes.FromDate
        | nodes.UntilDate
    ),
) -> str:
    match condition:
        case nodes.PersonIs():
            return f"person {condition.verb} {condition.trait}"
        case nodes.AllergicTo():
            return f"person is allergic to {condition.allergen}"
        case nodes.Takes(within=None):
            return f"person takes {condition.medicine}"
        case nodes.Takes(within=duration) if duration is not None:
            return f"person took {condition.medicine} within {write_duration(duration)}"
        case nodes.ReasonIs():
            return f"reason is {condition.reason}"
        case nodes.Age():
            return f"age {condition.comparison} {write_duration(condition.duration)}"
        case nodes.Phototype():
            return f"phototype {condition.comparison} {condition.number}"
        case nodes.RegionIs():
            return f"region is {condition.region}"
        case nodes.SkinIs():
            return f"skin is {condition.state}"
        case nodes.FromDate():
            return f"from {condition.date}"
    assert isinstance(condition, nodes.UntilDate)
    return f"until {condition.date}"
