"""TOML's arrays of tables: routines that begin with ``[[routines]]``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dermalint.mend.lists import Keep, Piece
from dermalint.mend.splices import Refused, Splice, line_start, newline_of, spliced, with_comments_above
from dermalint.regimen.toml_text import Path, Scan
from dermalint.regimen.tree import Sequence as ListNode


class _Headers(Scan):
    """Where each table begins."""

    def __init__(self, text: str) -> None:
        self.found: list[tuple[int, Path]] = []
        super().__init__(text)

    def _header(self) -> Path:
        start = self.at
        path = super()._header()
        self.found.append((start, path))
        return path


def is_tables(text: str, node: ListNode) -> bool:
    """Whether a list is written as tables, each with its header."""
    return bool(node.items) and text.startswith("[[", node.items[0].start)


def rewrite_tables(text: str, node: ListNode, pieces: Sequence[Piece]) -> list[Splice]:
    """The splices that give a list of tables these items, of which those that stay are in their order.

    Raises :class:`Refused` where the text does not allow it.
    """
    return list(_rewrite(text, node, pieces))


def _rewrite(text: str, node: ListNode, pieces: Sequence[Piece]) -> Iterator[Splice]:
    newline = newline_of(text)
    bounds = [_table(text, node, index) for index in range(len(node.items))]
    kept = {piece.number for piece in pieces if isinstance(piece, Keep)}
    if not kept:
        raise Refused("nothing would be left of a list")
    at = bounds[0][0]
    for piece in pieces:
        if isinstance(piece, Keep):
            at = bounds[piece.number][1]
            continue
        if piece.lines is not None:
            body = piece.lines.replace("\n", newline) + newline
        else:
            assert piece.home is not None
            start, end = bounds[piece.number]
            body = spliced(text[start:end], (Splice(s.start - start, s.end - start, s.text) for s in piece.splices))
        lead = newline if at == len(text) and text.endswith("\n") else "" if at < len(text) else newline * 2
        tail = "" if at == len(text) or body.endswith(newline * 2) else newline
        yield Splice(at, at, lead + body.removesuffix(newline if at == len(text) and not text.endswith("\n") else "") + tail)
    for index, (start, end) in enumerate(bounds):
        if index not in kept:
            yield Splice(start, end, "")


def _table(text: str, node: ListNode, index: int) -> tuple[int, int]:
    """The lines of a table with the comments directly above, up to the next table that is none of its own."""
    headers = _Headers(text).found
    number = next(number for number, (at, _) in enumerate(headers) if at == node.items[index].start)
    own = headers[number][1]
    start = with_comments_above(text, line_start(text, headers[number][0]), 0)
    for at, path in headers[number + 1 :]:
        if path[: len(own)] != own:
            return start, with_comments_above(text, line_start(text, at), 0)
    return start, len(text)
