"""Documents for the tests of mends, and an engine with few rules."""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path

from dermalint.checks.judge import Bench
from dermalint.mend.document import Document, read_document
from dermalint.mend.judging import Judges, keyed
from dermalint.mend.mender import Search, search
from dermalint.review import Asked, Desk
from judging import AS_OF, link_rules

CAMPAIGN = Path(__file__).resolve().parents[2] / "campaign"
sys.path.insert(0, str(CAMPAIGN))

PRODUCTS = """products:
  wash: {kind: cleanser, base: water, contact: rinsed}
  acid: {kind: serum, base: water, contains: {glycolic-acid: 8 %}}
  night: {kind: serum, base: oil, contains: {retinol: 0.3 %}}
  clinic: {kind: treatment, base: emulsion, contains: {tretinoin: 0.05 %}, prescribed: true}
  cream: {kind: moisturiser, base: emulsion}
  shield: {kind: sunscreen, base: emulsion, spf: 50}
"""


def document(text: str, suffix: str = "yaml") -> Document:
    """A document as if it stood in a file."""
    shown = f"plan.regimen.{suffix}"
    return read_document(Path(shown), shown, text.encode("utf-8"))


def plan(routines: str, head: str = "") -> Document:
    """A YAML document with the usual products, those that no step uses left out of nothing."""
    read = document(f"regimen: A plan\n{head}{PRODUCTS}{routines}")
    assert read.sound, [problem.message for problem in read.reading.problems]
    return read


def rule(name: str, requirement: str, severity: str = "caution") -> str:
    """A rule's text."""
    return f'rule {name} {severity}\n  {requirement}\n  why "trial"\n'


@cache
def judges(*requirements: str) -> Judges:
    """The engine with these requirements as its only rules, called trial.r0, trial.r1 …"""
    texts = (rule(f"r{number}", requirement) for number, requirement in enumerate(requirements))
    packs = link_rules("\n".join(texts))
    asked = Asked(as_of=AS_OF, cache=False)
    return Judges(Desk(Bench(packs.world, packs.rules), asked, frozenset(linked.id for linked in packs.rules)))


def search_one(engine: Judges, read: Document, rule_id: str = "trial.r0", enough: int = 9) -> Search:
    """What comes of looking for mends of a rule's only finding."""
    before = engine.verdict(read.reading)
    (key,) = [key for key, finding in keyed(before.results) if finding.rule == rule_id]
    return search(engine, read, before, key, enough)


def says(found: Search) -> list[str]:
    """What the proposals say."""
    return [proven.mend.say for proven in found.proven]
