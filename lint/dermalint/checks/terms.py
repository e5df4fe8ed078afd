"""Terms on signatures: which applications a term means, certainly and possibly, as two bit masks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import reduce
from operator import and_, or_
from typing import Any

from dermalint.checks.contents import Contents, Range, measure, read_contents, strength
from dermalint.checks.plugged import Plugged
from dermalint.checks.said import Said
from dermalint.checks.signatures import Areas, Signature, Signatures
from dermalint.regimen.model import Person
from dermalint.timeline.line import Line, Use, in_time
from dermalint.verdict.truth import NO, UNKNOWN, YES
from dermalint.vocabulary.world import BUILT_IN_MEASURES, World
from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Comparison

Masks = tuple[int, int]  # certainly, possibly (the second includes the first)
NONE: Masks = (0, 0)
_MILLIGRAM = BILLION // 1000
Matched = tuple[Use, int, int]  # the application, how certainly it matches, the mask of its areas that count
_Kinds = tuple[tuple[int, int, int], ...]  # the signatures that a term means, each with the same two


def compare(found: Range | None, comparison: Comparison, against: int) -> int:
    """Whether a measure compares as asked: NO where it does not apply, UNKNOWN where its range reaches both ways."""
    if found is None:
        return NO
    low, high = found.low, found.high
    if comparison is Comparison.AT_LEAST:
        return YES if low >= against else (UNKNOWN if high is None or high >= against else NO)
    if comparison is Comparison.ABOVE:
        return YES if low > against else (UNKNOWN if high is None or high > against else NO)
    if comparison is Comparison.AT_MOST:
        return NO if low > against else (YES if high is not None and high <= against else UNKNOWN)
    return NO if low >= against else (YES if high is not None and high < against else UNKNOWN)


class Terms:
    """Judges terms for one regimen.  Masks are kept by name and by term; everything else is a few integer operations."""

    def __init__(
        self,
        world: World,
        line: Line,
        areas: Areas,
        signatures: Signatures,
        as_of: date,
        plugged: Plugged,
        said: Said,
        person: Person,
    ) -> None:
        self.world = world
        self.said = said
        self.plugged = plugged
        self.line = line
        self.areas = areas
        self.signatures = signatures
        self.as_of = as_of
        self.person = person
        self.contents: dict[str, Contents] = {}
        self.names: dict[str, Masks] = {}
        self._masks: dict[int, tuple[nodes.Term, Masks]] = {}  # by identity: the term is kept, so that its number stays its own
        self._matched: dict[_Kinds, list[Matched]] = {}
        self._anchors: dict[_Kinds, list[Matched]] = {}
        for number, signature in enumerate(signatures.items):
            product = signature.product
            if product is None:
                continue
            contents = self.contents.get(product.key)
            if contents is None:
                contents = self.contents[product.key] = read_contents(product, world)
            bit = 1 << number
            for name in contents.certain:
                yes, possible = self.names.get(name, NONE)
                self.names[name] = yes | bit, possible | bit
            for name in contents.possible:
                if name not in contents.certain:
                    yes, possible = self.names.get(name, NONE)
                    self.names[name] = yes, possible | bit

    def masks(self, term: nodes.Term) -> Masks:
        """The signatures a term means."""
        if type(term) is nodes.Named:
            return self._named(term)
        known = self._masks.get(id(term))
        if known is None:
            known = self._masks[id(term)] = term, _JUDGES[type(term)](self, term)
        return known[1]

    def possible(self, term: nodes.Term) -> bool:
        """Whether anything on the line may be meant."""
        return self.masks(term)[1] != 0

    def matched(self, term: nodes.Term, *, skip: int = 0) -> list[Matched]:
        """The uses a term means, in order of time, with the areas that count; ``skip`` masks signatures out.

        The list is shared by all who ask for the same uses: nobody may change it.
        """
        return self._uses(self._kinds(term, skip))

    def anchors(self, term: nodes.Term, *, skip: int = 0) -> list[Matched]:
        """Those of :meth:`matched` that a fault can be told at or beside: all on the days that are judged, and all events."""
        kinds = self._kinds(term, skip)
        found = self._anchors.get(kinds)
        if found is None:
            judged = range(self.line.judged_from, self.line.judged_until)
            found = [item for item in self._uses(kinds) if item[0].day in judged or item[0].application is None]
            self._anchors[kinds] = found
        return found

    def _kinds(self, term: nodes.Term, skip: int) -> _Kinds:
        yes, possible = self.masks(term)
        possible &= ~skip
        kinds: list[tuple[int, int, int]] = []
        while possible:
            bit = possible & -possible
            possible ^= bit
            number = bit.bit_length() - 1
            kinds.append((number, YES if yes & bit else UNKNOWN, self.counted_area(term, number)))
        return tuple(kinds)

    def _uses(self, kinds: _Kinds) -> list[Matched]:
        found = self._matched.get(kinds)
        if found is None:
            found = self._matched[kinds] = self._lay_uses({number: (truth, area) for number, truth, area in kinds})
        return found

    def _lay_uses(self, kinds: dict[int, tuple[int, int]]) -> list[Matched]:
        if len(kinds) == 1:
            ((number, (truth, area)),) = kinds.items()
            return [(use, truth, area) for use in self.signatures.uses[number]]
        found = [(use, *kinds[use.signature]) for use in self.line.uses if use.signature in kinds]
        if any(self.signatures.events >> number & 1 for number in kinds):
            found += [(use, *kinds[use.signature]) for use in self.line.events if use.signature in kinds]
            found.sort(key=lambda matched: in_time(matched[0]))
        return found

    def counted_area(self, term: nodes.Term, number: int) -> int:
        """The areas of a signature on which it is what a term means: those of each part that means it."""
        area = self.signatures.items[number].area
        if not self.said.is_placed(term):
            return area
        if isinstance(term, nodes.OnArea):
            inside = self.counted_area(term.term, number) & self.areas.named.get(term.area, 0)
            return inside or self.areas.spots  # spots, which may lie there
        if isinstance(term, nodes.OneOf):
            areas = [self.counted_area(part, number) for part in term.terms if self.masks(part)[1] >> number & 1]
            return reduce(or_, areas, 0)
        if isinstance(term, nodes.AllOf):
            return reduce(and_, (self.counted_area(part, number) for part in term.terms)) or area
        if isinstance(term, nodes.Named):
            group = self.world.groups.get(term.name)
            return area if group is None else self.counted_area(group.term, number)
        inner: nodes.Term | None = getattr(term, "term", None)
        return area if inner is None or isinstance(term, nodes.NotTerm) else self.counted_area(inner, number)

    def measured(self, signature: Signature, term: nodes.Term, name: str) -> Range | None:
        """A measure of an application: a strength, and what a plugin computes, is that of what the term names, all else the
        product's own.  Raises :class:`~dermalint.plugins.faults.Unavailable` where a plugin fails."""
        product = signature.product
        if product is None:
            return None
        if name == "strength":
            return strength(self.contents[product.key], *self.said.names_in(term))
        if name == "amount":
            return weighed(signature.amount, self.person)
        if name not in BUILT_IN_MEASURES:
            return self.plugged.measure(name, self.contents[product.key], *self.said.names_in(term))
        return measure(product, name, self.as_of)

    # --- one judge a kind of node ---

    def _each(self, judge: Callable[[Signature], int], within: int) -> Masks:
        yes = possible = 0
        while within:
            bit = within & -within
            within ^= bit
            truth = judge(self.signatures.items[bit.bit_length() - 1])
            if truth:
                possible |= bit
                if truth == YES:
                    yes |= bit
        return yes, possible

    def _named(self, term: nodes.Named) -> Masks:
        found = self.names.get(term.name)
        if found is None:
            group = self.world.groups.get(term.name)
            found = self.names[term.name] = NONE if group is None else self.masks(group.term)
        return found

    def _literal(self, term: nodes.Literal) -> Masks:
        key = self.world.labels.get(" ".join(term.inci.casefold().split()))
        return NONE if key is None else self.names.get(key, NONE)

    def _any_product(self, _: nodes.AnyProduct) -> Masks:
        return self.signatures.products, self.signatures.products

    def _base(self, term: nodes.BaseIs) -> Masks:
        def judge(signature: Signature) -> int:
            assert signature.product is not None
            base = signature.product.base
            return UNKNOWN if base is None else YES if base.name == term.base else NO

        return self._each(judge, self.signatures.products)

    def _one_of(self, term: nodes.OneOf) -> Masks:
        yes = possible = 0
        for part in term.terms:
            more_yes, more_possible = self.masks(part)
            yes |= more_yes
            possible |= more_possible
        return yes, possible

    def _all_of(self, term: nodes.AllOf) -> Masks:
        yes = possible = -1
        for part in term.terms:
            more_yes, more_possible = self.masks(part)
            yes &= more_yes
            possible &= more_possible
        return yes, possible

    def _not(self, term: nodes.NotTerm) -> Masks:
        yes, possible = self.masks(term.term)
        products = self.signatures.products
        return products & ~possible, products & ~yes

    def _except(self, term: nodes.Except) -> Masks:
        yes, possible = self.masks(term.term)
        but_yes, but_possible = self.masks(term.but)
        return yes & ~but_possible, possible & ~but_yes

    def _measured(self, term: nodes.Measured) -> Masks:
        yes, possible = self.masks(term.term)
        against = term.quantity.value
        more_yes, more_possible = self._each(
            lambda signature: compare(self.measured(signature, term.term, term.measure), term.comparison, against),
            possible & self.signatures.products,
        )
        return yes & more_yes, possible & more_possible

    def _with_contact(self, term: nodes.WithContact) -> Masks:
        def judge(signature: Signature) -> int:
            contact = signature.contact
            if contact.kind == "left-on":  # no end: longer than any duration
                return YES if term.comparison in (Comparison.AT_LEAST, Comparison.ABOVE) else NO
            found = Range(0, None) if contact.minutes is None else Range(contact.minutes, contact.minutes)
            return compare(found, term.comparison, term.duration.minutes)

        yes, possible = self.masks(term.term)
        more_yes, more_possible = self._each(judge, possible & self.signatures.products)
        return yes & more_yes, possible & more_possible

    def _contacted(self, term: nodes.Contacted) -> Masks:
        yes, possible = self.masks(term.term)
        mask = self.signatures.contacts.get(term.contact, 0)
        return yes & mask, possible & mask

    def _marked(self, term: nodes.Marked) -> Masks:
        def judge(signature: Signature) -> int:
            product = signature.product
            assert product is not None
            if term.mark == "prescribed":
                return YES if product.prescribed else NO
            if term.mark == "made-up":
                return YES if product.made_up else NO
            return YES if product.form == term.mark else NO

        yes, possible = self.masks(term.term)
        mask, _ = self._each(judge, possible & self.signatures.products)
        return yes & mask, possible & mask

    def _on_area(self, term: nodes.OnArea) -> Masks:
        area = self.areas.named.get(term.area, 0)
        yes, possible = self.masks(term.term)
        more_yes, more_possible = self._each(lambda signature: self.areas.overlap(signature.area, area), possible)
        return yes & more_yes, possible & more_possible

    def _first_use(self, term: nodes.FirstUse) -> Masks:
        yes, possible = self.masks(term.term)
        return yes & self.signatures.first_yes, possible & self.signatures.first_possible

    def _event(self, term: nodes.EventIs) -> Masks:
        mask, _ = self._each(lambda signature: YES if signature.event == term.event else NO, self.signatures.events)
        return mask, mask

    def _patch_test(self, _: nodes.PatchTest) -> Masks:
        return NONE  # tests lie before the line: companions look them up in the history


def weighed(text: str | None, person: Person) -> Range:
    """The grams, in billionths, of an amount as a file says it; any, where it says nothing that can be weighed."""
    from dermalint.regimen.amounts import read_amount, weigh  # only rules about amounts pay for exact fractions

    amount = read_amount(text)
    if amount is None:
        return Range(0, None)
    span = weigh(amount, person)
    return Range(span.least * _MILLIGRAM, span.most * _MILLIGRAM)


_JUDGES: dict[type, Callable[[Any, Any], Masks]] = {
    nodes.Named: Terms._named,
    nodes.Literal: Terms._literal,
    nodes.AnyProduct: Terms._any_product,
    nodes.BaseIs: Terms._base,
    nodes.OneOf: Terms._one_of,
    nodes.AllOf: Terms._all_of,
    nodes.NotTerm: Terms._not,
    nodes.Except: Terms._except,
    nodes.Measured: Terms._measured,
    nodes.WithContact: Terms._with_contact,
    nodes.Contacted: Terms._contacted,
    nodes.Marked: Terms._marked,
    nodes.OnArea: Terms._on_area,
    nodes.FirstUse: Terms._first_use,
    nodes.EventIs: Terms._event,
    nodes.PatchTest: Terms._patch_test,
}
