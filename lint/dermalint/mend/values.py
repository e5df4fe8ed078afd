"""Plain values as text in YAML (in flow style), JSON and TOML, and nodes of a tree as plain values."""

from __future__ import annotations

import json
import re
from typing import NamedTuple

from dermalint.regimen.tree import Mapping, Node, Scalar

YAML, JSON, TOML = "yaml", "json", "toml"
_WORDS = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 .%_/-]*[A-Za-z0-9.%_/-])?")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_NO_TEXT = frozenset(("null", "Null", "NULL"))  # words that a regimen's YAML takes for nothing


class Raw(NamedTuple):
    """A value already written: a number, ``true``, or nothing."""

    text: str


Value = str | int | Raw | list["Value"] | dict[str, "Value"]


def written(value: Value, language: str) -> str:
    """A value on one line."""
    if isinstance(value, Raw):
        return value.text
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return _text(value, language)
    if isinstance(value, list):
        return f"[{', '.join(written(item, language) for item in value)}]"
    sign = " = " if language == TOML else ": "
    fields = (_field(key, sign, item, language) for key, item in value.items())
    return f"{{{', '.join(fields)}}}"


def _field(key: str, sign: str, value: Value, language: str) -> str:
    return f"{written_key(key, language)}{sign}{written(value, language)}".rstrip()


def written_key(key: str, language: str) -> str:
    """The name of a field."""
    if language == TOML and _BARE_KEY.fullmatch(key):
        return key
    return _text(key, language)


def _text(text: str, language: str) -> str:
    if language == YAML and _WORDS.fullmatch(text) and text not in _NO_TEXT:
        return text
    return json.dumps(text, ensure_ascii=False)


def value_of(node: Node, text: str, language: str) -> Value:
    """A node as a plain value, for being written in another place; numbers stay as the file writes them."""
    if isinstance(node, Scalar):
        if not node.plain:
            return node.text
        return Raw(text[node.start : node.end]) if node.empty or language != YAML else node.text
    if isinstance(node, Mapping):
        return {name: value_of(entry.value, text, language) for name, entry in node.entries.items()}
    return [value_of(item, text, language) for item in node.items]
