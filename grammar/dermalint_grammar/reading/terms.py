"""Terms and conditions: which applications a sentence speaks of, and where it applies."""

from __future__ import annotations

from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import v_args

from ..nodes import (
    Age,
    AllergicTo,
    AllOf,
    AnyCondition,
    AnyProduct,
    Around,
    BaseIs,
    Condition,
    Contacted,
    Duration,
    DuringFirst,
    EventIs,
    EveryCondition,
    Except,
    FirstUse,
    FromDate,
    Has,
    Literal,
    Marked,
    Measured,
    Named,
    NotCondition,
    NotTerm,
    OnArea,
    OneOf,
    PatchTest,
    PersonIs,
    Phototype,
    Quantity,
    ReasonIs,
    RegionIs,
    SkinIs,
    Takes,
    Term,
    Unit,
    UntilDate,
    WithContact,
)
from .base import ReadFigures


@v_args(meta=True)
class ReadTerms(ReadFigures):
    """Reads terms and conditions."""

    def one_of(self, meta: Meta, children: list[Term]) -> Term:
        return OneOf(tuple(children), self._span(meta))

    def all_of(self, meta: Meta, children: list[Term]) -> Term:
        return AllOf(tuple(children), self._span(meta))

    def except_for(self, meta: Meta, children: list[Term]) -> Term:
        return Except(children[0], children[1], self._span(meta))

    def not_term(self, meta: Meta, children: list[Term]) -> Term:
        return NotTerm(children[0], self._span(meta))

    def first_use(self, meta: Meta, children: list[Term]) -> Term:
        return FirstUse(children[0], self._span(meta))

    def patch_test(self, meta: Meta, children: list[Term]) -> Term:
        return PatchTest(children[0], self._span(meta))

    def contact(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def contacted(self, meta: Meta, children: list[Any]) -> Term:
        return Contacted(children[0], children[1], self._span(meta))

    def mark(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def marked(self, meta: Meta, children: list[Any]) -> Term:
        return Marked(children[0], children[1], self._span(meta))

    def named(self, meta: Meta, children: list[Token]) -> Term:
        return Named(str(children[0]), self._span(meta))

    def literal(self, meta: Meta, children: list[Token]) -> Term:
        return Literal(self._text(children[0]), self._span(meta))

    def any_product(self, meta: Meta, _children: list[Token]) -> Term:
        return AnyProduct(self._span(meta))

    def base_is(self, meta: Meta, children: list[Token]) -> Term:
        return BaseIs(str(children[0]), self._span(meta))

    def event_is(self, meta: Meta, children: list[Token]) -> Term:
        return EventIs(str(children[0]), self._span(meta))

    def measured(self, meta: Meta, children: list[Any]) -> Term:
        term, measure, comparison, quantity = children
        if measure != "contact":
            return Measured(term, str(measure), comparison, quantity, self._span(meta))
        return WithContact(term, comparison, self._contact_time(quantity), self._span(meta))

    def _contact_time(self, quantity: Quantity) -> Duration:
        if quantity.unit in tuple(Unit):
            return Duration(quantity.value, Unit(quantity.unit), quantity.span)
        message = "Contact is a length of time, such as `5 minutes`."
        self._tell(quantity.span, message, "cleanser with contact at least 5 minutes")
        return Duration(quantity.value, Unit.MINUTE, quantity.span)

    def on_area(self, meta: Meta, children: list[Any]) -> Term:
        return OnArea(children[0], str(children[1]), self._span(meta))

    # --- conditions ---

    def any_condition(self, meta: Meta, children: list[Condition]) -> Condition:
        return AnyCondition(tuple(children), self._span(meta))

    def every_condition(self, meta: Meta, children: list[Condition]) -> Condition:
        return EveryCondition(tuple(children), self._span(meta))

    def not_condition(self, meta: Meta, children: list[Condition]) -> Condition:
        return NotCondition(children[0], self._span(meta))

    def person_is(self, meta: Meta, children: list[Token]) -> Condition:
        return PersonIs(str(children[0]), "is", self._span(meta))

    def person_has(self, meta: Meta, children: list[Token]) -> Condition:
        return PersonIs(str(children[0]), "has", self._span(meta))

    def allergic_to(self, meta: Meta, children: list[Token]) -> Condition:
        return AllergicTo(str(children[0]), self._span(meta))

    def takes(self, meta: Meta, children: list[Token]) -> Condition:
        return Takes(str(children[0]), None, self._span(meta))

    def took(self, meta: Meta, children: list[Any]) -> Condition:
        return Takes(str(children[0]), children[1], self._span(meta))

    def reason_is(self, meta: Meta, children: list[Token]) -> Condition:
        return ReasonIs(str(children[0]), self._span(meta))

    def age(self, meta: Meta, children: list[Any]) -> Condition:
        return Age(children[0], children[1], self._span(meta))

    def phototype(self, meta: Meta, children: list[Any]) -> Condition:
        number = self._phototype(children[1], "if phototype at most 2")
        return Phototype(children[0], number, self._span(meta))

    def _phototype(self, token: Token, example: str) -> int:
        number = self._whole(token, "A phototype", example)
        if not 1 <= number <= 6:
            self._tell(self._place(token), f"Phototypes run from 1 to 6; there is no {number}.", example)
        return number

    def region_is(self, meta: Meta, children: list[Token]) -> Condition:
        return RegionIs(str(children[0]), self._span(meta))

    def skin_is(self, meta: Meta, children: list[Token]) -> Condition:
        return SkinIs(str(children[0]), self._span(meta))

    def place(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def side(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def has(self, meta: Meta, children: list[Any]) -> Condition:
        where, term, order, anchor = (*children, None, None)[:4]
        return Has(where, term, order, anchor, self._span(meta))

    def shortly_after(self, meta: Meta, children: list[Any]) -> Condition:
        return Around("after", children[1], children[0], self._span(meta))

    def shortly_before(self, meta: Meta, children: list[Any]) -> Condition:
        return Around("before", children[0], children[1], self._span(meta))

    def during(self, meta: Meta, children: list[Any]) -> Condition:
        duration, term, pause = (*children, None)[:3]
        return DuringFirst(duration, term, self._span(meta), pause)

    def from_date(self, meta: Meta, children: list[Token]) -> Condition:
        return FromDate(self._date(children[0]), self._span(meta))

    def until_date(self, meta: Meta, children: list[Token]) -> Condition:
        return UntilDate(self._date(children[0]), self._span(meta))
