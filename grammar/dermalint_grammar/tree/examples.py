"""Examples in compact notation."""

from __future__ import annotations

from dermalint_grammar.tree.quantities import Duration, Name, Node, Span


class Remark(Node):
    """What stands in brackets behind an example's step.

    ``kind`` says which field counts: "contact" (``rinsed``, ``timed 10 minutes``), "area" (``on lips``), "base" (``base oil``),
    "measure" (``ph 3.5``), "content" (``niacinamide 4 %``, or a bare name: a kind, substance or family the product also has),
    "used" (``used 3 months``: in the history since then) or "mark" (``prescribed``, ``encapsulated``, ``new``, ``as-needed``).
    """

    kind: str
    word: str
    value: int | None
    duration: Duration | None
    span: Span


class ExampleStep(Node):
    """``retinol 0.3 % (on face)``: a substance, family or kind with a strength in billionths of a per cent, or a wait."""

    what: Name | None
    strength: int | None
    remarks: tuple[Remark, ...]
    wait: Duration | None
    span: Span


class ExampleRoutine(Node):
    """``monday evening: …`` or ``day 3 morning: …``; without a day, every day."""

    day: int | None  # 1 … N; a weekday is its number, Monday 1
    weekday: bool
    slot: str
    steps: tuple[ExampleStep, ...]
    span: Span


class ExampleEvent(Node):
    """``event waxing on day 3``."""

    event: str
    day: int
    span: Span


class Given(Node):
    """What an example says before its routines.

    ``kind`` is "trait" (a trait or symptom), "age", "takes", "allergic", "reason", "phototype", "region", "as-of" (``name`` is
    the ISO date), "for" (the line ends after ``duration``) or "cycle" (its length).
    """

    kind: str
    name: str
    number: int | None
    duration: Duration | None
    span: Span


class Example(Node):
    """A ``breaks`` or ``holds`` example: in compact notation, or a regimen file beside the pack."""

    breaks: bool
    givens: tuple[Given, ...]
    parts: tuple[ExampleRoutine | ExampleEvent, ...]
    file: str | None
    span: Span
