"""A whole proof: every kind in turn, and what they come to."""

from __future__ import annotations

from collections.abc import Callable

from dermalint.proof.clashes import prove_clashes
from dermalint.proof.evidence import prove_evidence
from dermalint.proof.examples import prove_examples
from dermalint.proof.flaws import FAULT, KINDS, Answer, Flaw, Undecided
from dermalint.proof.ground import Ground
from dermalint.proof.implied import prove_implied
from dermalint.proof.names import prove_names
from dermalint.proof.never import prove_never
from dermalint.proof.orders import prove_orders
from dermalint.proof.selectors import prove_selectors
from dermalint.proof.suspending import prove_suspending
from dermalint_grammar.record import Record

PROVERS: tuple[Callable[[Ground], Answer], ...] = (
    prove_names,
    prove_selectors,
    prove_never,
    prove_orders,
    prove_clashes,
    prove_implied,
    prove_suspending,
    prove_examples,
    prove_evidence,
)


class Proof(Record):
    """What was proven (names of packs and how many rules), all flaws in the order of a report, and what is left open."""

    packs: tuple[str, ...]
    rules: int
    flaws: tuple[Flaw, ...]
    undecided: tuple[Undecided, ...]

    @property
    def faults(self) -> tuple[Flaw, ...]:
        """The flaws that make the proof fail."""
        return tuple(flaw for flaw in self.flaws if flaw.level == FAULT)


def prove(ground: Ground) -> Proof:
    """Prove the packs that were asked for, beside all others that are in force."""
    flaws: list[Flaw] = []
    undecided: list[Undecided] = []
    for prover in PROVERS:
        answer = prover(ground)
        flaws += answer.flaws
        undecided += answer.undecided
    dead = {flaw.rules[0] for flaw in flaws if flaw.kind == "unsatisfiable" and flaw.rules}
    kept = [
        flaw for flaw in flaws if not (flaw.kind in ("never", "implied", "vacuous") and flaw.rules and flaw.rules[0] in dead)
    ]
    never = {flaw.rules[0] for flaw in kept if flaw.kind == "never"}
    kept = [flaw for flaw in kept if not (flaw.kind == "implied" and never & {*flaw.rules})]
    kinds = list(KINDS)
    ordered = sorted(dict.fromkeys(kept), key=lambda f: (f.where.path or "", f.where.start, kinds.index(f.kind), f.message))
    return Proof(tuple(sorted(ground.names)), len(ground.proven), tuple(ordered), tuple(dict.fromkeys(undecided)))
