"""Terms that nothing can be, that everything is, and parts of terms that change nothing."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.packs.model import LinkedRule
from dermalint.proof.cubes import TooMany, join
from dermalint.proof.flaws import FAULT, Answer, Flaw, Undecided, place_of
from dermalint.proof.ground import Ground, own_terms, sub_terms
from dermalint.spans import Place
from dermalint_grammar import nodes
from dermalint_grammar.write import write_term

_ANY = nodes.AnyProduct(nodes.Span(0, 0))


def prove_selectors(ground: Ground) -> Answer:
    """Look at every term of the rules and groups to be proven; each fault is told at the smallest term that has it."""
    flaws: list[Flaw] = []
    undecided: list[Undecided] = []
    at_fault = _groups(ground, flaws)
    for linked in ground.proven:
        for term in own_terms((linked.rule.requirement, linked.rule.conditions)):
            try:
                flaws += _of_term(ground, linked, term, at_fault)
            except TooMany:
                undecided.append(
                    Undecided(f"whether anything can be `{write_term(term)}`", "it has too many alternatives", (linked.id,))
                )
    return Answer(tuple(dict.fromkeys(flaws)), tuple(undecided))


def _groups(ground: Ground, flaws: list[Flaw]) -> frozenset[str]:
    """Tell of empty families and groups that nothing can be, once each, where they are declared; their names."""
    from dermalint.proof.names import declared_in

    empty: set[str] = set()
    for name in sorted(ground.world.groups):
        term = ground.world.groups[name].term
        try:
            if not ground.cubes.possible(ground.cubes.of(term)):
                empty.add(name)
        except TooMany:
            continue
    for pack, declaration in declared_in(ground):
        if isinstance(declaration, nodes.GroupDecl) and declaration.name.text in empty:
            reason = _why(ground, declaration.term)
            place = Place(declaration.span.start, declaration.span.end, "", pack.path)
            message = f"Nothing can be {declaration.name.text}, as the pack {pack.name} declares it: {reason}."
            flaws.append(Flaw("unsatisfiable", FAULT, message, (), place, suggestion="Change what the group means."))
    return frozenset(empty)


def _of_term(ground: Ground, linked: LinkedRule, term: nodes.Term, empty: frozenset[str]) -> Iterator[Flaw]:
    dead = _smallest_dead(ground, term)
    if dead is not None:
        if not (isinstance(dead, nodes.Named) and dead.name in empty and _is_declared_here(ground, dead.name)):
            message = f"{ground.quoted(linked)}: nothing can be `{write_term(dead)}`: {_why(ground, dead)}."
            yield Flaw(
                "unsatisfiable", FAULT, message, (linked.id,), place_of(linked, dead.span),
                suggestion="Change the term, or take it out.",
            )  # fmt: skip
        return
    if not isinstance(term, nodes.AnyProduct | nodes.EventIs | nodes.PatchTest) and ground.cubes.implies(_ANY, term):
        message = f"{ground.quoted(linked)}: everything is `{write_term(term)}`, so it chooses nothing."
        yield Flaw(
            "vacuous", FAULT, message, (linked.id,), place_of(linked, term.span),
            suggestion="Write `any product` if that is meant, else name what is.",
        )  # fmt: skip
        return
    yield from _idle_parts(ground, linked, term)


def _is_declared_here(ground: Ground, name: str) -> bool:
    from dermalint.proof.names import declared_in

    return any(isinstance(d, nodes.GroupDecl) and d.name.text == name for _, d in declared_in(ground))


def _smallest_dead(ground: Ground, term: nodes.Term) -> nodes.Term | None:
    """A smallest part of a term that nothing can be, where the sentence means it to be something."""
    for part in sub_terms(term):
        if isinstance(term, nodes.NotTerm):
            continue
        found = _smallest_dead(ground, part)
        if found is not None:
            return found
    if isinstance(term, nodes.PatchTest):
        return None
    return None if ground.cubes.possible(ground.cubes.of(term)) else term


def _why(ground: Ground, term: nodes.Term) -> str:
    reasons = [reason for cube in ground.cubes.of(term) if (reason := ground.cubes.contradiction(cube)) is not None]
    return min(reasons, key=lambda reason: (len(reason), reason)) if reasons else "what it names and what it leaves out are one"


def _idle_parts(ground: Ground, linked: LinkedRule, term: nodes.Term) -> Iterator[Flaw]:
    """Qualifiers that everything has, alternatives that others cover, exceptions that are none."""
    cubes = ground.cubes
    match term:
        case (
            nodes.Measured(inner) | nodes.WithContact(inner) | nodes.OnArea(inner)
            | nodes.Marked(term=inner) | nodes.Contacted(term=inner)
        ):  # fmt: skip
            if cubes.implies(inner, term):
                yield _idle(ground, linked, term, f"whatever is `{write_term(inner)}` is that anyway")
        case nodes.Except(inner, but):
            if not cubes.possible(join(cubes.of(inner), cubes.of(but))):
                yield _idle(ground, linked, but, f"nothing that is `{write_term(inner)}` is that, so the exception is none")
        case nodes.OneOf(terms):
            for number, part in enumerate(terms):
                others = [one for place, one in enumerate(terms) if place != number]
                covering = next(
                    (one for place, one in enumerate(terms) if place != number and cubes.implies(part, one)
                     and (place < number or not cubes.implies(one, part))), None
                )  # fmt: skip
                if covering is not None and others:
                    yield _idle(ground, linked, part, f"`{write_term(covering)}` beside it means that already")
                    break
        case nodes.AllOf(terms):
            for number, part in enumerate(terms):
                covering = next(
                    (one for place, one in enumerate(terms) if place != number and cubes.implies(one, part)
                     and (place < number or not cubes.implies(part, one))), None
                )  # fmt: skip
                if covering is not None:
                    yield _idle(ground, linked, part, f"whatever is `{write_term(covering)}` is that anyway")
                    break
    for part in sub_terms(term):
        yield from _idle_parts(ground, linked, part)


def _idle(ground: Ground, linked: LinkedRule, part: nodes.Term, why: str) -> Flaw:
    message = f"{ground.quoted(linked)}: `{write_term(part)}` changes nothing: {why}."
    return Flaw(
        "vacuous", FAULT, message, (linked.id,), place_of(linked, part.span), suggestion="Take it out, or say what was meant."
    )
