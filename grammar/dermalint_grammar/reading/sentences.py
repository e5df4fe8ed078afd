"""Requirements: what a rule asks of the applications on a timeline."""

from __future__ import annotations

from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import v_args

from ..nodes import (
    Apart,
    ApplyChain,
    ApplyDirectly,
    ApplyEdge,
    ExpectAround,
    ExpectEvery,
    Limit,
    NeverUse,
    Reach,
    Renew,
    Requirement,
    Separate,
    SeparateUses,
    Term,
    UseCount,
    UseFor,
    UseOnly,
    UseProducts,
    Wait,
)
from .terms import ReadTerms

_COUNT = "use scrub at most 2 times per week"
_PRODUCTS = "use at most 2 products of strong-acid per routine"


@v_args(meta=True)
class ReadSentences(ReadTerms):
    """Reads requirements."""

    def separate(self, meta: Meta, children: list[Any]) -> Requirement:
        return Separate(children[0], children[1], children[2], self._span(meta))

    def by_routine(self, meta: Meta, _children: list[Token]) -> Apart:
        return Apart("routine", None, None, None, self._span(meta))

    def by_day(self, meta: Meta, _children: list[Token]) -> Apart:
        return Apart("day", None, None, None, self._span(meta))

    def by_distance(self, meta: Meta, children: list[Any]) -> Apart:
        return Apart("duration", children[0], None, None, self._span(meta))

    def by_before(self, meta: Meta, children: list[Any]) -> Apart:
        return Apart("around", None, children[0], None, self._span(meta))

    def by_after(self, meta: Meta, children: list[Any]) -> Apart:
        return Apart("around", None, None, children[0], self._span(meta))

    def by_both(self, meta: Meta, children: list[Any]) -> Apart:
        return Apart("around", None, children[0], children[1], self._span(meta))

    def separate_uses(self, meta: Meta, children: list[Any]) -> Requirement:
        return SeparateUses(children[0], children[1], self._span(meta))

    def apply_chain(self, meta: Meta, children: list[Term]) -> Requirement:
        return ApplyChain(tuple(children), self._span(meta))

    def edge(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def apply_edge(self, meta: Meta, children: list[Any]) -> Requirement:
        term, edge, but, slot = children
        return ApplyEdge(term, edge, but, None if slot is None else str(slot), self._span(meta))

    def apply_directly(self, meta: Meta, children: list[Term]) -> Requirement:
        return ApplyDirectly(children[0], children[1], self._span(meta))

    def wait(self, meta: Meta, children: list[Any]) -> Requirement:
        return Wait(children[0], children[1], children[2], self._span(meta))

    def use_only(self, meta: Meta, children: list[Any]) -> Requirement:
        return UseOnly(children[0], tuple(self._name(slot) for slot in children[1:]), self._span(meta))

    def never_use(self, meta: Meta, children: list[Any]) -> Requirement:
        slot = None if children[1] is None else self._name(children[1])
        return NeverUse(children[0], slot, self._span(meta))

    def use_count(self, meta: Meta, children: list[Any]) -> Requirement:
        term, bound, number, counted, (per, window) = children
        return UseCount(term, bound, self._whole(number, "A count", _COUNT), counted, per, window, self._span(meta))

    def use_in_a_row(self, meta: Meta, children: list[Any]) -> Requirement:
        term, bound, number, counted = children
        return UseCount(term, bound, self._whole(number, "A count", _COUNT), counted, "row", 1, self._span(meta))

    def use_products(self, meta: Meta, children: list[Any]) -> Requirement:
        bound, number, term, (per, window) = children
        return UseProducts(term, bound, self._whole(number, "A count", _PRODUCTS), per, window, self._span(meta))

    def counted(self, _meta: Meta, children: list[Token]) -> str:
        singular = children[0].removesuffix("s")
        return {"time": "times", "day": "days"}.get(singular, singular)

    def span(self, _meta: Meta, children: list[Token]) -> tuple[str, int]:
        return str(children[0]), 1

    def rolling(self, _meta: Meta, children: list[Any]) -> tuple[str, int]:
        number, days = children
        return "days", days * self._whole(number, "The length of a window", "use scrub at most 4 times per 10 days")

    def long_unit(self, _meta: Meta, children: list[Token]) -> int:
        return 7 if children[0].startswith("week") else 1

    def use_for(self, meta: Meta, children: list[Any]) -> Requirement:
        return UseFor(children[0], children[1], children[2], self._span(meta))

    def expect_after(self, meta: Meta, children: list[Any]) -> Requirement:
        return ExpectAround("after", children[0], children[1], children[2], self._span(meta))

    def expect_before(self, meta: Meta, children: list[Any]) -> Requirement:
        return ExpectAround("before", children[0], children[1], children[2], self._span(meta))

    def routine(self, _meta: Meta, _children: list[Token]) -> str:
        return "routine"

    def day(self, _meta: Meta, _children: list[Token]) -> str:
        return "day"

    def in_the_same(self, meta: Meta, children: list[Any]) -> Reach:
        return Reach(children[0], None, None, self._span(meta))

    def reach_within(self, meta: Meta, children: list[Any]) -> Reach:
        return Reach("within", children[0], None, self._span(meta))

    def every_for(self, meta: Meta, children: list[Any]) -> Reach:
        return Reach("every", children[1], str(children[0]), self._span(meta))

    def ahead(self, meta: Meta, children: list[Any]) -> Reach:
        return Reach("ahead", children[0], None, self._span(meta))

    def expect_every(self, meta: Meta, children: list[Any]) -> Requirement:
        companion, slot, having = children
        return ExpectEvery(companion, str(slot), having, self._span(meta))

    def renew(self, meta: Meta, children: list[Any]) -> Requirement:
        return Renew(children[0], children[1], self._span(meta))

    def total(self, _meta: Meta, _children: list[Token]) -> bool:
        return True

    def limit(self, meta: Meta, children: list[Any]) -> Requirement:
        total, measure, term, period, bound, quantity = children
        per = None if period is None else period[0]
        return Limit(self._name(measure), term, total is not None, per, bound, quantity, self._span(meta))
