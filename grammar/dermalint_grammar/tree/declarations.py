"""Declarations, rules and whole packs."""

from __future__ import annotations

from dermalint_grammar.tree.conditions import Condition
from dermalint_grammar.tree.examples import Example
from dermalint_grammar.tree.quantities import Duration, Name, Node, Severity, Source, Span
from dermalint_grammar.tree.requirements import Requirement
from dermalint_grammar.tree.terms import Term


class Figure(Node):
    """A published number of a substance with its source (None where the pack names none); ``value`` in billionths."""

    value: int
    source: Source | None
    span: Span


class CasNumber(Node):
    """A CAS registry number, its check digit not yet judged."""

    text: str
    source: Source | None
    span: Span


class SubstanceDecl(Node):
    """``substance glycolic-acid …``: label names, CAS numbers, chemistry and families."""

    name: Name
    inci: tuple[str, ...]
    cas: tuple[CasNumber, ...]
    also: tuple[str, ...]
    pka: tuple[Figure, ...]
    molar_mass: Figure | None
    families: tuple[Name, ...]
    sources: tuple[Source, ...]
    span: Span


class FamilyDecl(Node):
    """``family alpha-hydroxy-acid "alpha hydroxy acids" in hydroxy-acid``."""

    name: Name
    title: str
    families: tuple[Name, ...]
    span: Span


class GroupDecl(Node):
    """``group strong-acid means …``."""

    name: Name
    title: str
    term: Term
    span: Span


class AreaDecl(Node):
    """``area face contains forehead, cheeks.``; ``area beard overlaps cheeks, jaw.``"""

    name: Name
    contains: tuple[Name, ...]
    overlaps: tuple[Name, ...]
    span: Span


class PlainDecl(Node):
    """``kind serum "serum"``: a kind, base, event, trait, symptom, allergy, reason, region or slot."""

    sort: str
    name: Name
    title: str
    span: Span


class MeasureDecl(Node):
    """``measure free-acid "%" adds``."""

    name: Name
    unit: str
    adds: bool
    span: Span


Declaration = SubstanceDecl | FamilyDecl | GroupDecl | AreaDecl | PlainDecl | MeasureDecl


class Rule(Node):
    """One rule: its severity in either stance, requirement, clauses and notes.

    ``severity`` is None for a rule that is silent in the usual stance; ``strict`` is None where the strict stance is the
    same.  ``unknown`` is "holds" or "breaks" where ``assume unknown …`` overrides the third value.
    """

    name: Name
    severity: Severity | None
    strict: Severity | None
    requirement: Requirement
    conditions: tuple[Condition, ...]  # all must hold; ``unless C`` is stored as a NotCondition
    pauses: Duration | None
    one_area: tuple[Name, ...]  # ``counting face as one area``
    unknown: str | None
    suspends: tuple[Name, ...]
    topic: str | None
    why: str
    advise: str
    sources: tuple[Source, ...]
    disputed: str
    review_by: str | None
    examples: tuple[Example, ...]
    sentence: Span  # from the requirement's first word to the full stop
    span: Span


class Used(Node):
    """``uses acids 1.2 or later and below 2.0``: ``below`` is the first version that is too new."""

    name: Name
    version: str | None
    below: str | None = None


class Pack(Node):
    """A whole rule file."""

    name: Name
    version: str
    title: str
    about: str
    uses: tuple[Used, ...]
    declarations: tuple[Declaration, ...]
    rules: tuple[Rule, ...]
    span: Span
