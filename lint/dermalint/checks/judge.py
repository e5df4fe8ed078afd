"""All rules on one regimen."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from dermalint.checks.apply import check_chain, check_directly, check_edge
from dermalint.checks.asked import Asked
from dermalint.checks.case import Case, Hit
from dermalint.checks.companion import check_around, check_every, check_renew
from dermalint.checks.conditions import Conditions
from dermalint.checks.contents import read_contents
from dermalint.checks.course import check_course
from dermalint.checks.facts import Facts
from dermalint.checks.labels import with_labels
from dermalint.checks.limit import check_limit
from dermalint.checks.reach import Asks, what_is_asked
from dermalint.checks.run import Run
from dermalint.checks.said import Said
from dermalint.checks.separate import check_separate, check_separate_uses
from dermalint.checks.tell import tell_findings
from dermalint.checks.use import check_count, check_never, check_only, check_products
from dermalint.checks.wait import check_wait
from dermalint.packs.model import LinkedRule
from dermalint.plugins.faults import Unavailable
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import HINT, PastUse, Problem, Product, Regimen
from dermalint.timeline.unroll import first_days, unroll
from dermalint.verdict.findings import SEVERITIES, Finding
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint.vocabulary.world import World
from dermalint_grammar import nodes

STRICT = "strict"
ORDINARY_REACH = 8  # days: a week and the day beside it

_CHECKS: dict[type, Callable[[Run, Any], None]] = {
    nodes.Separate: check_separate,
    nodes.SeparateUses: check_separate_uses,
    nodes.ApplyChain: check_chain,
    nodes.ApplyEdge: check_edge,
    nodes.ApplyDirectly: check_directly,
    nodes.Wait: check_wait,
    nodes.UseOnly: check_only,
    nodes.NeverUse: check_never,
    nodes.UseCount: check_count,
    nodes.UseProducts: check_products,
    nodes.UseFor: check_course,
    nodes.ExpectAround: check_around,
    nodes.ExpectEvery: check_every,
    nodes.Renew: check_renew,
    nodes.Limit: check_limit,
}


@dataclass(slots=True)
class _Speaking:
    """The rules of a stance, by their numbers: those that concern every product, and those that concern what holds a word."""

    always: list[int] = field(default_factory=list)
    by_word: dict[str, list[int]] = field(default_factory=dict)
    suspending: list[LinkedRule] = field(default_factory=list)

    def add(self, number: int, linked: LinkedRule) -> None:
        if linked.triggers is None:
            self.always.append(number)
        for word in linked.triggers or ():
            self.by_word.setdefault(word, []).append(number)
        if linked.suspends:
            self.suspending.append(linked)


@dataclass(slots=True)
class Bench:
    """The rules in force, with what is worked out once for all regimens.

    ``plugins`` compute the measures that the engine does not know; faults of theirs are kept there.
    """

    world: World
    rules: tuple[LinkedRule, ...]
    plugins: Installed = field(default_factory=Installed)
    said: Said = field(init=False)
    _asks: dict[str, Asks] = field(default_factory=dict)
    _speaking: dict[str, _Speaking] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.said = Said(self.world)

    def asks(self, linked: LinkedRule) -> Asks:
        """What a rule asks of a regimen and its line, worked out once."""
        found = self._asks.get(linked.id)
        if found is None:
            found = self._asks[linked.id] = what_is_asked(linked.rule)
        return found

    def speaking(self, stance: str, words: Iterable[str]) -> list[LinkedRule]:
        """The rules that speak in a stance and may concern products that hold these words, in their order."""
        index = self._index(stance)
        numbers = set(index.always)
        for word in words:
            numbers.update(index.by_word.get(word, ()))
        return [self.rules[number] for number in sorted(numbers)]

    def suspending(self, stance: str) -> list[LinkedRule]:
        """The rules that speak in a stance and suspend others."""
        return self._index(stance).suspending

    def _index(self, stance: str) -> _Speaking:
        found = self._speaking.get(stance)
        if found is None:
            found = self._speaking[stance] = _Speaking()
            for number, linked in enumerate(self.rules):
                if severity_in(linked.rule, stance):
                    found.add(number, linked)
        return found

    def first_weeks(self, linked: LinkedRule) -> int:
        """The longest ``during the first …`` of a rule's clauses, in days; 0 without one."""
        return self.asks(linked).first_weeks


def severity_in(rule: nodes.Rule, stance: str) -> str | None:
    """The severity a rule speaks with in a stance; None where it is silent."""
    severity = rule.severity
    if stance == STRICT and rule.strict is not None:
        severity = rule.strict
    return severity.value if severity is not None else None


