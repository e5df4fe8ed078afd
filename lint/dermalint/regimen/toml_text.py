"""TOML text to the tree.

The standard library reads the values and finds the mistakes.  It keeps no places, so a light scan over the text, which is
then known to be sound, finds where each key and value stands; a table that is written in several parts has the place of
its first header.
"""

from __future__ import annotations

import re
from collections.abc import Mapping as Map
from datetime import date, time
from typing import NamedTuple

from dermalint.regimen.tree import DEEPEST, Entry, Mapping, Node, Scalar, Sequence, TextError, below, too_deep

Path = tuple[str | int, ...]

_FILLING = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\[\s\S]|"{1,2}(?!"))*"{3,5}' r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'"
)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}#\r\n]+")
_FLOAT = re.compile(r"at line ([0-9]+), column ([0-9]+)")


class _Number(str):
    """A number as the file writes it: text, but no string of the file's."""

    __slots__ = ()


class Span(NamedTuple):
    """Where a key and its value stand."""

    key_start: int
    key_end: int
    start: int
    end: int


def read_toml(text: str) -> Node:
    """The tree of a TOML text.  Raises TextError for what is no TOML."""
    import tomllib

    if not text[_end_of_filling(text, 0) :]:
        raise TextError("The file is empty.", 'Begin with `regimen = "Calm evenings"`.', 0, 0)
    try:
        values = tomllib.loads(text, parse_float=_Number)
    except tomllib.TOMLDecodeError as error:
        raise _explained(str(error), text) from None
    except ValueError:
        raise TextError("A number in this file has too many digits.", "Write a number that can be meant.", 0, 0) from None
    except RecursionError:
        raise too_deep(0, "") from None
    return _tree(values, "", (), Scan(text).spans, Span(0, 0, 0, len(text)), 0)


def _tree(value: object, pointer: str, path: Path, spans: Map[Path, Span], around: Span, depth: int) -> Node:
    span = spans.get(path, around)
    if depth > DEEPEST:
        raise too_deep(span.start, pointer)
    if isinstance(value, dict):
        entries: dict[str, Entry] = {}
        for name, inner in value.items():
            place = below(pointer, name)
            at = spans.get((*path, name), span)
            key = Scalar(name, at.key_start, at.key_end, place, False)
            entries[name] = Entry(key, _tree(inner, place, (*path, name), spans, span, depth + 1))
        return Mapping(entries, span.start, span.end, pointer)
    if isinstance(value, list):
        items = tuple(
            _tree(inner, f"{pointer}/{number}", (*path, number), spans, span, depth + 1) for number, inner in enumerate(value)
        )
        return Sequence(items, span.start, span.end, pointer)
    plain = isinstance(value, _Number) or not isinstance(value, str)
    return Scalar(_text(value), span.start, span.end, pointer, plain)


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, _Number):
        return str(value).replace("_", "")
    if isinstance(value, time):
        return value.isoformat("auto" if value.second or value.microsecond else "minutes")
    if isinstance(value, date):  # a moment is a date too, and is then refused by the field that wants a day
        return value.isoformat()
    return str(value)


def _explained(said: str, text: str) -> TextError:
    found = _FLOAT.search(said)
    at = len(text)
    if found is not None:
        line, column = int(found[1]), int(found[2])
        at = 0
        for _ in range(line - 1):
            at = text.find("\n", at) + 1
        at += column - 1
    words = said.split(" (at ", maxsplit=1)[0]
    for part, message, suggestion in _SAID:
        if part in words:
            return TextError(message, suggestion, min(at, len(text)))
    return TextError(
        "The TOML cannot be read from here on.", 'Write `field = "value"`; texts, dates in quotes too.', min(at, len(text))
    )


