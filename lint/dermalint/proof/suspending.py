"""`suspends` that never applies, and rules that are always suspended."""

from __future__ import annotations

from dermalint.checks.judge import severity_in
from dermalint.proof.clauses import clauses, together
from dermalint.proof.cubes import TooMany
from dermalint.proof.flaws import FAULT, Answer, Flaw, Undecided, place_of, spot_of
from dermalint.proof.ground import STANCES, Ground


def prove_suspending(ground: Ground) -> Answer:
    """Look at every rule that suspends another, where either is to be proven."""
    flaws: list[Flaw] = []
    undecided: list[Undecided] = []
    for linked in ground.rules:
        for target in linked.suspends:
            other = ground.by_id[target]
            if not ground.concerns(linked, other):
                continue
            span = next(
                (name.span for name in linked.rule.suspends if target in (name.text, f"{linked.pack}.{name.text}")), None
            )
            where, there = place_of(linked, span), (spot_of(other, "the rule that is suspended"),)
            both = f"{ground.quoted(linked)} suspends {ground.quoted(other)}"
            speaks = [stance for stance in STANCES if severity_in(other.rule, stance)]
            try:
                joint = together(clauses(linked.rule.conditions), clauses(other.rule.conditions))
            except TooMany:
                undecided.append(
                    Undecided(f"whether {linked.id} ever suspends {target}", "its conditions have too many alternatives")
                )
                continue
            if not ground.clauses.possible(joint):
                reason = next((why for one in joint if (why := ground.clauses.contradiction(one))), "they exclude each other")
                message = f"{both}, and never can: their conditions cannot hold at once, since {reason}."
                flaws.append(
                    Flaw(
                        "suspends",
                        FAULT,
                        message,
                        (linked.id, target),
                        where,
                        there,
                        "Take `suspends` out, or change the conditions.",
                    )
                )
            elif all(severity_in(linked.rule, stance) for stance in speaks) and ground.clauses.implies(
                other.rule.conditions, linked.rule.conditions
            ):
                message = f"{both}, and does so always, so that the latter is never reported."
                flaws.append(
                    Flaw(
                        "never",
                        FAULT,
                        message,
                        (target, linked.id),
                        where,
                        there,
                        "Say under which conditions it is suspended.",
                    )
                )
    return Answer(tuple(flaws), tuple(undecided))
