"""Writing trees as text: what :mod:`dermalint_grammar.parse` reads back as the same tree, places apart.

The text is one long line a declaration or rule; :mod:`dermalint_grammar.layout` gives it its layout.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import groupby
from typing import Any

from . import nodes
from .writing.figures import write_duration, write_number, write_text
from .writing.sentences import write_requirement
from .writing.terms import write_condition, write_term

__all__ = ["write_condition", "write_example", "write_pack", "write_requirement", "write_rule", "write_term"]

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def write_pack(pack: nodes.Pack) -> str:
    """A whole rule file: its head, its declarations and its rules, one a line.

    Raises ValueError for what no text says: a text with a quotation mark or a line end in it.
    """
    lines = [f"pack {pack.name.text} {pack.version}"]
    lines += [f"{word} {write_text(text)}" for word, text in (("title", pack.title), ("about", pack.about)) if text]
    if pack.uses:
        lines.append(f"uses {', '.join(_used(used) for used in pack.uses)}")
    lines += [_DECLARATIONS[type(declaration)](declaration) for declaration in pack.declarations]
    lines += [write_rule(rule) for rule in pack.rules]
    return "\n".join(lines) + "\n"


def _used(used: nodes.Used) -> str:
    least = f" {used.version} or later" if used.version else ""
    return used.name.text + least + (f" and below {used.below}" if used.below else "")


# --- declarations ------------------------------------------------------------------------------------------------------------


def _substance(one: nodes.SubstanceDecl) -> str:
    parts = [f"substance {one.name.text}"]
    for word, texts in (("inci", one.inci), ("also", one.also)):
        if texts:
            parts.append(f"{word} {', '.join(write_text(text) for text in texts)}")
    parts += _figures("cas", one.cas, lambda number: number.text)
    parts += _figures("pka", one.pka, lambda figure: write_number(figure.value))
    parts += _figures("molar-mass", (one.molar_mass,) if one.molar_mass else (), lambda figure: write_number(figure.value))
    if one.families:
        parts.append(f"in {_names(one.families)}")
    parts += [_source(source) for source in one.sources]
    return " ".join(parts)


def _figures(word: str, figures: Iterable[Any], write: Callable[[Any], str]) -> list[str]:
    """Figures with their sources: those of one source share it."""
    lines = []
    for source, several in groupby(figures, key=lambda figure: figure.source):
        origin = f" {source.status} {write_text(source.text)}" if source else ""
        lines.append(f"{word} {', '.join(write(figure) for figure in several)}{origin}")
    return lines


def _family(one: nodes.FamilyDecl) -> str:
    parents = f" in {_names(one.families)}" if one.families else ""
    return f"family {one.name.text} {write_text(one.title)}{parents}"


def _group(one: nodes.GroupDecl) -> str:
    return f"group {one.name.text}{_title(one.title)} means {write_term(one.term)}."


def _area(one: nodes.AreaDecl) -> str:
    contains = f" contains {_names(one.contains)}" if one.contains else ""
    overlaps = f" overlaps {_names(one.overlaps)}" if one.overlaps else ""
    return f"area {one.name.text}{contains}{overlaps}."


def _plain(one: nodes.PlainDecl) -> str:
    return f"{one.sort} {one.name.text}{_title(one.title)}"


def _measure(one: nodes.MeasureDecl) -> str:
    return f"measure {one.name.text} {write_text(one.unit)}{' adds' if one.adds else ''}"


_DECLARATIONS: dict[type[Any], Callable[[Any], str]] = {
    nodes.SubstanceDecl: _substance,
    nodes.FamilyDecl: _family,
    nodes.GroupDecl: _group,
    nodes.AreaDecl: _area,
    nodes.PlainDecl: _plain,
    nodes.MeasureDecl: _measure,
}


def _title(title: str) -> str:
    return f" {write_text(title)}" if title else ""


def _names(names: Iterable[nodes.Name]) -> str:
    return ", ".join(name.text for name in names)


# --- rules -------------------------------------------------------------------------------------------------------------------


def write_rule(rule: nodes.Rule) -> str:
    """A rule: its standing, its sentence with all clauses, and its notes.  Raises ValueError as :func:`write_pack` does."""
    parts = [f"rule {rule.name.text} {_standing(rule)}", write_requirement(rule.requirement), *_clauses(rule)]
    parts[-1] += "."
    if rule.topic is not None:
        parts.append(f"topic {rule.topic}")
    parts += [f"{word} {write_text(text)}" for word, text in (("why", rule.why), ("advise", rule.advise)) if text]
    parts += [_source(source) for source in rule.sources]
    if rule.disputed:
        parts.append(f"disputed {write_text(rule.disputed)}")
    if rule.review_by is not None:
        parts.append(f"review-by {rule.review_by}")
    parts += [f"{'breaks' if example.breaks else 'holds'} {write_example(example)}" for example in rule.examples]
    return " ".join(parts)


def _standing(rule: nodes.Rule) -> str:
    if rule.severity is None:
        return f"{rule.strict} if strict"
    return f"{rule.severity}, {rule.strict} if strict" if rule.strict is not None else str(rule.severity)


def _clauses(rule: nodes.Rule) -> list[str]:
    clauses = []
    for condition in rule.conditions:
        if isinstance(condition, nodes.NotCondition):
            clauses.append(f"unless {write_condition(condition.condition)}")
        else:
            clauses.append(f"if {write_condition(condition)}")
    if rule.pauses is not None:
        clauses.append(f"allowing pauses of {write_duration(rule.pauses)}")
    if rule.one_area:
        clauses.append(f"counting {_names(rule.one_area)} as one area")
    if rule.unknown is not None:
        clauses.append(f"assume unknown {rule.unknown}")
    if rule.suspends:
        clauses.append(f"suspends {_names(rule.suspends)}")
    return clauses


def _source(source: nodes.Source) -> str:
    return f"source {source.status} {write_text(source.text)}"


# --- examples ----------------------------------------------------------------------------------------------------------------


def write_example(example: nodes.Example) -> str:
    """An example, without the word before it that says what it shows.  Raises ValueError as :func:`write_pack` does."""
    if example.file is not None:
        return f"file {write_text(example.file)}"
    givens = "".join(f"{_given(given)}: " for given in example.givens)
    return givens + "; ".join(
        _event(part) if isinstance(part, nodes.ExampleEvent) else _routine(part) for part in example.parts
    )


def _given(given: nodes.Given) -> str:
    """A given by itself; several about the person may stand behind one ``person`` or behind one each."""
    length = write_duration(given.duration) if given.duration is not None else ""
    return {
        "trait": f"person {given.name}",
        "age": f"person age {length}",
        "takes": f"person takes {given.name}",
        "allergic": f"person allergic to {given.name}",
        "reason": f"person reason {given.name}",
        "phototype": f"person phototype {given.number}",
        "region": f"region {given.name}",
        "as-of": f"as-of {given.name}",
        "for": f"for {length}",
        "cycle": f"cycle {length}",
    }[given.kind]


def _event(part: nodes.ExampleEvent) -> str:
    return f"event {part.event} on day {part.day}"


def _routine(routine: nodes.ExampleRoutine) -> str:
    day = ""
    if routine.day is not None:
        day = f"{_WEEKDAYS[routine.day - 1]} " if routine.weekday else f"day {routine.day} "
    return f"{day}{routine.slot}: {', '.join(_step(step) for step in routine.steps)}"


def _step(step: nodes.ExampleStep) -> str:
    if step.wait is not None:
        return f"wait {write_duration(step.wait)}"
    if step.what is None:
        raise ValueError("A step of an example names what is put on, or is a wait")
    strength = f" {write_number(step.strength)} %" if step.strength is not None else ""
    remarks = f" ({', '.join(_remark(remark) for remark in step.remarks)})" if step.remarks else ""
    return f"{step.what.text}{strength}{remarks}"


def _remark(remark: nodes.Remark) -> str:
    if remark.duration is not None:
        return f"{remark.word} {write_duration(remark.duration)}"
    if remark.value is not None:
        return f"{remark.word} {write_number(remark.value)}{' %' if remark.kind == 'content' else ''}"
    return f"{ {'area': 'on ', 'base': 'base '}.get(remark.kind, '') }{remark.word}"