_SAID = (
    ("Cannot overwrite", "This field is written twice.", "Delete one of the two, or join them."),
    ("Cannot declare", "This table is written twice.", "Join the two, or write `[[routines]]` for each item of a list."),
    ("Cannot mutate", "This table is written twice.", "Join the two tables."),
    ("Duplicate inline table key", "This field is written twice.", "Delete one of the two, or join them."),
    ("Invalid initial character for a key", "The name of a field is missing here.", 'Write `field = "value"`.'),
    ("after a key", "An equals sign is missing behind the name of a field.", 'Write `field = "value"`.'),
    ("Invalid value", "This is no value in TOML.", 'Put texts in quotes: `contact = "rinsed"`.'),
    ("Unterminated string", "A text in quotes is not closed.", 'End it with `"`.'),
    ("Illegal character", "A text in quotes is not closed on its line.", 'End it with `"`.'),
    ("Unescaped", "This backslash means nothing here.", r"Double it: `\\`."),
    ("Unclosed array", "A list in brackets is not closed.", "Close it with `]`."),
    ("Unclosed inline table", "A group in braces is not closed.", "Close it with `}` on the same line."),
    ("Expected newline", "Something follows the value on this line.", "Begin the next field on a new line."),
)


def _end_of_filling(text: str, at: int) -> int:
    match = _FILLING.match(text, at)
    return at if match is None else match.end()


class Scan:
    """The places of all keys and values of a sound TOML text, by path."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.spans: dict[Path, Span] = {}
        self.counts: dict[Path, int] = {}  # how many items each list of tables has so far
        self.at = 0
        table: Path = ()
        while self._skip() < len(text):
            if text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)

    def _skip(self) -> int:
        self.at = _end_of_filling(self.text, self.at)
        return self.at

    def _blanks(self) -> None:
        while self.text[self.at : self.at + 1] in (" ", "\t"):
            self.at += 1

    def _key(self) -> list[tuple[str, int, int]]:
        """A dotted key: each part with its place."""
        parts: list[tuple[str, int, int]] = []
        while True:
            self._blanks()
            start = self.at
            quoted = _STRING.match(self.text, start)
            bare = _BARE_KEY.match(self.text, start)
            match = quoted or bare
            if match is None:
                return parts
            self.at = match.end()
            name = _unquoted(match[0]) if quoted else match[0]
            parts.append((name, start, self.at))
            self._blanks()
            if self.text[self.at : self.at + 1] != ".":
                return parts
            self.at += 1

    def _header(self) -> Path:
        start = self.at
        several = self.text.startswith("[[", start)
        self.at += 2 if several else 1
        parts = self._key()
        end = self.at = self.at + (2 if several else 1)
        path: Path = ()
        for number, (name, key_start, key_end) in enumerate(parts):
            path = (*path, name)
            self.spans.setdefault(path, Span(key_start, key_end, start, end))
            if several and number == len(parts) - 1:
                self.counts[path] = self.counts.get(path, 0) + 1
                self.spans[(*path, self.counts[path] - 1)] = Span(key_start, key_end, start, end)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
        return path

    def _pair(self, table: Path) -> None:
        parts = self._key()
        self.at += 1  # the equals sign
        self._blanks()
        path, start = table, self.at
        for name, key_start, key_end in parts[:-1]:
            path = (*path, name)
            self.spans.setdefault(path, Span(key_start, key_end, key_start, key_end))
        if parts:
            name, key_start, key_end = parts[-1]
            path = (*path, name)
            self._value(path)
            self.spans[path] = Span(key_start, key_end, start, self.at)

    def _value(self, path: Path) -> None:
        """Pass a value, noting the places of what is in it."""
        first = self.text[self.at : self.at + 1]
        if first == "[":
            self.at += 1
            number = 0
            while self._skip() < len(self.text) and self.text[self.at] != "]":
                start = self.at
                self._value((*path, number))
                self.spans[(*path, number)] = Span(start, self.at, start, self.at)
                number += 1
                if self._skip() < len(self.text) and self.text[self.at] == ",":
                    self.at += 1
            self.at += 1
        elif first == "{":
            self.at += 1
            while self._skip() < len(self.text) and self.text[self.at] != "}":
                self._pair(path)
                if self._skip() < len(self.text) and self.text[self.at] == ",":
                    self.at += 1
            self.at += 1
        else:
            match = _STRING.match(self.text, self.at) or _BARE_VALUE.match(self.text, self.at)
            if match is not None:
                self.at += len(match[0].rstrip())


def _unquoted(key: str) -> str:
    import tomllib

    return next(iter(tomllib.loads(f"{key} = 0")))
