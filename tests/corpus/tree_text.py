"""The corpus's rendering of a tree: nested maps, lists and texts, with places left out."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Any

from dermalint_grammar import nodes
from dermalint_grammar.nodes import BILLION, Node, Span

# Where one kind of node alone can stand, its name says nothing and is left out.
UNNAMED = (
    *(nodes.Apart, nodes.Reach, nodes.Source, nodes.Figure, nodes.CasNumber, nodes.Used, nodes.ExampleStep, nodes.Remark),
    *(nodes.Given, nodes.Example, nodes.Rule, nodes.Pack),
)
# Figures are kept in billionths; the corpus writes them as decimals.
DECIMAL = {(nodes.Figure, "value"), (nodes.ExampleStep, "strength"), (nodes.Remark, "value")}

Tree = str | list[Any] | dict[str, Any]


def kebab(name: str) -> str:
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "-", name).lower().replace("_", "-")


def kind_of(kind: type) -> str:
    """The name of a kind of node in the corpus: ``SeparateUses`` is ``separate-uses``, ``AreaDecl`` is ``area``."""
    return kebab(kind.__name__.removesuffix("Decl"))


def fields_of(kind: type) -> list[str]:
    """The fields of a kind of node that a tree shows."""
    return [name for name in kind.__match_args__ if name not in ("span", "sentence")]  # type: ignore[attr-defined]


def decimal(billionths: int) -> str:
    whole, rest = divmod(billionths, BILLION)
    return f"{whole}.{rest:09d}".rstrip("0").rstrip(".")


def render(node: Any) -> Tree:
    """A tree as the corpus writes it."""
    if isinstance(node, nodes.Name):
        return node.text
    if isinstance(node, nodes.Named):
        return node.name
    if isinstance(node, nodes.Duration):
        return f"{decimal(node.count)} {node.unit.value}"
    if isinstance(node, nodes.Quantity):
        return f"{decimal(node.value)} {node.unit}".rstrip()
    if isinstance(node, Node):
        return _render_node(node)
    if isinstance(node, tuple) and not isinstance(node, Span):
        return [render(one) for one in node]
    if isinstance(node, StrEnum):
        return node.value
    if isinstance(node, bool):
        return "true" if node else "false"
    return str(node)


def _render_node(node: Node) -> Tree:
    kind = type(node)
    shown = fields_of(kind)
    said: dict[str, Tree] = {}
    for name in shown:
        value = getattr(node, name)
        if value is None or value is False or value in ("", ()):
            continue
        said[kebab(name)] = decimal(value) if (kind, name) in DECIMAL else render(value)
    if kind in UNNAMED:
        return said
    return {kind_of(kind): next(iter(said.values())) if len(shown) == 1 and said else said}


def find(node: Any, path: str) -> Node:
    """The node at a path of fields and positions: ``rules.0.requirement.first``."""
    for step in path.split("."):
        node = node[int(step)] if step.isdecimal() else getattr(node, step.replace("-", "_"))
    assert isinstance(node, Node)
    return node


def place_of(text: str, span: Span) -> str:
    """A place as the corpus writes it, line and column from 1, the end behind the last character: ``2:3-2:9``."""

    def at(offset: int) -> str:
        return f"{text.count(chr(10), 0, offset) + 1}:{offset - text.rfind(chr(10), 0, offset)}"

    return f"{at(span.start)}-{at(span.end)}"
