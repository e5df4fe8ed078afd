"""Where rules come from: sources that are missing or thin, reviews that are due."""

from __future__ import annotations

from dermalint.proof.flaws import FAULT, REMARK, Answer, Flaw, place_of
from dermalint.proof.ground import Ground
from dermalint.spans import Place
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Severity, Status


def prove_evidence(ground: Ground) -> Answer:
    """`avoid` without a source and reviews that are due are faults; a single source, or one from memory, is a remark."""
    flaws: list[Flaw] = []
    for linked in ground.proven:
        rule = linked.rule
        gravest = Severity.AVOID in (rule.severity, rule.strict)
        if not rule.sources and gravest:
            flaws.append(
                Flaw(
                    "evidence",
                    FAULT,
                    f"{ground.quoted(linked)} says `avoid` and names no source.",
                    (linked.id,),
                    place_of(linked, rule.name.span),
                    suggestion='Write where it comes from: source secondary "Body, document, date".',
                )
            )
        if rule.review_by is not None and rule.review_by < ground.as_of.isoformat():
            flaws.append(
                Flaw(
                    "evidence",
                    FAULT,
                    f"{linked.id} was to be reviewed by {rule.review_by}, and that date has passed.",
                    (linked.id,),
                    place_of(linked, rule.name.span),
                    suggestion="Read its sources again and set a new date.",
                )
            )
        remembered = [source for source in rule.sources if source.status is Status.MEMORY]
        for source in remembered:
            flaws.append(
                Flaw(
                    "thin-evidence",
                    REMARK,
                    f"{linked.id} has a source from memory, which nobody has looked up: {source.text}",
                    (linked.id,),
                    place_of(linked, source.span),
                    suggestion="Look it up and say `verified` or `secondary`.",
                )
            )
        if len(rule.sources) == 1 and not remembered:
            flaws.append(
                Flaw(
                    "thin-evidence",
                    REMARK,
                    f"{linked.id} rests on one source.",
                    (linked.id,),
                    place_of(linked, rule.sources[0].span),
                )
            )
        elif not rule.sources and not gravest:
            flaws.append(
                Flaw("thin-evidence", REMARK, f"{linked.id} names no source.", (linked.id,), place_of(linked, rule.name.span))
            )
    flaws += _remembered_figures(ground)
    return Answer(tuple(flaws))


def _remembered_figures(ground: Ground) -> list[Flaw]:
    from dermalint.proof.ground import parts
    from dermalint.proof.names import declared_in

    flaws: list[Flaw] = []
    for pack, declaration in declared_in(ground):
        for part in parts(declaration):
            if isinstance(part, nodes.Figure | nodes.CasNumber) and part.source and part.source.status is Status.MEMORY:
                message = f"A figure of {declaration.name.text} is from memory, which nobody has looked up."
                place = Place(part.span.start, part.span.end, "", pack.path)
                flaws.append(Flaw("thin-evidence", REMARK, message, (), place, suggestion="Look it up and name the source."))
    return flaws
