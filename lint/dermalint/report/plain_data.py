"""What the documents for programs share: file names as URIs, places as lines and columns, texts that no reader chokes on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from dermalint.spans import Place, SourceText
from dermalint_grammar.record import Record

_INSTEAD = "\N{REPLACEMENT CHARACTER}"
# Control characters but for tab and line ends, and half surrogate pairs: XML, FHIR and strict readers refuse them.
_REFUSED = dict.fromkeys(
    (*(code for code in range(0x20) if code not in (9, 10, 13)), *range(0x7F, 0xA0), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF),
    _INSTEAD,
)


class Stretch(Record):
    """A place in lines and columns from 1, in characters; the end is the character behind it."""

    path: str
    line: int
    column: int
    end_line: int
    end_column: int


def uri(path: str) -> str:
    """A path as a URI: relative where the path is, percent-encoded, with forward slashes (RFC 3986).

    Bytes of a file name that are no UTF-8 keep their value.
    """
    pure = PurePath(path)
    if pure.is_absolute():
        return "file://" + _encoded("/" + pure.as_posix().lstrip("/"))
    return _encoded(pure.as_posix())


def _encoded(path: str) -> str:
    try:
        return quote(path, safe="/", errors="surrogateescape")
    except UnicodeEncodeError:
        return quote(clean(path), safe="/")


def stretch(place: Place, sources: Mapping[str, SourceText], own: str) -> Stretch | None:
    """Where a place is; None where its text is not at hand.  ``own`` is the path that a place without one means."""
    path = place.path or own
    source = sources.get(path)
    if source is None:
        return None
    start, end = source.position(place.start), source.position(max(place.start, place.end))
    return Stretch(path, start.line, start.column, end.line, end.column)


def clean(text: str) -> str:
    """The text with a mark for each character that a strict reader would refuse."""
    return text.translate(_REFUSED)


def written(document: dict[str, Any]) -> str:
    """A document as text: two spaces of indentation, one line end at the end."""
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"
