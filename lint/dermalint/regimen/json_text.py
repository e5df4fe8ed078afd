"""JSON text to the tree: RFC 8259, strictly, each value with its place.

Strings are read by the standard library's own decoder, so that every escape means what it means there.
"""

from __future__ import annotations

import re
from json import JSONDecodeError, JSONDecoder

from dermalint.regimen.notes import Notes, excerpt
from dermalint.regimen.tree import (
    DEEPEST,
    MOST_VALUES,
    Entry,
    Mapping,
    Node,
    Scalar,
    Sequence,
    TextError,
    below,
    too_deep,
    too_many,
)

_SPACE = re.compile(r"[ \t\r\n]*")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
_WORD = re.compile(r"[^\s,:\[\]{}\"]+")
_SURROGATE = re.compile(r"[\ud800-\udfff]")
_NAMED = {"true": "true", "false": "false", "null": ""}


def read_json(text: str, notes: Notes) -> Node:
    """The tree of a JSON text.  Notes fields written twice; raises TextError for what is no JSON."""
    return _Reader(text, notes).document()


class _Reader:
    """Reads from ``at`` onwards; goes down one level for each level of the text, which is why depth is limited."""

    def __init__(self, text: str, notes: Notes) -> None:
        self.text = text
        self.notes = notes
        self.at = 0
        self.room = MOST_VALUES
        self.decode = JSONDecoder().raw_decode

    def document(self) -> Node:
        if not self.peek():
            raise TextError("The file is empty.", 'Begin with `{"regimen": "Calm evenings"}`.', 0, 0)
        node = self.node("", 0)
        if self.peek():
            raise TextError(
                "Something follows after the end of the regimen.", "Delete it, or a bracket that closes too early.", self.at
            )
        return node

    def peek(self) -> str:
        """The next character that is no space; empty at the end."""
        match = _SPACE.match(self.text, self.at)
        if match is not None:
            self.at = match.end()
        return self.text[self.at : self.at + 1]

    def node(self, pointer: str, depth: int) -> Node:
        first = self.peek()
        start = self.at
        if depth > DEEPEST:
            raise too_deep(start, pointer)
        self.room -= 1
        if self.room < 0:
            raise too_many(start, pointer)
        if first == "{":
            return self.mapping(pointer, depth)
        if first == "[":
            return self.sequence(pointer, depth)
        if first == '"':
            return Scalar(self.string(), start, self.at, pointer, False)
        number = _NUMBER.match(self.text, start)
        word = _WORD.match(self.text, start)
        if number is not None and word is not None and number.end() == word.end():
            self.at = number.end()
            return Scalar(number[0], start, self.at, pointer, True)
        if word is None:
            raise TextError(
                "A value is missing here.", "Write one, or delete the comma or bracket that stands too much.", start
            )
        if word[0] not in _NAMED:
            raise TextError(
                f"`{excerpt(word[0])}` is no value in JSON.",
                f'Put texts in double quotes: `"{excerpt(word[0])}"`.',
                start,
                word.end(),
            )
        self.at = word.end()
        return Scalar(_NAMED[word[0]], start, self.at, pointer, True)

    def string(self) -> str:
        start = self.at
        try:
            text: str
            text, self.at = self.decode(self.text, start)
        except JSONDecodeError as error:
            if "Unterminated" in error.msg or "control character" in error.msg:
                raise TextError("A text in quotes is not closed on its line.", 'End it with `"`.', start) from None
            raise TextError("This backslash means nothing here.", r"Double it: `\\`.", error.pos) from None
        if _SURROGATE.search(text):
            raise TextError(
                "An escape in this text stands for half a character.", "Write the character itself.", start, self.at
            )
        return text

    def sequence(self, pointer: str, depth: int) -> Sequence:
        start = self.at
        self.at += 1
        items: list[Node] = []
        if self.peek() != "]":
            items.append(self.node(f"{pointer}/0", depth + 1))
            while self.goes_on("]", start):
                items.append(self.node(f"{pointer}/{len(items)}", depth + 1))
        self.at += 1
        return Sequence(tuple(items), start, self.at, pointer)

    def mapping(self, pointer: str, depth: int) -> Mapping:
        start = self.at
        self.at += 1
        entries: dict[str, Entry] = {}
        if self.peek() != "}":
            self.entry(entries, pointer, depth)
            while self.goes_on("}", start):
                self.entry(entries, pointer, depth)
        self.at += 1
        return Mapping(entries, start, self.at, pointer)

    def goes_on(self, close: str, start: int) -> bool:
        """Whether a comma comes next (and is passed) rather than the end."""
        following = self.peek()
        if following == close:
            return False
        if following == ",":
            self.at += 1
            return True
        if not following:
            raise TextError("This bracket is never closed.", f"Close it with `{close}`.", start)
        raise TextError("A comma is missing here.", f"Separate by `,`, or close with `{close}`.", self.at)

    def entry(self, entries: dict[str, Entry], pointer: str, depth: int) -> None:
        if self.peek() != '"':
            raise TextError(
                "The name of a field is missing here.", 'Write it in double quotes: `"product": "night-cream"`.', self.at
            )
        start = self.at
        name = self.string()
        place = below(pointer, name)
        key = Scalar(name, start, self.at, place, False)
        if self.peek() != ":":
            raise TextError("A colon is missing behind the name of a field.", 'Write `"field": value`.', self.at)
        self.at += 1
        value = self.node(place, depth + 1)
        if name in entries:
            self.notes.twice(key, self.text, entries[name].key.start)
        else:
            entries[name] = Entry(key, value)