def judge(bench: Bench, regimen: Regimen, asked: Asked) -> tuple[tuple[Finding, ...], tuple[Problem, ...]]:
    """The findings of all rules on one regimen, in their fixed order, and hints about what could not be judged."""
    regimen, hints = with_labels(regimen, bench.world)
    answers = {key: _answers(product, bench.world) for key, product in regimen.products.items()}
    everything = frozenset[str]().union(*answers.values())
    facts = Facts(regimen, bench.world, asked)
    happening = {event.event.name for event in regimen.events}
    running = [
        linked
        for linked in bench.speaking(asked.stance, everything)
        if (asks := bench.asks(linked)).events <= happening and (not asks.facts or facts.ever(asks.facts) != NO)
    ]
    running = [linked for linked in running if not linked.measures or bench.plugins.measures_ready(linked.measures, linked.id)]
    problems = list(hints)
    if regimen.history is None:
        judged = [linked for linked in running if not bench.asks(linked).history]
        if len(judged) < len(running):
            running = judged
            problems.append(_without_history(regimen))
    suspending = bench.suspending(asked.stance)
    hits: dict[str, list[Hit]] = {}
    conditions_of: dict[str, Conditions] = {}
    for (reach, until), together in _by_line(bench, running, suspending, regimen, answers).items():
        line = unroll(regimen, reach, until)
        conditions = Conditions(Case(regimen, bench.world, line, asked, bench.plugins, bench.said), facts)
        for linked in together:
            found = _run(bench, linked, conditions)
            if found:
                hits[linked.id] = found
                conditions_of[linked.id] = conditions
    findings: list[Finding] = []
    by_id = {linked.id: linked for linked in running}
    for rule_id, found in hits.items():
        rule = by_id[rule_id].rule
        conditions = conditions_of[rule_id]
        severity = severity_in(rule, asked.stance)
        assert severity is not None
        for suspended_by, part in _suspend(rule_id, found, suspending, conditions):
            findings += tell_findings(conditions.case, rule_id, rule, severity, part, suspended_by)
    return sort_findings(findings), tuple(problems)


def _by_line(
    bench: Bench,
    running: list[LinkedRule],
    suspending: list[LinkedRule],
    regimen: Regimen,
    answers: dict[str, frozenset[str]],
) -> dict[tuple[int, int], list[LinkedRule]]:
    """The rules by the line they need, as its reach and the day from which nothing is new.

    A few rules look weeks back or ahead; all others are judged on a line a fraction as long.
    """
    groups: dict[tuple[bool, bool], list[tuple[int, int, LinkedRule]]] = {}
    for linked in running:
        asks = bench.asks(linked)
        reach = max([asks.reach, *(bench.asks(other).reach for other in suspending if linked.id in other.suspends)])
        until = _settled(asks.first_weeks, linked, regimen, answers) if asks.first_weeks else 0
        groups.setdefault((reach > ORDINARY_REACH, until > 0), []).append((reach, until, linked))
    return {
        (max(reach for reach, _, _ in found), max(until for _, until, _ in found)): [linked for _, _, linked in found]
        for found in groups.values()
    }


def _answers(product: Product, world: World) -> frozenset[str]:
    contents = read_contents(product, world)
    return frozenset(contents.certain) | frozenset(contents.possible)


def _settled(weeks: int, linked: LinkedRule, regimen: Regimen, answers: dict[str, frozenset[str]]) -> int:
    """The day after which no ``during the first …`` of a rule can hold any more; 0 when none can hold at all."""
    past_uses = [past for past in regimen.history or () if isinstance(past, PastUse)]
    known = {past.product.name: past.since for past in past_uses}
    until = 0
    for key, day in first_days(regimen).items():
        if linked.triggers is not None and linked.triggers.isdisjoint(answers.get(key, ())):
            continue
        if key not in known:
            until = max(until, day + weeks)
        elif (since := known[key]) is not None and regimen.starts is not None:
            until = max(until, (since - regimen.starts).days + weeks)
        elif since is not None:
            until = max(until, weeks)
    return until


def _run(bench: Bench, linked: LinkedRule, conditions: Conditions) -> list[Hit]:
    """A rule's hits; none where a measure that it asks for cannot be computed, which the plugins keep to be told."""
    rule = linked.rule
    run = Run(conditions.case, rule, conditions)
    try:
        _CHECKS[type(rule.requirement)](run, rule.requirement)
    except Unavailable as unavailable:
        bench.plugins.blame(unavailable.fault, linked.id)
        return []
    return _assume(rule, run.hits)


def sort_findings(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order of a report: by place, then severity, then rule."""
    return tuple(
        sorted(
            findings,
            key=lambda finding: (
                finding.where.path or "",
                finding.where.start,
                SEVERITIES.index(finding.severity),
                finding.rule,
                finding.certainty,
                finding.products,
            ),
        )
    )


def _without_history(regimen: Regimen) -> Problem:
    return Problem(
        HINT,
        "Rules about first uses and first weeks were not judged: the file does not say what was used before.",
        "Write `history:` with what is already in use, for example `- {product: …, since: 2026-01-01}`; "
        "`history: []` says that everything is new.",
        regimen.place,
    )


def _assume(rule: nodes.Rule, hits: list[Hit]) -> list[Hit]:
    """``assume unknown holds`` drops what is only possible, ``assume unknown breaks`` takes it as certain."""
    if rule.unknown == "holds":
        return [hit for hit in hits if hit.truth == YES]
    if rule.unknown == "breaks":
        for hit in hits:
            hit.truth = YES
    return hits


def _suspend(
    rule_id: str, hits: list[Hit], suspending: list[LinkedRule], conditions: Conditions
) -> list[tuple[str | None, list[Hit]]]:
    """Hits by the rule that suspends them; where a rule only possibly does, the hit becomes possible."""
    suspenders = [linked for linked in suspending if rule_id in linked.suspends]
    if not suspenders:
        return [(None, hits)]
    parts: dict[str | None, list[Hit]] = {}
    for hit in hits:
        by: str | None = None
        for linked in suspenders:
            try:
                truth = conditions.of_rule(linked.rule, hit.anchor)
            except Unavailable as unavailable:  # whether it suspends cannot be told
                conditions.case.plugins.blame(unavailable.fault, linked.id)
                truth = UNKNOWN
            if truth == YES:
                by = linked.id
                break
            if truth == UNKNOWN:
                hit.truth = UNKNOWN
        parts.setdefault(by, []).append(hit)
    return sorted(parts.items(), key=lambda part: part[0] or "")
