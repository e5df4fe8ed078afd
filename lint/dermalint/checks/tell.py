"""From hits to findings: one finding a cause, with every day it happens on."""

from __future__ import annotations

from hashlib import blake2b

from dermalint.checks.case import Case, Hit
from dermalint.checks.explain import matched_name, measure_unknown, on_label, term_text, through, unknowns
from dermalint.checks.sentences import Telling, is_prescribed, tell
from dermalint.checks.topics import topic_of
from dermalint.spans import Place
from dermalint.timeline.line import Use
from dermalint.verdict.findings import CERTAIN, POSSIBLE, Finding, Match, Occurrence, Related
from dermalint.verdict.truth import UNKNOWN, YES
from dermalint.vocabulary.world import in_words
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Comparison
from dermalint_grammar.record import replace

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_UNKNOWN_LAST = 10**18  # more than any measure in billionths
_MEASURED_GAP = (nodes.Separate, nodes.SeparateUses, nodes.Wait)


def tell_findings(
    case: Case, rule_id: str, rule: nodes.Rule, severity: str, hits: list[Hit], suspended_by: str | None = None
) -> list[Finding]:
    """The findings of one rule on one regimen.

    Hits with the same products and certainty are one finding.  A possible hit at a place where the same products are
    certainly at fault says nothing more and is dropped.
    """
    together: tuple[str, ...] | None = None
    if isinstance(rule.requirement, nodes.UseCount | nodes.UseProducts | nodes.UseFor):
        # Products are counted together, so they are at fault together.
        together = tuple(sorted({use.product for hit in hits for use, _ in hit.uses}))
    causes: dict[tuple[tuple[str, ...], int], list[Hit]] = {}
    for hit in hits:
        causes.setdefault((together or _cause(rule, hit), hit.truth), []).append(hit)
    findings: list[Finding] = []
    for (key, truth), found in causes.items():
        if truth == UNKNOWN:
            certain = {_place_key(hit) for hit in causes.get((key, YES), ())}
            found = [hit for hit in found if _place_key(hit) not in certain]
        if found:
            findings.append(_finding(case, rule_id, rule, severity, found, suspended_by))
    return findings


def _cause(rule: nodes.Rule, hit: Hit) -> tuple[str, ...]:
    if isinstance(rule.requirement, nodes.ApplyChain) and hit.truth == UNKNOWN:
        # A product of unknown base could clash with each of the others: told once, of that product.
        unsure = [use.product for use, _ in hit.uses if use.application and use.application.product.base is None]
        if unsure:
            return tuple(sorted(set(unsure)))
    return tuple(sorted({use.product for use, _ in hit.uses if use.product}))


def _place_key(hit: Hit) -> tuple[int, int]:
    return hit.anchor.minute, hit.anchor.routine


def _finding(case: Case, rule_id: str, rule: nodes.Rule, severity: str, hits: list[Hit], suspended_by: str | None) -> Finding:
    hits.sort(key=lambda hit: (_badness(rule, hit), hit.anchor.minute, hit.anchor.position))
    told = _with_prescriber(rule, tell(case, rule, hits), hits)
    hits.sort(key=lambda hit: (hit.anchor.minute, hit.anchor.position))
    products = tuple(dict.fromkeys(use.product for hit in hits for use, _ in hit.uses if use.product))
    certainty = CERTAIN if hits[0].truth == YES else POSSIBLE
    where, related = _places(case, hits)
    occurs = tell_occurrences(case, [hit.anchor for hit in hits])
    person = case.regimen.person_name or ""
    identity = "|".join((rule_id, certainty, person, *sorted(products)))
    group = "|".join((person, *sorted(products), topic_of(rule)))
    return Finding(
        rule=rule_id,
        severity=severity,
        topic=topic_of(rule),
        certainty=certainty,
        unknown=_unknown(case, rule, hits) if certainty == POSSIBLE else (),
        message=told.message,
        why=rule.why,
        advise=rule.advise,
        sources=tuple(map(tell_source, rule.sources)),
        disputed=rule.disputed,
        products=products,
        where=where,
        related=related,
        occurs=occurs,
        matched=_matches(case, hits),
        measured=told.measured,
        mends=told.mends,
        id=_digest(identity),
        group=_digest(group),
        suspended_by=suspended_by,
    )


