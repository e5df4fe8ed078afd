"""``apply …``: order within a routine."""

from __future__ import annotations

from dermalint.checks.case import happens
from dermalint.checks.run import Run
from dermalint.checks.terms import Masks
from dermalint.timeline.line import Use
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint_grammar import nodes


def check_chain(run: Run, requirement: nodes.ApplyChain) -> None:
    """Every pair of links in order; a product that fits two links takes the later one."""
    terms = run.case.terms
    links = [terms.masks(link) for link in requirement.links]
    if sum(1 for _, possible in links if possible) < 2:
        return
    everywhere = 0
    for _, possible in links:
        everywhere |= possible
    for uses in run.case.line.by_routine.values():
        if len(uses) < 2 or not run.case.line.judged(uses[0].day):
            continue
        members = [(use, number) for use in uses if everywhere >> (number := use.signature) & 1]
        for index, (later, later_number) in enumerate(members):
            for earlier, earlier_number in members[:index]:
                if earlier.position >= later.position:
                    continue
                _judge_order(run, requirement, links, (earlier, earlier_number), (later, later_number))


def _judge_order(
    run: Run,
    requirement: nodes.ApplyChain,
    links: list[Masks],
    earlier: tuple[Use, int],
    later: tuple[Use, int],
) -> None:
    """``earlier`` comes before ``later``; wrong where its link stands behind the other's."""
    first, second = _choices(links, earlier[1]), _choices(links, later[1])
    ordered = [(one, other) for one in first for other in second]
    wrong = [(one, other) for one, other in ordered if one > other >= 0]  # -1: in no link, so in no order
    if not wrong:
        return
    truth = YES if len(wrong) == len(ordered) and -1 not in first and -1 not in second else UNKNOWN
    one, other = wrong[0]
    items = [
        (use, YES, run.case.terms.counted_area(requirement.links[link], number))
        for (use, number), link in ((earlier, one), (later, other))
    ]
    truth = min(truth, run.pairing.truth(*items))
    use, partner = later[0], earlier[0]
    run.hit(truth, use, (use, requirement.links[other]), (partner, requirement.links[one]))


def _choices(links: list[Masks], number: int) -> set[int]:
    """The links an application may stand in: the latest certain one, and possible ones behind it; -1 for none at all."""
    choices: set[int] = set()
    for index in range(len(links) - 1, -1, -1):
        yes, possible = links[index]
        if possible >> number & 1:
            choices.add(index)
        if yes >> number & 1:
            return choices
    choices.add(-1)
    return choices


def check_edge(run: Run, requirement: nodes.ApplyEdge) -> None:
    """Nothing but the excepted comes before the first (after the last) on shared skin; two that are A may follow each other."""
    case = run.case
    signatures = case.signatures
    yes, possible = case.terms.masks(requirement.term)
    but_yes, but_possible = case.terms.masks(requirement.but) if requirement.but is not None else (0, 0)
    for use, truth, area in case.terms.anchors(requirement.term):
        if requirement.slot is not None and requirement.slot not in (use.slot, use.counts_as):
            continue
        for other in case.line.by_routine.get(use.routine, ()):
            wrong = other.position < use.position if requirement.edge == "first" else other.position > use.position
            if not wrong:
                continue
            number = other.signature
            bit = 1 << number
            if bit & (but_yes | yes):
                continue
            certain = UNKNOWN if bit & (but_possible | possible) else YES
            pair = run.pairing.truth((use, truth, area), (other, certain, signatures.items[number].area))
            run.hit(pair, use, (use, requirement.term), (other, nodes.AnyProduct(requirement.span)))


def check_directly(run: Run, requirement: nodes.ApplyDirectly) -> None:
    """Between an A and the next B of its routine no other left-on product lies on skin of either."""
    case = run.case
    second = case.terms.anchors(requirement.second)
    for first in case.terms.anchors(requirement.first):
        use = first[0]
        following = [item for item in second if item[0].routine == use.routine and item[0].position > use.position]
        for item in following:
            truth = run.pairing.truth(first, item)
            if truth == NO:
                continue
            for other in case.line.by_routine.get(use.routine, ()):
                if not use.position < other.position < item[0].position or other.product in (use.product, item[0].product):
                    continue
                signature = case.signatures.items[other.signature]
                if signature.contact.kind != "left-on":
                    continue
                shared = case.areas.overlap(signature.area, first[2] | item[2])
                run.hit(
                    min(truth, shared, happens(other)),
                    use,
                    (use, requirement.first),
                    (item[0], requirement.second),
                    (other, nodes.AnyProduct(requirement.span)),
                )
            if truth == YES:
                break  # the next one
