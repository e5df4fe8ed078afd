"""Declarations, rules and the whole file."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from lark import Token
from lark.tree import Meta
from lark.visitors import v_args

from ..figures import find_check_digit
from ..mistakes import Mistake
from ..nodes import (
    AreaDecl,
    CasNumber,
    Declaration,
    Example,
    FamilyDecl,
    Figure,
    GroupDecl,
    MeasureDecl,
    Name,
    NotCondition,
    Pack,
    PlainDecl,
    Rule,
    Severity,
    Source,
    Span,
    Status,
    SubstanceDecl,
    Used,
)
from .examples import ReadExamples

TOPICS = ("separation", "order", "timing", "frequency", "strength", "sun", "person", "companion", "shelf")

# What may stand once only: how the message names it, and how it is written.
_ONCE = {
    "title": ("title", 'title "Exfoliating acids"'),
    "about": ("about", 'about "Spacing and order of hydroxy acids."'),
    "molar-mass": ("molar-mass", "molar-mass 76.05"),
    "topic": ("topic", "topic separation"),
    "why": ("why", 'why "Two irritant actives in one routine add up."'),
    "advise": ("advise", 'advise "Use the acid on another night."'),
    "disputed": ("disputed", 'disputed "Some sources allow a low strength."'),
    "review-by": ("review-by", "review-by 2027-06-30"),
    "assume": ("assume unknown", "assume unknown holds"),
    "pauses": ("allowing pauses of", "allowing pauses of 10 days"),
}


@dataclass(frozen=True, slots=True)
class Part:
    """One property, clause or note on its way into the declaration or rule that it belongs to."""

    kind: str
    value: Any
    span: Span


@dataclass(frozen=True, slots=True)
class PackLine:
    """``pack acids 1.0.0``."""

    name: Name
    version: str
    span: Span


def gather(parts: list[Part], mistakes: list[Mistake]) -> dict[str, list[Any]]:
    """Sort parts by kind, in the order written, and tell of each that stands twice where once is meant."""
    found: dict[str, list[Any]] = {}
    for part in parts:
        values = found.setdefault(part.kind, [])
        if values and part.kind in _ONCE:
            word, example = _ONCE[part.kind]
            mistakes.append(Mistake(part.span, f"`{word}` stands here a second time; once is enough.", example))
        else:
            values.append(part.value)
    return found


def assemble_pack(pieces: list[Any], end: int, mistakes: list[Mistake]) -> Pack | None:
    """Make the pack of its first line, the other lines of its head, its declarations and its rules.

    Without a first line there is no pack; ``end`` is where the text ends.
    """
    lines = [piece for piece in pieces if isinstance(piece, PackLine)]
    head = gather([piece for piece in pieces if isinstance(piece, Part)], mistakes)
    items = [piece for piece in pieces if not isinstance(piece, PackLine | Part)]
    if not lines:
        return None
    return Pack(
        lines[0].name,
        lines[0].version,
        next(iter(head.get("title", [])), ""),
        next(iter(head.get("about", [])), ""),
        tuple(used for several in head.get("uses", []) for used in several),
        tuple(item for item in items if not isinstance(item, Rule)),
        tuple(item for item in items if isinstance(item, Rule)),
        Span(lines[0].span.start, end),
    )


@v_args(meta=True)
class ReadItems(ReadExamples):
    """Reads declarations, rules, header lines and whole files."""

    # --- the head of a file ---

    def pack_line(self, meta: Meta, children: list[Token]) -> PackLine:
        return PackLine(self._name(children[0]), str(children[1]), self._span(meta))

    def title(self, meta: Meta, children: list[Token]) -> Part:
        return Part("title", self._text(children[0]), self._span(meta))

    def about(self, meta: Meta, children: list[Token]) -> Part:
        return Part("about", self._text(children[0]), self._span(meta))

    def uses(self, meta: Meta, children: list[Used]) -> Part:
        return Part("uses", tuple(children), self._span(meta))

    def used(self, _meta: Meta, children: list[Any]) -> Used:
        name, version, below = children
        return Used(self._name(name), None if version is None else str(version), None if below is None else str(below))

    def file(self, _meta: Meta, children: list[Any]) -> list[Any]:
        return children

    # --- declarations ---

    def substance(self, meta: Meta, children: list[Any]) -> Declaration:
        name, *parts = children
        found = gather(parts, self._mistakes)
        several = ("inci", "also", "cas", "pka", "in")
        joined = {kind: tuple(one for values in found.get(kind, []) for one in values) for kind in several}
        return SubstanceDecl(
            self._name(name),
            joined["inci"],
            joined["cas"],
            joined["also"],
            joined["pka"],
            next(iter(found.get("molar-mass", [])), None),
            joined["in"],
            tuple(found.get("source", [])),
            self._span(meta),
        )

    def inci(self, meta: Meta, children: list[Token]) -> Part:
        return Part("inci", tuple(self._text(token) for token in children), self._span(meta))

    def also(self, meta: Meta, children: list[Token]) -> Part:
        return Part("also", tuple(self._text(token) for token in children), self._span(meta))

    def cas(self, meta: Meta, children: list[Any]) -> Part:
        *tokens, origin = children
        for token in tokens:
            digit = find_check_digit(token)
            if not token.endswith(digit):
                message = (
                    f"The last digit of a CAS number checks the others: `{token[:-1]}…` asks for {digit}, not {token[-1]}. "
                    "Compare every digit with your source."
                )
                self._tell(self._place(token), message, "cas 79-14-1", token[:-1] + digit)
        numbers = tuple(CasNumber(str(token), origin, self._place(token)) for token in tokens)
        return Part("cas", numbers, self._span(meta))

    def pka(self, meta: Meta, children: list[Any]) -> Part:
        *tokens, origin = children
        for one, other in pairwise(tokens):
            if one.end_pos is not None and other.start_pos == one.end_pos + 1:
                message = f"Decimals are written with a point: `{one}.{other}`; between two numbers stand a comma and a blank."
                span = Span(self._place(one).start, self._place(other).end)
                self._tell(span, message, "pka 3.13, 4.76, 6.40", f"{one}.{other}")
        return Part("pka", tuple(self._figure(token, origin) for token in tokens), self._span(meta))

    def molar_mass(self, meta: Meta, children: list[Any]) -> Part:
        return Part("molar-mass", self._figure(children[0], children[1]), self._span(meta))

    def _figure(self, token: Token, origin: Source | None) -> Figure:
        return Figure(self._number(token), origin, self._place(token))

    def member_of(self, meta: Meta, children: list[Token]) -> Part:
        return Part("in", tuple(self._name(token) for token in children), self._span(meta))

    def origin(self, meta: Meta, children: list[Any]) -> Source:
        return Source(children[0], self._text(children[1]), self._span(meta))

    def source(self, meta: Meta, children: list[Any]) -> Part:
        span = self._span(meta)
        return Part("source", Source(children[0], self._text(children[1]), span), span)

    def status(self, _meta: Meta, children: list[Token]) -> Status:
        return Status(children[0])

    def family(self, meta: Meta, children: list[Any]) -> Declaration:
        name, title, families = children
        return FamilyDecl(self._name(name), self._text(title), families or (), self._span(meta))

    def group(self, meta: Meta, children: list[Any]) -> Declaration:
        name, title, term = children
        return GroupDecl(self._name(name), "" if title is None else self._text(title), term, self._span(meta))

    def area(self, meta: Meta, children: list[Any]) -> Declaration:
        name, contains, overlaps = children
        return AreaDecl(self._name(name), contains or (), overlaps or (), self._span(meta))

    def sort(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def plain(self, meta: Meta, children: list[Any]) -> Declaration:
        sort, name, title = children
        return PlainDecl(sort, self._name(name), "" if title is None else self._text(title), self._span(meta))

    def adds(self, _meta: Meta, _children: list[Token]) -> bool:
        return True

    def measure(self, meta: Meta, children: list[Any]) -> Declaration:
        name, unit, adds = children
        return MeasureDecl(self._name(name), self._text(unit), adds is not None, self._span(meta))

    # --- clauses and notes ---

    def if_clause(self, meta: Meta, children: list[Any]) -> Part:
        return Part("if", children[0], self._span(meta))

    def unless_clause(self, meta: Meta, children: list[Any]) -> Part:
        span = self._span(meta)
        return Part("if", NotCondition(children[0], span), span)

    def suspends(self, meta: Meta, children: list[Token]) -> Part:
        return Part("suspends", tuple(self._name(token) for token in children), self._span(meta))

    def verdict(self, _meta: Meta, children: list[Token]) -> str:
        return str(children[0])

    def assume(self, meta: Meta, children: list[Any]) -> Part:
        return Part("assume", children[0], self._span(meta))

    def pauses(self, meta: Meta, children: list[Any]) -> Part:
        return Part("pauses", children[0], self._span(meta))

    def one_area(self, meta: Meta, children: list[Any]) -> Part:
        return Part("one-area", children[0], self._span(meta))

    def topic(self, meta: Meta, children: list[Token]) -> Part:
        (topic,) = children
        if topic not in TOPICS:
            message = f"There is no topic `{topic}`; a topic is one of {', '.join(TOPICS)}."
            self._tell(self._place(topic), message, "topic separation", self._nearest(topic, TOPICS))
        return Part("topic", str(topic), self._span(meta))

    def why(self, meta: Meta, children: list[Token]) -> Part:
        return Part("why", self._text(children[0]), self._span(meta))

    def advise(self, meta: Meta, children: list[Token]) -> Part:
        return Part("advise", self._text(children[0]), self._span(meta))

    def disputed(self, meta: Meta, children: list[Token]) -> Part:
        return Part("disputed", self._text(children[0]), self._span(meta))

    def review_by(self, meta: Meta, children: list[Token]) -> Part:
        return Part("review-by", self._date(children[0]), self._span(meta))

    def breaks(self, meta: Meta, children: list[Example]) -> Part:
        return self._example_part(True, meta, children[0])

    def holds(self, meta: Meta, children: list[Example]) -> Part:
        return self._example_part(False, meta, children[0])

    def _example_part(self, breaks: bool, meta: Meta, example: Example) -> Part:
        span = self._span(meta)
        return Part("example", Example(breaks, example.givens, example.parts, example.file, span), span)

    # --- rules ---

    def severity(self, _meta: Meta, children: list[Token]) -> Severity:
        return Severity(children[0])

    def standing(self, _meta: Meta, children: list[Any]) -> tuple[Severity | None, Severity | None]:
        return children[0], children[1]

    def strict_only(self, _meta: Meta, children: list[Any]) -> tuple[Severity | None, Severity | None]:
        return None, children[0]

    def sentence(self, meta: Meta, children: list[Any]) -> tuple[Any, list[Part], Span]:
        requirement, *clauses = children
        return requirement, clauses, self._span(meta)

    def rule(self, meta: Meta, children: list[Any]) -> Rule:
        name, (severity, strict), (requirement, clauses, sentence), *notes = children
        found = gather([*clauses, *notes], self._mistakes)
        first: dict[str, Any] = {kind: values[0] for kind, values in found.items()}
        return Rule(
            name=self._name(name),
            severity=severity,
            strict=strict,
            requirement=requirement,
            conditions=tuple(found.get("if", [])),
            pauses=first.get("pauses"),
            one_area=tuple(area for areas in found.get("one-area", []) for area in areas),
            unknown=first.get("assume"),
            suspends=tuple(rule for rules in found.get("suspends", []) for rule in rules),
            topic=first.get("topic"),
            why=first.get("why", ""),
            advise=first.get("advise", ""),
            sources=tuple(found.get("source", [])),
            disputed=first.get("disputed", ""),
            review_by=first.get("review-by"),
            examples=tuple(found.get("example", [])),
            sentence=sentence,
            span=self._span(meta),
        )

    # --- pieces parsed alone ---

    def tail(self, _meta: Meta, children: list[Any]) -> list[Any]:
        return children

    def items(self, _meta: Meta, children: list[Any]) -> list[Any]:
        return children

    def only_term(self, _meta: Meta, children: list[Any]) -> Any:
        return children[0]

    def only_condition(self, _meta: Meta, children: list[Any]) -> Any:
        return children[0]

    def only_example(self, _meta: Meta, children: list[Any]) -> Any:
        return children[0]
