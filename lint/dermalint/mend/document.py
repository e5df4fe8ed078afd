"""A regimen file at hand: its bytes, its text, its tree and what was read from it."""

from __future__ import annotations

from pathlib import Path

from dermalint.mend.values import JSON, TOML, YAML
from dermalint.regimen.model import ERROR, Reading
from dermalint.regimen.read import read_regimen_bytes
from dermalint.regimen.tree import Mapping, Node
from dermalint.regimen.tree import Sequence as ListNode
from dermalint.spans import SourceText
from dermalint_grammar.record import Record

_LANGUAGES = {".json": JSON, ".toml": TOML}


class Document(Record):
    """A regimen file; ``data`` are the bytes that ``reading`` and ``tree`` were read from, whatever the disk has."""

    path: Path
    shown: str
    data: bytes
    reading: Reading
    tree: Node | None

    @property
    def language(self) -> str:
        """What the file is written in: "yaml", "json" or "toml"."""
        return _LANGUAGES.get(self.path.suffix.lower(), YAML)

    @property
    def source(self) -> SourceText:
        """The file's own text."""
        return self.reading.sources[self.shown]

    @property
    def sound(self) -> bool:
        """Whether all of the file could be read."""
        return bool(self.reading.regimens) and all(problem.level != ERROR for problem in self.reading.problems)


def read_document(path: Path, shown: str, data: bytes) -> Document:
    """The document that a file would be with these bytes."""
    reading, tree = read_regimen_bytes(data, path, shown=shown)
    return Document(path, shown, data, reading, tree)


def node_at(tree: Node | None, pointer: str) -> Node | None:
    """What stands at a JSON pointer."""
    node = tree
    for part in pointer.split("/")[1:]:
        if isinstance(node, Mapping):
            entry = node.entries.get(part.replace("~1", "/").replace("~0", "~"))
            node = None if entry is None else entry.value
        elif isinstance(node, ListNode) and part.isdigit() and int(part) < len(node.items):
            node = node.items[int(part)]
        else:
            return None
    return node


def parent_of(pointer: str) -> tuple[str, str]:
    """The pointer of what a value stands in, and its name or number there."""
    above, _, last = pointer.rpartition("/")
    return above, last
