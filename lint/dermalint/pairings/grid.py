"""The whole grid: every pair of subjects, with the strictest answer that any of their products gave, and why."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench
from dermalint.packs.model import LinkedRule, PackSet
from dermalint.pairings.probe import DAYS, HOURS, ORDER, ROUTINE, STRICTNESS, TOGETHER, WAIT, Apart, Probe, pair_rules
from dermalint.pairings.subjects import NOWHERE, Subject, said
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import Regimen
from dermalint_grammar.record import Record

NOBODY = Regimen(title="pairings", products={}, phases=(), place=NOWHERE)


class Reason(Record):
    """A rule that keeps two subjects apart: its full name, severity, what it found, its why, its advice, its sources."""

    rule: str
    severity: str
    message: str
    why: str
    advise: str
    sources: tuple[str, ...]
    disputed: str | None


class Pairing(Record):
    """Two subjects, how they go together, and why.

    ``example`` names the products of the strictest answer; ``differs`` says that other products of the same subjects may be
    nearer.
    """

    first: str
    second: str
    apart: Apart
    reasons: tuple[Reason, ...]
    example: tuple[str, str]
    differs: bool

    @property
    def sign(self) -> str:
        """The answer in a few letters: ``+``, ``1.``, ``10m``, ``R``, ``4h``, ``D``, ``3D``; with ``?`` where only possible."""
        apart = self.apart
        sign = {
            TOGETHER: "+",
            ORDER: "1." if apart.number > 0 else "2.",
            WAIT: f"{apart.number}m",
            ROUTINE: "R",
            HOURS: f"{apart.number}h",
            DAYS: "never" if apart.endless else "D" if apart.number == 1 else f"{apart.number}D",
        }[apart.how]
        return sign if apart.certain else f"{sign}?"

    def sentence(self, one: str, two: str) -> str:
        """The answer as a sentence, with the subjects' titles."""
        return f"{one[:1].upper()}{one[1:]} and {two} {self.in_words(one, two)}."

    def in_words(self, one: str, two: str) -> str:
        """The answer as a sentence part, with the subjects' titles."""
        apart = self.apart
        words = {
            TOGETHER: "may stand in one routine, in either order",
            ORDER: f"may stand in one routine, {one if apart.number > 0 else two} first",
            WAIT: f"may stand in one routine with {apart.number} minute{'' if apart.number == 1 else 's'} between them",
            ROUTINE: "belong in different routines; morning and evening of one day will do",
            HOURS: f"belong at least {apart.number} hours apart",
            DAYS: "belong on different days" if apart.number == 1 else f"belong at least {apart.number} days apart",
        }[apart.how]
        if apart.endless:
            words = f"are objected to however far apart they are (up to {apart.number} days were tried)"
        return f"{words}{'' if apart.certain else ', perhaps: it depends on what is not stated'}"


class Grid(Record):
    """Subjects and the pairings of each two of them, in the order of the subjects."""

    subjects: tuple[Subject, ...]
    pairings: tuple[Pairing, ...]
    judged: int

    def find(self, one: str, two: str) -> tuple[Pairing, bool] | None:
        """The pairing of two subjects, and whether it is the other way round."""
        for pairing in self.pairings:
            if (pairing.first, pairing.second) == (one, two):
                return pairing, False
            if (pairing.first, pairing.second) == (two, one):
                return pairing, True
        return None


def build_grid(
    packs: PackSet,
    rules: Sequence[LinkedRule],
    subjects: Sequence[Subject],
    as_of: date,
    *,
    base: Regimen = NOBODY,
    region: str | None = None,
    stance: str = "usual",
    plugins: Installed | None = None,
    each: Callable[[], None] = lambda: None,
) -> Grid:
    """Ask about every pair.  ``base`` is the regimen whose person and clock count; ``each`` is called after every pair."""
    bench = pair_rules(Bench(packs.world, tuple(rules), plugins or Installed()))
    probe = Probe(bench, base, Asked(as_of, region, stance))
    pairings = []
    for number, one in enumerate(subjects):
        for two in subjects[number + 1 :]:
            pairings.append(_pairing(probe, one, two))
            each()
    return Grid(tuple(subjects), tuple(pairings), probe.judged)


def _pairing(probe: Probe, one: Subject, two: Subject) -> Pairing:
    found = [(probe.pair(a, b), (said(a), said(b))) for a in one.products for b in two.products]
    apart, example = max(found, key=lambda entry: _strict(entry[0]))
    reasons = tuple(Reason(f.rule, f.severity, f.message, f.why, f.advise, f.sources, f.disputed) for f in apart.findings)
    differs = len({(other.how, other.number) for other, _ in found}) > 1
    return Pairing(one.key, two.key, apart, reasons, example, differs)


def _strict(apart: Apart) -> tuple[bool, int, int]:
    return apart.certain and apart.how != TOGETHER, STRICTNESS.index(apart.how), abs(apart.number)
