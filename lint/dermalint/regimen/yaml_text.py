"""YAML text to the tree, from the parser's events.

The events of PyYAML's C parser are enough: no types are guessed, aliases are expanded under a limit, and depth, duplicate
fields and tags are seen while the tree grows.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dermalint.regimen.notes import Notes, excerpt, meant
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
    planted,
    too_deep,
    too_many,
)

_INDENT = "Fields of one thing begin in the same column, with spaces in front and a space after the colon: `spf: 50`."
_TAB = ("A tab stands here where YAML wants spaces.", "Indent with spaces, two for each level.")

# What libyaml (and PyYAML's own parser) says, and what that means to somebody who writes a regimen.
_SAID: tuple[tuple[str, str, str], ...] = (
    (
        "mapping values are not allowed",
        "A second `:` stands here, or this line is indented differently from the one it belongs to.",
        'Put quotes around a text with a colon in it (`name: "Step 1: wash"`), or indent the line like its neighbours.',
    ),
    ("expected key", "This line does not fit the lines above it.", _INDENT),
    ("block end", "This line does not fit the lines above it.", _INDENT),
    (
        "could not find expected ':'",
        "A field's name is not followed by `:`.",
        "Write `field: value`, with a space after the colon.",
    ),
    ("expected ',' or ']'", "A list in brackets is not closed.", "Separate its items by commas and close it: `[face, neck]`."),
    (
        "expected ',' or '}'",
        "A group in braces is not closed.",
        "Separate its fields by commas and close it: `{product: toner, areas: [face]}`.",
    ),
    ("quoted scalar", "A text in quotes is not closed.", 'End it with the same quotation mark: `"07:00"`.'),
    (
        "unknown escape character",
        "This backslash means nothing here.",
        "Write the text in single quotes, or double the backslash.",
    ),
    ("escape", "This escape in a quoted text stands for no character.", "Write the character itself."),
    (
        "cannot start any token",
        "No value can begin with this character.",
        'Put the value in quotes: `name: "@home wash"`.',
    ),
    (
        "block sequence entries are not allowed",
        "A list cannot begin here.",
        "Begin each item on its own line, below its field: `- foam-wash`.",
    ),
    ("undefined tag handle", "Tags (`!name`) are not read.", "Delete the tag."),
    ("tag", "Tags (`!name`) are not read.", "Delete the tag."),
    ("alphabetic or numeric character", "A name is missing behind `*` or `&`.", 'Put a text that begins so in quotes: `"*"`.'),
    ("directive", "A line that begins with `%` means nothing here.", "Delete it, or put the text in quotes."),
    ("document start", "This does not belong to the regimen above it.", _INDENT),
    ("node content", "A value is missing here.", "Write a value, or delete the comma or bracket that stands too much."),
)


def read_yaml(text: str, notes: Notes) -> Node:
    """The tree of a YAML text.

    Notes duplicate fields, tags and names of fields that are no text, and reads on.  Raises TextError for what keeps the
    whole text from being read.
    """
    return _Composer(text, notes).document()


class _Composer:
    """Builds the tree from events; goes down one level for each level of the file, which is why depth is limited."""

    def __init__(self, text: str, notes: Notes) -> None:
        from yaml import events
        from yaml.error import MarkedYAMLError, YAMLError

        try:
            from yaml._yaml import CParser
        except ImportError:  # PyYAML built without libyaml
            parser: Any = _python_parser(text)
        else:
            parser = CParser(text)
        self.text = text
        self.notes = notes
        self.room = MOST_VALUES
        self.end = 0  # where the last value ended; an alias ends where it stands, not where its value does
        self.anchors: dict[str, Node | None] = {}  # None while the node is still open
        self.next: Callable[[], Any] = parser.get_event
        self.marked = MarkedYAMLError
        self.failed = YAMLError
        self.scalar_event = events.ScalarEvent
        self.list_event = events.SequenceStartEvent
        self.list_end = events.SequenceEndEvent
        self.fields_event = events.MappingStartEvent
        self.fields_end = events.MappingEndEvent
        self.alias_event = events.AliasEvent
        self.stream_end = events.StreamEndEvent

    def document(self) -> Node:
        try:
            self.next()  # the stream's start
            event = self.next()
            if isinstance(event, self.stream_end):
                raise TextError("The file is empty.", "Begin with `regimen:` and a title.", 0, 0)
            node = self.node(self.next(), "", 0)
            self.next()  # the document's end
            event = self.next()
        except self.marked as error:
            raise self.explained(error) from None
        except self.failed as error:
            raise TextError(
                "The YAML cannot be read.", f"Look at the file's characters: {excerpt(str(error))}.", 0, 0
            ) from None
        if not isinstance(event, self.stream_end):
            at = event.start_mark.index
            raise TextError(
                "A second document begins here (`---`).",
                "Write one regimen a file; several people go under `people:`.",
                at,
                at + 3,
            )
        if isinstance(node, Scalar) and node.empty:
            raise TextError("The file is empty.", "Begin with `regimen:` and a title.", 0, 0)
        return node

    def node(self, event: Any, pointer: str, depth: int) -> Node:
        kind = type(event)
        if kind is self.scalar_event and event.anchor is None and event.tag is None:
            return self.scalar(event, pointer)
        if kind is self.alias_event:
            return self.alias(event, pointer, depth)
        anchor, tag = event.anchor, event.tag
        if anchor is not None:
            self.anchors[anchor] = None
        node: Node
        if kind is self.scalar_event:
            node = self.scalar(event, pointer)
            node = node._replace(start=self.after_properties(node.start, node.end))
        else:
            start: int = event.start_mark.index
            if depth > DEEPEST:
                raise too_deep(start, pointer)
            if kind is self.list_event:
                node = self.sequence(event, start, pointer, depth)
            else:
                node = self.mapping(event, start, pointer, depth)
        if tag is not None:
            written = Scalar(tag, event.start_mark.index, node.start, pointer, True)
            shown = excerpt(tag.replace("tag:yaml.org,2002:", "!!"))
            suggestion = "Delete it: every value is read as what its field says."
            self.notes.error(written, f"The tag `{shown}` is not read.", suggestion)
        if anchor is not None:
            self.anchors[anchor] = node
        return node

    def scalar(self, event: Any, pointer: str) -> Scalar:
        start: int = event.start_mark.index
        end: int = event.end_mark.index
        style = event.style
        if style and style in "|>":
            end = start + len(self.text[start:end].rstrip())
        self.end = end
        self.room -= 1
        if self.room < 0:
            raise too_many(start, pointer)
        return Scalar(event.value, start, end, pointer, not style)

    def after_properties(self, start: int, end: int) -> int:
        """Where the value itself begins behind ``&anchor`` and ``!tag``."""
        while start < end and self.text[start] in "&!":
            while start < end and not self.text[start].isspace():
                start += 1
            while start < end and self.text[start].isspace():
                start += 1
        return start

    def sequence(self, event: Any, start: int, pointer: str, depth: int) -> Sequence:
        flow: bool = event.flow_style
        items: list[Node] = []
        end_event: Any = self.list_end
        event = self.next()
        while type(event) is not end_event:
            items.append(self.node(event, f"{pointer}/{len(items)}", depth + 1))
            event = self.next()
        # The parser ends a block at the next thing that follows; comments and blank lines are not part of it.
        end = self.end = max(start, event.end_mark.index if flow or not items else self.end)
        return Sequence(tuple(items), start, end, pointer)

    def mapping(self, event: Any, start: int, pointer: str, depth: int) -> Mapping:
        flow: bool = event.flow_style
        entries: dict[str, Entry] = {}
        end = start
        end_event: Any = self.fields_end
        event = self.next()
        while type(event) is not end_event:
            if type(event) is self.scalar_event:
                place = below(pointer, event.value)
                key = self.node(event, place, depth)
            else:
                place = pointer
                key = self.node(event, place, depth + 1)
            end = max(end, self.end)
            value = self.node(self.next(), place, depth + 1)
            event = self.next()
            if type(key) is not Scalar or key.empty:
                self.notes.error(key, "The name of a field must be a plain word.", "Write `field: value`.")
            elif key.text in entries:
                self.notes.twice(key, self.text, entries[key.text].key.start)
            else:
                entries[key.text] = Entry(key, value)
        end = max(end, self.end)
        if flow or not entries:
            end = event.end_mark.index
        end = self.end = max(start, end)
        return Mapping(entries, start, end, pointer)

    def alias(self, event: Any, pointer: str, depth: int) -> Node:
        start, end, name = event.start_mark.index, event.end_mark.index, event.anchor
        if name not in self.anchors:
            raise TextError(
                f"`*{name}` stands for nothing: no `&{name}` comes before it.",
                meant(name, self.anchors, "Write the value itself."),
                start,
                end,
                pointer,
            )
        node = self.anchors[name]
        if node is None:
            raise TextError(
                f"`*{name}` stands for a value that contains itself.", "Write the value itself.", start, end, pointer
            )
        copy, self.room = planted(node, pointer, depth, self.room)
        self.end = end
        return copy

    def explained(self, error: Any) -> TextError:
        """What the parser complains about, in a teacher's words."""
        mark = error.problem_mark or error.context_mark
        at = min(mark.index, len(self.text)) if mark is not None else 0
        line_start = self.text.rfind("\n", 0, at) + 1
        before = self.text[line_start:at]
        if "\t" in before[: len(before) - len(before.lstrip())] or self.text[at : at + 1] == "\t":
            tab = self.text.find("\t", line_start)
            return TextError(*_TAB, tab)
        said = f"{error.problem or ''} {error.context or ''}"
        for words, message, suggestion in _SAID:
            if words in said:
                # An open quotation or bracket is best shown where it was opened.
                if "not closed" in message and error.context_mark is not None:
                    at = error.context_mark.index
                return TextError(message, suggestion, at)
        return TextError("The YAML cannot be read from here on.", _INDENT, at)


def _python_parser(text: str) -> Any:
    from yaml.parser import Parser
    from yaml.reader import Reader
    from yaml.scanner import Scanner

    class PythonParser(Reader, Scanner, Parser):
        def __init__(self) -> None:
            Reader.__init__(self, text)
            Scanner.__init__(self)
            Parser.__init__(self)

    return PythonParser()