def _with_prescriber(rule: nodes.Rule, told: Telling, hits: list[Hit]) -> Telling:
    """What is said of the way out, with whom to ask first where it could be taken for a change of something prescribed."""
    if isinstance(rule.requirement, nodes.ExpectAround | nodes.ExpectEvery | nodes.Renew | nodes.Limit):
        return told  # what is missing is added, and nothing else changes
    products = {use.product: is_prescribed(use) for hit in hits for use, _ in hit.uses}
    return replace(told, mends=tuple(replace(mend, say=mend.say + _asking(mend.say, products)) for mend in told.mends))


def _asking(say: str, products: dict[str, bool]) -> str:
    """The sentence that sends to the prescriber, where a way out speaks of something prescribed, or of no product by name."""
    words = {word.strip(".,:;") for word in say.split()}
    named = [name for name in products if name in words] or list(products)
    prescribed = [name for name in named if products[name]]
    if not prescribed:
        return ""
    return f" {' and '.join(prescribed)} {'is' if len(prescribed) == 1 else 'are'} prescribed: ask the prescriber first."


_STATUS = {
    "verified": "text read",
    "secondary": "reported by others",
    "practice": "common practice",
    "memory": "from memory",
}


def tell_source(source: nodes.Source) -> str:
    """A source with how well it is known behind it, unless it says that itself."""
    status = _STATUS[source.status.value]
    return source.text if status in source.text.casefold() else f"{source.text} ({status})"


def _digest(text: str) -> str:
    return blake2b(text.encode(), digest_size=6).hexdigest()


def _badness(rule: nodes.Rule, hit: Hit) -> int:
    """The sort order that brings the worst hit first: the smallest gap, the greatest count."""
    requirement = rule.requirement
    if isinstance(requirement, nodes.Limit):
        if hit.value is None:
            return _UNKNOWN_LAST
        return hit.value if requirement.bound in (Comparison.AT_LEAST, Comparison.ABOVE) else -hit.value
    if hit.value is None:
        return -1_000_000
    return hit.value if isinstance(requirement, _MEASURED_GAP) else -hit.value


def _places(case: Case, hits: list[Hit]) -> tuple[Place, tuple[Related, ...]]:
    first = hits[0]
    main = first.anchor if first.anchor.application is not None else None
    if main is None and not first.missing:
        main = next((use for use, _ in first.uses if use.application is not None), None)
    where = _place(case, main) if main is not None else _slot_place(case, first.anchor)
    seen = {where}
    related: list[Related] = []
    for hit in hits:
        for use, term in hit.uses:
            place = _place(case, use)
            if place not in seen:
                seen.add(place)
                note = f"calls for it, as {term_text(term, case.world)}" if hit.missing else _note(case, use, term)
                related.append(Related(place, note))
            for place, note in on_label(case, use, term):
                if place not in seen:
                    seen.add(place)
                    related.append(Related(place, note))
    return where, tuple(related)


def _note(case: Case, use: Use, term: nodes.Term) -> str:
    if use.application is None:
        return in_words(use.event.event.name) if use.event is not None else ""
    reason = through(case, use, term)
    return f"{use.product}: {reason}" if reason else use.product


def _place(case: Case, use: Use) -> Place:
    if use.application is not None:
        return use.application.place
    if use.event is not None:
        return use.event.event.place
    return _slot_place(case, use)


def _slot_place(case: Case, moment: Use) -> Place:
    """The slot of a routine that is there on that day, else the regimen's title."""
    for use in case.line.uses:
        if use.day == moment.day and moment.slot in (use.slot, use.counts_as) and use.application is not None:
            return use.application.routine.slot.place
    return case.regimen.place


