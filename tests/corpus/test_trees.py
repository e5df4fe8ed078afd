"""The corpus's trees: what each way of writing something is read as."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

import pytest
from corpus_cases import CORPUS, read_entries
from tree_text import fields_of, find, kebab, kind_of, place_of, render

from dermalint_grammar import nodes
from dermalint_grammar.parse import parse_condition, parse_example, parse_pack, parse_term


def read_pack(text: str) -> nodes.Pack:
    parsed = parse_pack(text)
    assert [mistake.message for mistake in parsed.mistakes] == []
    assert parsed.pack is not None
    return parsed.pack


READERS: dict[str, Callable[[str], Any]] = {
    "term": parse_term,
    "condition": parse_condition,
    "example": parse_example,
    "requirement": lambda text: read_pack(f"pack p 1.0.0\nrule r avoid {text}.").rules[0].requirement,
    "rule": lambda text: read_pack(f"pack p 1.0.0\n{text}").rules[0],
    "declaration": lambda text: read_pack(f"pack p 1.0.0\n{text}").declarations[0],
    "pack": read_pack,
}
CASES = [(f"{stem}-{number}: {entry['text'][:70]!r}", entry) for stem, number, entry in read_entries("trees")]


@pytest.mark.parametrize("entry", [entry for _, entry in CASES], ids=[name for name, _ in CASES])
def test_a_text_is_read_as_its_tree(entry: dict[str, Any]) -> None:
    assert set(entry) <= {"read", "text", "tree", "places"}
    node = READERS[entry["read"]](entry["text"])
    assert render(node) == entry["tree"]
    for path, place in entry.get("places", {}).items():
        assert place_of(entry["text"], find(node, path).span) == place


def test_there_are_enough_trees_and_some_say_where_things_stand() -> None:
    assert len(CASES) >= 200
    assert sum(len(entry.get("places", {})) for _, entry in CASES) > 10


def kinds_in(node: Any) -> set[type]:
    if isinstance(node, tuple) and not isinstance(node, nodes.Span):
        return {kind for part in node for kind in kinds_in(part)}
    if isinstance(node, nodes.Node):
        return {type(node)}.union(*(kinds_in(getattr(node, name)) for name in fields_of(type(node))))
    return set()


def all_kinds() -> set[type]:
    """Every kind of node there is."""
    return {kind for kind in vars(nodes).values() if isinstance(kind, type) and issubclass(kind, nodes.Node)} - {nodes.Node}


def test_every_kind_of_node_and_every_field_stands_in_a_tree() -> None:
    assert {*get_args(nodes.Requirement), *get_args(nodes.Term), *get_args(nodes.Condition)} <= all_kinds()
    spoken: set[tuple[str, str]] = set()
    waiting = [READERS[entry["read"]](entry["text"]) for _, entry in CASES]
    while waiting:
        node = waiting.pop()
        if isinstance(node, tuple):
            waiting.extend(node)
        elif isinstance(node, nodes.Node):
            said = {name: getattr(node, name) for name in fields_of(type(node))}
            spoken |= {(type(node).__name__, name) for name, value in said.items() if value not in (None, False, "", ())}
            waiting.extend(said.values())
    expected = {(kind.__name__, name) for kind in all_kinds() for name in fields_of(kind)}
    assert expected - spoken == set()


def test_the_readme_names_every_kind_of_node_with_its_fields() -> None:
    readme = (CORPUS / "README.md").read_text(encoding="utf-8")
    rows = {
        f"| `{kind_of(kind)}` | {', '.join(f'`{kebab(name)}`' for name in fields_of(kind)) or 'none'} |"
        for kind in all_kinds() - {nodes.Name, nodes.Named, nodes.Duration, nodes.Quantity}
    }
    assert {row for row in rows if row not in readme} == set()
