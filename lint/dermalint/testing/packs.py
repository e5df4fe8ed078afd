"""Strategies for rules and whole packs."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import strategies as st

from dermalint.testing.examples import examples
from dermalint.testing.figures import DATES, DAY_UNITS, SOURCES, TEXTS, durations, numbers, one
from dermalint.testing.requirements import requirements
from dermalint.testing.terms import conditions, product_terms
from dermalint.testing.words import NOWHERE, WORDS, Words, declarations_of, named
from dermalint.vocabulary.world import TOPICS
from dermalint_grammar.figures import find_check_digit
from dermalint_grammar.nodes import (
    CasNumber,
    Declaration,
    FamilyDecl,
    Figure,
    GroupDecl,
    Pack,
    Rule,
    Severity,
    SubstanceDecl,
    Used,
)

_NOTE = st.just("") | TEXTS
_SOME_SOURCE = st.none() | SOURCES
_VERSIONS = ((None, None), ("0.1", None), ("0.1.0", "1000.0"))  # that any pack is of
_STANDINGS = [(usual, strict) for usual in (*Severity, None) for strict in (*Severity, None) if usual or strict]


@st.composite
def rules(draw: st.DrawFn, words: Words = WORDS, name: str = "generated") -> Rule:
    """Rules of this name over a vocabulary, with any clauses and notes; they suspend no other rule."""
    severity, strict = draw(one(_STANDINGS))
    return Rule(
        name=named(name),
        severity=severity,
        strict=strict,
        requirement=draw(requirements(words)),
        conditions=tuple(draw(st.lists(conditions(words), max_size=2))),
        pauses=draw(st.none() | durations(DAY_UNITS, 20)),
        one_area=tuple(draw(st.lists(one(words.areas).map(named), max_size=2))),
        unknown=draw(one((None, None, "holds", "breaks"))),
        suspends=(),
        topic=draw(one((None, *TOPICS))),
        why=draw(_NOTE),
        advise=draw(_NOTE),
        sources=tuple(draw(st.lists(SOURCES, max_size=2))),
        disputed=draw(_NOTE),
        review_by=draw(st.none() | DATES),
        examples=tuple(draw(st.lists(examples(words), max_size=2))),
        sentence=NOWHERE,
        span=NOWHERE,
    )


@st.composite
def packs(
    draw: st.DrawFn, words: Words | None = None, uses: Sequence[str] = (), name: str = "generated", most: int = 4
) -> Pack:
    """Packs of up to ``most`` rules that link without a mistake.

    They speak of ``words``, which the packs in ``uses`` are to declare; without ``words`` they declare a small vocabulary
    themselves and need no other pack.
    """
    known = words or WORDS
    declared = declarations_of(known) if words is None else ()
    written = [draw(rules(known, f"rule-{number}")) for number in range(draw(st.integers(0, most)))]
    return Pack(
        name=named(name),
        version=".".join(str(draw(st.integers(0, 30))) for _ in range(3)),
        title=draw(_NOTE),
        about=draw(_NOTE),
        uses=tuple(Used(named(used), *draw(one(_VERSIONS))) for used in uses),
        declarations=(*declared, *draw(_further(known, declares_families=words is None))),
        rules=tuple(written),
        span=NOWHERE,
    )


@st.composite
def _further(draw: st.DrawFn, words: Words, declares_families: bool) -> tuple[Declaration, ...]:
    """Declarations of names that the vocabulary does not have."""
    further: list[Declaration] = []
    parents = words.families if declares_families else ()
    for number in range(draw(st.integers(0, 2))):
        further.append(draw(_substances(f"further-{number}", parents)))
    for number in range(draw(st.integers(0, 2))):
        further.append(GroupDecl(named(f"further-group-{number}"), draw(_NOTE), draw(product_terms(words)), NOWHERE))
    if draw(st.booleans()):
        several = () if not parents else (named(draw(one(parents))),)
        further.append(FamilyDecl(named("further-family"), draw(TEXTS), several, NOWHERE))
    return tuple(further)


@st.composite
def _substances(draw: st.DrawFn, name: str, parents: Sequence[str]) -> SubstanceDecl:
    def figures(most: int) -> tuple[Figure, ...]:
        return tuple(Figure(draw(numbers()), draw(_SOME_SOURCE), NOWHERE) for _ in range(draw(st.integers(0, most))))

    mass = figures(1)
    return SubstanceDecl(
        name=named(name),
        inci=(f"{name} of the label",),
        cas=tuple(CasNumber(draw(_CAS), draw(_SOME_SOURCE), NOWHERE) for _ in range(draw(st.integers(0, 2)))),
        also=(f"{name}, as some say",) if draw(st.booleans()) else (),
        pka=figures(3),
        molar_mass=mass[0] if mass else None,
        families=tuple(named(parent) for parent in draw(st.lists(one(parents), max_size=2, unique=True))) if parents else (),
        sources=tuple(draw(st.lists(SOURCES, max_size=1))),
        span=NOWHERE,
    )


def _cas(digits: int) -> str:
    text = f"{digits // 100}-{digits % 100:02}-"
    return text + find_check_digit(f"{text}0")


_CAS = st.integers(1_000, 999_999_999).map(_cas)
