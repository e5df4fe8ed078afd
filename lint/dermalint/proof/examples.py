"""Examples that do not do what they say, and rules without one."""

from __future__ import annotations

from dermalint.checks.examples import ExampleResult, try_examples
from dermalint.checks.judge import Bench
from dermalint.packs.model import LinkedRule
from dermalint.plugins.faults import merge
from dermalint.proof.flaws import FAULT, Answer, Flaw, Undecided, place_of
from dermalint.proof.ground import Ground


def prove_examples(ground: Ground) -> Answer:
    """Judge every example of the rules to be proven."""
    flaws: list[Flaw] = []
    undecided: list[Undecided] = []
    bench = Bench(ground.world, ground.rules, ground.plugins)
    for linked in ground.proven:
        if not linked.rule.examples:
            flaws.append(
                Flaw(
                    "example",
                    FAULT,
                    f"{ground.quoted(linked)} has no example.",
                    (linked.id,),
                    place_of(linked, linked.rule.name.span),
                    suggestion="Write one line `breaks` and one `holds`; `--missing` proposes some.",
                )
            )
            continue
        bench.plugins.take_faults()
        for result in try_examples(bench, linked, ground.folders[linked.pack]):
            if not result.kept:
                flaws.append(_flaw(ground, linked, result))
        for problem in merge(bench.plugins.take_faults()):
            undecided.append(Undecided(f"whether the examples of {linked.id} do what they say", problem.message, (linked.id,)))
    open_rules = {rule for one in undecided for rule in one.rules}
    return Answer(tuple(flaw for flaw in flaws if not open_rules & {*flaw.rules}), tuple(undecided))


def _flaw(ground: Ground, linked: LinkedRule, result: ExampleResult) -> Flaw:
    example = result.example
    written = " ".join(ground.text_of(linked.pack)[example.span.start : example.span.end].split())
    if result.problem is not None:
        message = f"An example of {linked.id} cannot be judged: {result.problem}"
    elif example.breaks:
        message = f"“{written}” is to break {linked.id} (“{ground.sentence(linked)}”), and it holds."
    else:
        found = result.findings[0].message
        message = f"“{written}” is to keep {linked.id} (“{ground.sentence(linked)}”), and it breaks it: {found}"
    return Flaw(
        "example",
        FAULT,
        message,
        (linked.id,),
        place_of(linked, example.span),
        suggestion="Change the example if it is wrong, else the rule.",
    )
