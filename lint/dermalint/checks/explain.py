"""Terms and matches in words: what a term is called, why a product matched it, what is unknown of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dermalint.checks.case import Case
from dermalint.checks.contents import FROM_LABEL, Listed, strength
from dermalint.checks.signatures import Signature
from dermalint.regimen.model import Content
from dermalint.spans import Place
from dermalint.timeline.line import Use
from dermalint.vocabulary.world import BUILT_IN_MEASURES, World, in_words, title_of
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION


def number_text(value: int) -> str:
    """A number of billionths as people write it: ``0.3``, ``12``."""
    whole, rest = divmod(abs(value), BILLION)
    text = f"{whole}.{rest:09d}".rstrip("0").rstrip(".") if rest else str(whole)
    return f"-{text}" if value < 0 else text


def duration_text(duration: nodes.Duration) -> str:
    """A duration as people write it: ``12 hours``, ``1 day``."""
    number = number_text(duration.count)
    return f"{number} {duration.unit.value}{'' if number == '1' else 's'}"


def minutes_text(minutes: int) -> str:
    """Minutes as ``45 min``, ``9 h 30 min``, ``3 days 2 h``."""
    days, rest = divmod(minutes, 1440)
    hours, left = divmod(rest, 60)
    parts = []
    if days:
        parts.append(f"{days} day{'' if days == 1 else 's'}")
    if hours:
        parts.append(f"{hours} h")
    if left or not parts:
        parts.append(f"{left} min")
    return " ".join(parts)


def quantity_text(quantity: nodes.Quantity) -> str:
    """``5 %``, ``3.5``."""
    return f"{number_text(quantity.value)} {quantity.unit}".strip()


def term_text(term: nodes.Term, world: World) -> str:
    """A term in words, with the titles that the packs give their names."""
    return _WORDS[type(term)](term, world)


def _measured(term: nodes.Measured, world: World) -> str:
    name = {"ph": "pH", "spf": "SPF"}.get(term.measure, in_words(term.measure))
    return f"{term_text(term.term, world)} with {name} {term.comparison.value} {quantity_text(term.quantity)}"


def _bracketed(term: nodes.Term, world: World) -> str:
    text = term_text(term, world)
    return f"({text})" if isinstance(term, nodes.OneOf | nodes.AllOf | nodes.Except) else text


_WORDS: dict[type, Callable[[Any, World], str]] = {
    nodes.Named: lambda term, world: title_of(world, term.name),
    nodes.Literal: lambda term, world: term.inci,
    nodes.AnyProduct: lambda term, world: "any product",
    nodes.BaseIs: lambda term, world: f"{title_of(world, term.base)} base",
    nodes.OneOf: lambda term, world: " or ".join(term_text(part, world) for part in term.terms),
    nodes.AllOf: lambda term, world: " and ".join(_bracketed(part, world) for part in term.terms),
    nodes.NotTerm: lambda term, world: f"not {_bracketed(term.term, world)}",
    nodes.Except: lambda term, world: f"{term_text(term.term, world)} except {_bracketed(term.but, world)}",
    nodes.Measured: _measured,
    nodes.WithContact: lambda term, world: (
        f"{term_text(term.term, world)} with contact {term.comparison.value} {duration_text(term.duration)}"
    ),
    nodes.Contacted: lambda term, world: f"{term.contact} {_bracketed(term.term, world)}",
    nodes.Marked: lambda term, world: f"{in_words(term.mark)} {_bracketed(term.term, world)}",
    nodes.OnArea: lambda term, world: f"{_bracketed(term.term, world)} on {in_words(term.area)}",
    nodes.FirstUse: lambda term, world: f"first use of {_bracketed(term.term, world)}",
    nodes.EventIs: lambda term, world: title_of(world, term.event),
    nodes.PatchTest: lambda term, world: f"patch test of {_bracketed(term.term, world)}",
}


_QUALIFIED = (
    nodes.Measured,
    nodes.WithContact,
    nodes.Contacted,
    nodes.Marked,
    nodes.OnArea,
    nodes.FirstUse,
    nodes.Except,
)


def short_term(term: nodes.Term, world: World) -> str:
    """A term without its qualifiers, for the running text of a message."""
    return short_term(term.term, world) if isinstance(term, _QUALIFIED) else term_text(term, world)


def matched_name(case: Case, use: Use, term: nodes.Term) -> str:
    """What a use is called for the part of a term that it matched: of ``retinoid or strong acid`` the one it is."""
    if use.application is not None and isinstance(term, nodes.OneOf):
        number = use.signature
        for part in term.terms:
            if case.terms.masks(part)[1] >> number & 1:
                return matched_name(case, use, part)
    if isinstance(term, _QUALIFIED):
        return matched_name(case, use, term.term)
    return short_term(term, case.world)


def through(case: Case, use: Use, term: nodes.Term) -> str:
    """Why a use matches a term: the substance with its strength, the kind, the base; empty where nothing is to be said."""
    signature = _signature(case, use)
    if signature is None or signature.product is None:
        return ""
    reasons = list(dict.fromkeys(_reasons(case, signature, term)))
    return ", ".join(reasons)


def _signature(case: Case, use: Use) -> Signature | None:
    if use.application is None and use.event is None:
        return None
    return case.signatures.items[use.signature]


def _reasons(case: Case, signature: Signature, term: nodes.Term) -> list[str]:
    product = signature.product
    assert product is not None
    if isinstance(term, nodes.Named):
        group = case.world.groups.get(term.name)
        if group is not None:
            return _reasons(case, signature, group.term)
        contents = case.terms.contents[product.key]
        names = [
            content_text(content)
            for content, closure in contents.closures
            if term.name in closure or contents.possible.get(term.name) is content
        ]
        kinds = [in_words(kind.name) for kind in product.kinds if kind.name == term.name]
        return names + kinds
    if isinstance(term, nodes.OneOf | nodes.AllOf):
        return [reason for part in term.terms for reason in _reasons(case, signature, part)]
    if isinstance(term, nodes.BaseIs):
        if product.base is None or product.base.name != term.base:
            return []
        origin = f" {product.base.detail}" if product.base.detail else ""
        return [f"{in_words(product.base.name)} base{origin}"]
    if isinstance(term, nodes.Measured):
        reasons = _reasons(case, signature, term.term)
        if term.measure == "strength":
            return reasons
        found = case.terms.measured(signature, term.term, term.measure)
        if found is not None and found.exact is not None:
            name = {"ph": "pH", "spf": "SPF"}.get(term.measure, in_words(term.measure))
            unit = f" {unit}" if (unit := case.world.measures[term.measure].unit) in ("%", "g") else ""
            reasons.append(f"{name} {number_text(found.low)}{unit}")
        return reasons
    inner = getattr(term, "term", None)
    return [] if inner is None or isinstance(term, nodes.NotTerm) else _reasons(case, signature, inner)


def content_text(content: Content) -> str:
    """A content with its strength, and what a label shows of it: ``retinol 0.3 %``, ``retinol from the label list``."""
    text = f"{content.name} {number_text(content.strength)} %" if content.strength is not None else content.name
    if not isinstance(content, Listed):
        return text
    return f"{text} {FROM_LABEL} ({content.note})" if content.note else f"{text} {FROM_LABEL}"


def on_label(case: Case, use: Use, term: nodes.Term) -> list[tuple[Place, str]]:
    """Where a label names what a use matches a term through, with a word on it; not for lists of several lines."""
    signature = _signature(case, use)
    if signature is None or signature.product is None:
        return []
    product = signature.product
    wanted, but = case.terms.said.names_in(term)
    contents = case.terms.contents[product.key]
    return [
        (content.place, f"{content.name} on the label of {product.key}")
        for content, closure in contents.closures
        if isinstance(content, Listed) and content.place != product.ingredients_place
        if closure & wanted and not closure & but
    ]


def unknowns(case: Case, use: Use, term: nodes.Term) -> list[str]:
    """What is not stated of a use that would decide whether it matches, in words."""
    found: list[str] = []
    application = use.application
    if application is None:
        return found
    if application.only_if is not None:
        found.append(f"whether “{application.only_if}” happens")
    elif application.step.as_needed:
        found.append(f"whether {application.product.key} is needed")
    signature = _signature(case, use)
    if signature is not None:
        found += _unknown_of(case, signature, term)
    return list(dict.fromkeys(found))


def _unknown_of(case: Case, signature: Signature, term: nodes.Term) -> list[str]:
    product = signature.product
    assert product is not None
    key = product.key
    if isinstance(term, nodes.Named):
        group = case.world.groups.get(term.name)
        if group is not None:
            return _unknown_of(case, signature, group.term)
        content = case.terms.contents[key].possible.get(term.name)
        certain = term.name in case.terms.contents[key].certain
        if content is None or certain:
            return []
        if not isinstance(content, Listed):
            return [f"which {in_words(content.name)} is in {key}"]
        if content.optional:
            return [f"whether {content.name} is in {key}"]
        return [f"whether {content.name} is in {key} to exfoliate or only sets its pH"]
    if isinstance(term, nodes.OneOf | nodes.AllOf):
        return [text for part in term.terms for text in _unknown_of(case, signature, part)]
    if isinstance(term, nodes.BaseIs):
        return [f"the base of {key}"] if product.base is None else []
    if isinstance(term, nodes.Measured):
        inner = _unknown_of(case, signature, term.term)
        found = case.terms.measured(signature, term.term, term.measure)
        undecided = found is not None and found.exact is None
        return inner + ([measure_unknown(case, signature, term.term, term.measure)] if undecided else [])
    if isinstance(term, nodes.WithContact):
        inner = _unknown_of(case, signature, term.term)
        unstated = signature.contact.kind != "left-on" and signature.contact.minutes is None
        return [*inner, f"how long {key} stays on"] if unstated else inner
    if isinstance(term, nodes.Except):
        return _unknown_of(case, signature, term.term) + _unknown_of(case, signature, term.but)
    below = getattr(term, "term", None)
    return [] if below is None else _unknown_of(case, signature, below)


def measure_unknown(case: Case, signature: Signature, term: nodes.Term, name: str) -> str:
    """``the strength of glycolic-acid in acid-toner``, ``the pH of acid-toner``."""
    product = signature.product
    assert product is not None
    plugged = name not in BUILT_IN_MEASURES
    if name == "strength" or plugged:
        wanted, but = case.terms.said.names_in(term)
        contents = case.terms.contents[product.key]
        unstated = [
            content.name + (f" ({content.note})" if isinstance(content, Listed) and content.at_most is not None else "")
            for content, closure in contents.closures
            if content.strength is None
            and not (isinstance(content, Listed) and content.optional)
            and (closure & wanted or any(contents.possible.get(name) is content for name in wanted))
            and not closure & but
        ]
        if unstated or not plugged:
            what = " and ".join(unstated) or "what it contains"
            assert strength(contents, wanted, but) is not None
            return f"the strength of {what} in {product.key}"
    if name == "amount" and (found := case.terms.measured(signature, term, name)) and found.high is not None:
        return f"whose finger measures {signature.amount} of {product.key}"
    label = {"ph": "pH", "spf": "SPF"}.get(name, in_words(name))
    if plugged:  # it depends on whatever the plugin goes by
        return f"the {label} of {short_term(term, case.world)} in {product.key}"
    return f"the {label} of {product.key}"
