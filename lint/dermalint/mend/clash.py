"""Why nothing works: the smallest set of rules that together forbid every change, and the steps they clash over."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

from dermalint.mend.document import Document
from dermalint.mend.judging import Judges, Verdict, news, planned
from dermalint.mend.mender import Blocked, Search, regimen_for
from dermalint.mend.plan import plan_of
from dermalint.packs.references import walk
from dermalint.spans import Place
from dermalint.verdict.findings import Finding
from dermalint_grammar import nodes
from dermalint_grammar.record import Record

MOST_EXAMINED = 60  # blocked changes that are judged by all rules once more
MOST_RULES = 6  # rules that are looked for together; more would explain nothing


class Clash(Record):
    """Why a finding stays: its rule, the rules that forbid what would take it away, the products and steps at issue.

    ``reasons`` say in sentences what else stands in the way; ``example`` is a change that was refused, and why.
    """

    finding: Finding
    rules: tuple[str, ...]
    products: tuple[str, ...]
    places: tuple[Place, ...]
    reasons: tuple[str, ...]
    examples: tuple[tuple[str, str], ...]  # a change in a sentence, and the rule that forbids it
    complete: bool  # whether every change that the tool knows was tried


def explain(judges: Judges, document: Document, found: Search, before: Verdict | None = None) -> Clash:
    """The smallest set of rules that forbids every change which would take the finding away.

    ``before`` is the verdict that changes were measured by, the document's own where it is None.
    """
    blocked = _judged_wholly(judges, document, found, before or judges.verdict(document.reading))
    rules = _smallest(frozenset(finding.rule for finding in one.brings) for one in blocked)
    products = dict.fromkeys(found.finding.products)
    places = dict.fromkeys((found.finding.where, *(related.place for related in found.finding.related)))
    examples: dict[str, tuple[str, str]] = {}
    for one in blocked:
        for finding in one.brings:
            if finding.rule in rules:
                products.update(dict.fromkeys(finding.products))
                examples.setdefault(finding.rule, (one.candidate.say, finding.rule))
    return Clash(
        found.finding,
        rules,
        tuple(products),
        tuple(places),
        tuple(_reasons(judges, document, found, any_blocked=bool(blocked))),
        tuple(examples[rule] for rule in rules if rule in examples),
        found.exhausted,
    )


def _judged_wholly(judges: Judges, document: Document, found: Search, before: Verdict) -> list[Blocked]:
    """The blocked changes with everything that they bring, not only what was seen first."""
    plan = plan_of(regimen_for(document, found.key[0]))
    known: list[Blocked] = []
    for one in found.blocked[:MOST_EXAMINED]:
        after = judges.verdict(planned(document, plan, one.candidate.plan))
        brings = tuple(finding for key in news(before, after) if (finding := after.finding(key)) is not None)
        if brings:
            known.append(Blocked(one.candidate, brings))
    return known


def _smallest(sets: Iterable[frozenset[str]]) -> tuple[str, ...]:
    """The smallest set of names that has one of each of these sets; the first by name of several."""
    distinct = set(sets)
    needed = [one for one in distinct if not any(other < one for other in distinct)]
    names = sorted(frozenset[str]().union(*needed))
    for size in range(min(len(names), MOST_RULES) + 1):
        for chosen in combinations(names, size):
            if all(one & frozenset(chosen) for one in needed):
                return chosen
    return tuple(names)


def _reasons(judges: Judges, document: Document, found: Search, *, any_blocked: bool) -> list[str]:
    finding = found.finding
    regimen = regimen_for(document, found.key[0])
    reasons: list[str] = []
    prescribed = [
        name for name in finding.products if (product := regimen.products.get(name)) is not None and product.prescribed
    ]
    for name in prescribed:
        reasons.append(f"{name} is prescribed, so it is left as it is: ask the prescriber.")
    reasons += found.refused[:3]
    if any_blocked or found.refused:
        return reasons
    requirement = judges.rules[finding.rule].rule.requirement
    if isinstance(requirement, nodes.NeverUse) and requirement.slot is None:
        reasons.append("The rule does not want the product here at all, and mending deletes no product.")
    elif isinstance(requirement, nodes.Limit):
        reasons.append("Mending changes no strength and no other fact of a product.")
    elif isinstance(requirement, nodes.UseFor):
        reasons.append("How long something is used is for people to decide: write `phases:` with `for:`, or plan a pause.")
    elif any(isinstance(node, nodes.PatchTest) for node in walk(requirement)):
        reasons.append("A patch test is noted under `history` once it was made, so mending writes none: make it first.")
    elif isinstance(requirement, nodes.ExpectAround | nodes.ExpectEvery | nodes.Renew):
        reasons.append("No product that the file declares would do as the companion where it is missing.")
    elif not set(finding.products) <= set(prescribed):
        reasons.append("No other order, day, slot or area of its products takes it away.")
    return reasons
