"""Lines of a regimen file as a report quotes them: line numbers in the margin, marks under the exact characters."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from dermalint.report.page import Page, tame, wrap
from dermalint.spans import Place, SourceText, cell_width, cells, expand_tabs
from dermalint_grammar.record import Record

HERE = "^"  # under the step that a finding is about
ALSO = "~"  # under a step that takes part
_MORE = "…"
_BEFORE = 6  # cells kept in front of a mark when a line is too long to show whole


class Mark(Record):
    """A place to underline, with which sign, and a few words on it (may be empty)."""

    place: Place
    sign: str
    note: str = ""


class _Stretch(Record):
    """A mark in cells of its expanded line."""

    start: int
    end: int
    mark: Mark


def quote(page: Page, marks: Sequence[Mark], sources: Mapping[str, SourceText], own: str) -> Iterator[str]:
    """The lines that ``marks`` point into, the regimen's own file first, in the order of the text.

    A place whose text is not at hand is named by its pointer.  ``own`` is the path of the regimen's own file.
    """
    paths = dict.fromkeys([own, *(mark.place.path or own for mark in marks)])
    for path in paths:
        here = [mark for mark in marks if (mark.place.path or own) == path]
        source = sources.get(path)
        if here and path != own:
            yield from page.note("in", path)
        if source is None:
            for mark in here:
                if known := ": ".join(part for part in (mark.place.pointer, mark.note) if part):
                    yield from page.note("at", known)
        else:
            yield from _quote_one(page, here, source)


def _quote_one(page: Page, marks: Sequence[Mark], source: SourceText) -> Iterator[str]:
    lines: dict[int, list[Mark]] = {}
    for mark in sorted(marks, key=lambda mark: (mark.place.start, mark.sign, mark.place.end)):
        lines.setdefault(source.position(mark.place.start).line, []).append(mark)
    shown = {line: expand_tabs(tame(source.line_text(line))) for line in lines}
    margin = min((len(text) - len(text.lstrip(" ")) for text in shown.values() if text.strip()), default=0)
    for line, here in lines.items():
        stretches = [_stretch(mark, line, margin, source) for mark in here]
        for together in _windows(stretches, page.column):
            yield from _show(page, f"line {line}", shown[line][margin:], together)


def _stretch(mark: Mark, line: int, margin: int, source: SourceText) -> _Stretch:
    """The cells that a mark covers; what goes on over the line's end is marked to the end of its first line."""
    text = tame(source.line_text(line))
    begin, finish = source.position(mark.place.start), source.position(mark.place.end)
    last = len(text.rstrip()) if finish.line > line else finish.column - 1
    start = max(cells(text[: begin.column - 1]) - margin, 0)
    end = cells(text[: max(last, begin.column - 1)]) - margin
    return _Stretch(start, max(end, start + 1), mark)


def _windows(stretches: Sequence[_Stretch], width: int) -> list[list[_Stretch]]:
    """Marks of one line that one window can show; else each gets its own."""
    first, last = min(stretch.start for stretch in stretches), max(stretch.end for stretch in stretches)
    return [list(stretches)] if last - first <= width - 2 * _BEFORE else [[stretch] for stretch in stretches]


def _show(page: Page, label: str, text: str, stretches: Sequence[_Stretch]) -> Iterator[str]:
    width = page.column
    left = _left(cells(text), stretches, width)
    yield page.row(label, clip(text, left, width))
    signs = [" "] * width
    notes: list[tuple[int, str]] = []
    for stretch in sorted(stretches, key=lambda stretch: stretch.mark.sign, reverse=True):  # the main mark over the others
        start = min(max(stretch.start - left, 0), width - 1)
        end = min(max(stretch.end - left, start + 1), width)
        signs[start:end] = stretch.mark.sign * (end - start)
        if stretch.mark.note:
            notes.append((start, stretch.mark.note))
    under = "".join(signs).rstrip()
    if len(notes) == 1 and cells(under) + 1 + cells(notes[0][1]) <= width:
        ((_, note),) = notes
        yield page.row("", page.paint(under, "mark") + " " + " ".join(wrap(note, width)))
        return
    yield page.row("", page.paint(under, "mark"))
    for start, note in sorted(notes):
        indent = min(start, max(width - 24, 0))
        for line in wrap(note, width - indent):
            yield page.row("", " " * indent + line)


def _left(total: int, stretches: Sequence[_Stretch], width: int) -> int:
    """The first cell to show: 0 when the marks can be seen from there, else a little before the first mark."""
    first, last = min(stretch.start for stretch in stretches), max(stretch.end for stretch in stretches)
    if total <= width or last < width:
        return 0
    return max(min(first - _BEFORE, total - width), 0)


def clip(text: str, left: int, width: int) -> str:
    """``width`` cells of the text from cell ``left`` on, with a sign on each side where something was left out.

    A wide character that an edge would cut in half is shown as a space, so that every cell keeps its place.
    """
    right = left + width
    total = cells(text)
    kept: list[str] = []
    at = 0
    first = left + 1 if left else 0  # the sign takes one cell
    last = right - 1 if total > right else right
    for character in text:
        size = cell_width(character)
        if size == 0:
            if kept and first < at <= last:
                kept.append(character)
        elif at >= first and at + size <= last:
            kept.append(character)
        elif at + size > first and at < last:
            kept.append(" " * (min(at + size, last) - max(at, first)))
        at += size
    return (_MORE if left else "") + "".join(kept) + (_MORE if total > right else "")
