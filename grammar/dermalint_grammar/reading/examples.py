"""Examples in compact notation: givens, routines, steps and the remarks in brackets behind a step."""

from __future__ import annotations

from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import v_args

from ..nodes import Example, ExampleEvent, ExampleRoutine, ExampleStep, Given, Remark, Unit
from .sentences import ReadSentences

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@v_args(meta=True)
class ReadExamples(ReadSentences):
    """Reads examples; a bare ``example`` counts as one that breaks until ``breaks`` or ``holds`` says which."""

    def example(self, meta: Meta, children: list[Any]) -> Example:
        givens: list[Given] = []
        parts: list[ExampleRoutine | ExampleEvent] = []
        for child in children:
            if isinstance(child, tuple):
                givens.extend(child)
            else:
                parts.append(child)
        return Example(True, tuple(givens), tuple(parts), None, self._span(meta))

    def example_file(self, meta: Meta, children: list[Token]) -> Example:
        return Example(True, (), (), self._text(children[0]), self._span(meta))

    def given_person(self, _meta: Meta, children: list[Given]) -> tuple[Given, ...]:
        return tuple(children)

    def given_trait(self, meta: Meta, children: list[Token]) -> Given:
        return Given("trait", str(children[0]), None, None, self._span(meta))

    def given_age(self, meta: Meta, children: list[Any]) -> Given:
        return Given("age", "", None, children[0], self._span(meta))

    def given_takes(self, meta: Meta, children: list[Token]) -> Given:
        return Given("takes", str(children[0]), None, None, self._span(meta))

    def given_allergic(self, meta: Meta, children: list[Token]) -> Given:
        return Given("allergic", str(children[0]), None, None, self._span(meta))

    def given_reason(self, meta: Meta, children: list[Token]) -> Given:
        return Given("reason", str(children[0]), None, None, self._span(meta))

    def given_phototype(self, meta: Meta, children: list[Token]) -> Given:
        number = self._phototype(children[0], "breaks person phototype 2: evening: retinol 0.3 %")
        return Given("phototype", "", number, None, self._span(meta))

    def given_region(self, meta: Meta, children: list[Token]) -> tuple[Given, ...]:
        return (Given("region", str(children[0]), None, None, self._span(meta)),)

    def given_as_of(self, meta: Meta, children: list[Token]) -> tuple[Given, ...]:
        return (Given("as-of", self._date(children[0]), None, None, self._span(meta)),)

    def given_for(self, meta: Meta, children: list[Any]) -> tuple[Given, ...]:
        return (Given("for", "", None, self._in_days(children[0]), self._span(meta)),)

    def given_cycle(self, meta: Meta, children: list[Any]) -> tuple[Given, ...]:
        length = self._in_days(children[0])
        return (Given("cycle", "", length.days, length, self._span(meta)),)

    def _in_days(self, length: Any) -> Any:
        if length.by_clock:
            message = f"How long an example runs is told in days, weeks, months or years, not in {length.unit}s."
            self._tell(length.span, message, "breaks cycle 4 days: day 1 evening: retinol 0.3 %")
        return length

    def example_routine(self, meta: Meta, children: list[Any]) -> ExampleRoutine:
        when, slot, *steps = children
        day, weekday = when or (None, False)
        return ExampleRoutine(day, weekday, str(slot), tuple(steps), self._span(meta))

    def example_event(self, meta: Meta, children: list[Token]) -> ExampleEvent:
        return ExampleEvent(str(children[0]), self._day_number(children[1]), self._span(meta))

    def example_day(self, _meta: Meta, children: list[Any]) -> tuple[int, bool]:
        (day,) = children
        if isinstance(day, Token):
            return self._day_number(day), False
        return day, True

    def _day_number(self, token: Token) -> int:
        example = "breaks day 1 evening: retinol 0.3 %; event waxing on day 3"
        number = self._whole(token, "The number of a day", example)
        if number < 1:
            self._tell(self._place(token), "Days are counted from 1.", example)
        return number

    def weekday(self, _meta: Meta, children: list[Token]) -> int:
        return _WEEKDAYS.index(children[0]) + 1

    def example_step(self, meta: Meta, children: list[Any]) -> ExampleStep:
        name, strength, *remarks = children
        percent = None if strength is None else self._number(strength)
        found = tuple(remark for remark in remarks if remark is not None)
        return ExampleStep(self._name(name), percent, found, None, self._span(meta))

    def example_wait(self, meta: Meta, children: list[Any]) -> ExampleStep:
        (length,) = children
        if length.unit not in (Unit.MINUTE, Unit.HOUR):
            message = f"A wait between steps is told in minutes or hours, not in {length.unit}s."
            self._tell(length.span, message, "breaks evening: toner, wait 10 minutes, retinol 0.3 %")
        return ExampleStep(None, None, (), length, self._span(meta))

    # --- remarks ---

    def remark_area(self, meta: Meta, children: list[Token]) -> Remark:
        return Remark("area", str(children[0]), None, None, self._span(meta))

    def remark_base(self, meta: Meta, children: list[Token]) -> Remark:
        return Remark("base", str(children[0]), None, None, self._span(meta))

    def remark_used(self, meta: Meta, children: list[Any]) -> Remark:
        return Remark("used", "used", None, self._in_days(children[0]), self._span(meta))

    def remark_timed(self, meta: Meta, children: list[Any]) -> Remark:
        return Remark("contact", "timed", None, children[0], self._span(meta))

    def without_end(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def remark_contact(self, meta: Meta, children: list[str]) -> Remark:
        return Remark("contact", children[0], None, None, self._span(meta))

    def flag(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def remark_mark(self, meta: Meta, children: list[str]) -> Remark:
        return Remark("mark", children[0], None, None, self._span(meta))

    def remark_measure(self, meta: Meta, children: list[Token]) -> Remark:
        return Remark("measure", str(children[0]), self._number(children[1]), None, self._span(meta))

    def remark_content(self, meta: Meta, children: list[Token]) -> Remark:
        value = self._number(children[1]) if len(children) > 1 else None
        return Remark("content", str(children[0]), value, None, self._span(meta))
