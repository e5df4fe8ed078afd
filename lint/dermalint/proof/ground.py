"""What a proof stands on: the packs, which of their rules are to be proven, and what is worked out once for all kinds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from dermalint.checks.examples import MONDAY
from dermalint.checks.judge import STRICT, Bench, severity_in
from dermalint.packs.model import LinkedRule, LoadedPack, PackSet
from dermalint.plugins.installed import Installed
from dermalint.proof.clauses import Clauses
from dermalint.proof.cubes import Cubes
from dermalint.verdict.findings import SEVERITIES
from dermalint_grammar import nodes
from dermalint_grammar.record import fields_of

USUAL = "usual"
STANCES = (USUAL, STRICT)


class Ground:
    """The packs in force and those to be proven; ``asked`` are their names (all when empty)."""

    def __init__(
        self, packs: PackSet, asked: Sequence[str] = (), as_of: date = MONDAY, plugins: Installed | None = None
    ) -> None:
        self.packs = packs
        self.world = packs.world
        self.as_of = as_of
        self.plugins = plugins or Installed()
        self.bench = Bench(packs.world, packs.rules, self.plugins)
        self.cubes = Cubes(packs.world)
        self.clauses = Clauses(packs.world)
        self.names = frozenset(asked) or frozenset(pack.name for pack in packs.packs)
        self.rules = packs.rules
        self.by_id = {linked.id: linked for linked in packs.rules}
        self.proven = tuple(linked for linked in packs.rules if linked.pack in self.names)
        self.folders = {pack.name: Path(pack.file).parent for pack in packs.packs}
        self._sentences: dict[str, str] = {}
        self._texts: dict[str, str] = {}
        self._seen: dict[str, Counter[int]] | None = None
        self.suspenders: dict[str, tuple[str, ...]] = {}
        for linked in packs.rules:
            for target in linked.suspends:
                self.suspenders[target] = (*self.suspenders.get(target, ()), linked.id)

    @property
    def seen(self) -> dict[str, Counter[int]]:
        """The strengths at which the examples of all packs have each substance, and how often."""
        if self._seen is None:
            self._seen = {}
            for linked in self.rules:
                for part in parts(tuple(example for example in linked.rule.examples)):
                    if isinstance(part, nodes.ExampleStep) and part.what is not None and part.strength is not None:
                        self._seen.setdefault(part.what.text, Counter())[part.strength] += 1
        return self._seen

    def concerns(self, *rules: LinkedRule) -> bool:
        """Whether any of these rules is to be proven."""
        return any(linked.pack in self.names for linked in rules)

    def pack(self, name: str) -> LoadedPack:
        """A pack by its name."""
        return next(pack for pack in self.packs.packs if pack.name == name)

    def know_texts(self, texts: Mapping[str, str]) -> None:
        """Take the texts of packs, by name, from here and not from their files."""
        self._texts.update(texts)

    def text_of(self, pack: str) -> str:
        """The text of a pack's file; empty when it is gone."""
        if pack not in self._texts:
            try:
                self._texts[pack] = Path(self.pack(pack).file).read_bytes().decode("utf-8-sig", "replace")
            except OSError:
                self._texts[pack] = ""
        return self._texts[pack]

    def sentence(self, linked: LinkedRule) -> str:
        """A rule's sentence as its file has it, in one line."""
        from dermalint_grammar.write import write_requirement

        if linked.id not in self._sentences:
            span = linked.rule.sentence
            written = " ".join(self.text_of(linked.pack)[span.start : span.end].split())
            self._sentences[linked.id] = written or f"{write_requirement(linked.rule.requirement)}."
        return self._sentences[linked.id]

    def quoted(self, linked: LinkedRule) -> str:
        """A rule's name and what it says, as messages have it."""
        return f"{linked.id} (“{self.sentence(linked).rstrip('.')}”)"

    def as_severe(self, linked: LinkedRule, other: LinkedRule) -> bool:
        """Whether a rule speaks at least as gravely as another, in either stance."""
        return all(_grave(linked.rule, stance) >= _grave(other.rule, stance) for stance in STANCES)

    def stance_of(self, *rules: LinkedRule) -> str | None:
        """A stance in which all these rules speak, the usual one first; None where there is none."""
        return next((s for s in STANCES if all(severity_in(linked.rule, s) for linked in rules)), None)


def _grave(rule: nodes.Rule, stance: str) -> int:
    severity = severity_in(rule, stance)
    return 0 if severity is None else len(SEVERITIES) - SEVERITIES.index(severity)


def parts(node: object) -> list[nodes.Node]:
    """A node and every node inside it, in the order of its text."""
    found: list[nodes.Node] = []
    if isinstance(node, tuple):
        for part in node:
            found += parts(part)
    elif isinstance(node, nodes.Node):
        found.append(node)
        for name in fields_of(node):
            found += parts(getattr(node, name))
    return found


TERMS = (
    nodes.Named, nodes.Literal, nodes.AnyProduct, nodes.BaseIs, nodes.OneOf, nodes.AllOf, nodes.NotTerm, nodes.Except,
    nodes.Measured, nodes.WithContact, nodes.Contacted, nodes.Marked, nodes.OnArea, nodes.FirstUse, nodes.EventIs,
    nodes.PatchTest,
)  # fmt: skip


def own_terms(node: object) -> list[nodes.Term]:
    """The outermost terms of a requirement or a condition, in the order of its text."""
    if isinstance(node, TERMS):
        return [node]
    if isinstance(node, tuple):
        return [term for part in node for term in own_terms(part)]
    if isinstance(node, nodes.Node):
        return [term for name in fields_of(node) for term in own_terms(getattr(node, name))]
    return []


def sub_terms(term: nodes.Term) -> list[nodes.Term]:
    """The terms directly inside a term."""
    if isinstance(term, nodes.OneOf | nodes.AllOf):
        return list(term.terms)
    if isinstance(term, nodes.Except):
        return [term.term, term.but]
    inner = getattr(term, "term", None)
    return [] if inner is None else [inner]