def tell_occurrences(case: Case, moments: list[Use]) -> tuple[Occurrence, ...]:
    """Phase, day and slot of each moment: what repeats once with its period, what happens once with its date."""
    line = case.line
    places: dict[tuple[int, int, int, str], set[int]] = {}
    steady: set[tuple[int, int, int, str]] = set()
    for moment in moments:
        span = line.phases[moment.phase]
        order = line.clock.slots[moment.slot].order if moment.slot in line.clock.slots else 9
        key = (moment.phase, (moment.day - span.start) % span.period + 1, order, moment.slot)
        places.setdefault(key, set()).add(moment.day)
        if line.steady_from is not None and moment.day >= line.steady_from:
            steady.add(key)
    told: list[tuple[tuple[int, bool, int, int], Occurrence]] = []
    for key, found in places.items():
        phase, day, order, slot = key
        span = line.phases[phase]
        first = min(found)
        repeating = key in steady or len(found) > 1
        dated = None if repeating or line.starts is None else case.date_of(first)
        # A name for the day: the calendar's for a date; the cycle's where weeks repeat.
        named = WEEKDAYS[line.weekday(first)] if dated is not None or span.period % 7 == 0 else None
        occurrence = Occurrence(
            phase + 1, day, named, slot, span.period if repeating else None, dated.isoformat() if dated else None
        )
        told.append(((phase, not repeating, day if repeating else first, order), occurrence))
    return tuple(occurrence for _, occurrence in sorted(told, key=lambda entry: entry[0]))


def _matches(case: Case, hits: list[Hit]) -> tuple[Match, ...]:
    found: dict[tuple[str, str], Match] = {}
    seen: set[tuple[int, int]] = set()
    for hit in hits:
        for use, term in hit.uses:
            if use.application is None or isinstance(term, nodes.AnyProduct) or (use.kind, id(term)) in seen:
                continue
            seen.add((use.kind, id(term)))
            name = matched_name(case, use, term)
            found.setdefault((use.product, name), Match(use.product, name, through(case, use, term)))
    return tuple(found.values())


def _unknown(case: Case, rule: nodes.Rule, hits: list[Hit]) -> tuple[str, ...]:
    names: dict[str, None] = {}
    requirement = rule.requirement
    for hit in hits:
        for use, term in hit.uses:
            names.update(dict.fromkeys(unknowns(case, use, term)))
            if use.application is None:
                continue
            signature = case.signatures.items[use.signature]
            if isinstance(requirement, nodes.Limit):
                found = case.terms.measured(signature, requirement.term, requirement.measure.text)
                if found is not None and found.exact is None:
                    names[measure_unknown(case, signature, requirement.term, requirement.measure.text)] = None
            if isinstance(requirement, nodes.Wait) and use.dry_waits:
                names["how long the wait until the skin is dry takes"] = None
            if len(hit.uses) > 1 and signature.area & case.areas.face == case.areas.spots:
                names[f"where the spots of {use.product} are"] = None
    for text in _unknown_of_clauses(case, rule):
        names[text] = None
    return tuple(names) or ("what the file does not state",)


def _unknown_of_clauses(case: Case, rule: nodes.Rule) -> list[str]:
    person = case.regimen.person
    found: list[str] = []
    for condition in _leaves(rule.conditions):
        if isinstance(condition, nodes.Age) and person.age_months is None:
            found.append("the person's age")
        elif isinstance(condition, nodes.Phototype) and person.phototype is None:
            found.append("the person's phototype")
        elif isinstance(condition, nodes.Has | nodes.Around):
            yes, _ = case.terms.masks(condition.term)
            for use, _, _ in case.terms.matched(condition.term, skip=yes):
                found += unknowns(case, use, condition.term)
    return found


def _leaves(conditions: tuple[nodes.Condition, ...]) -> list[nodes.Condition]:
    found: list[nodes.Condition] = []
    for condition in conditions:
        if isinstance(condition, nodes.AnyCondition | nodes.EveryCondition):
            found += _leaves(condition.conditions)
        elif isinstance(condition, nodes.NotCondition):
            found += _leaves((condition.condition,))
        else:
            found.append(condition)
    return found
