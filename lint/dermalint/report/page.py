"""The page a text report is written on: its width, its colours, its margin, and wrapping by terminal cells.

Everything stands to the right of a margin, as on ruled paper: ten cells for a word on what the line is, a rule, the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from dermalint.spans import cell_width, cells
from dermalint_grammar.record import Record

NARROWEST, USUAL, WIDEST = 40, 80, 110
LABEL = 10  # cells for the word in the margin
_RULE = " │ "

_COLOURS = {
    "avoid": "1;31",
    "caution": "1;33",
    "advice": "1;36",
    "title": "1",
    "faint": "2",
    "gain": "32",
    "loss": "31",
    "mark": "1",
}

# Where the terminal cannot show these, plain signs of the same width stand for them.
_PLAIN_SIGNS = str.maketrans({"│": "|", "─": "-", "·": "-", "…": "~", "“": '"', "”": '"', "’": "'", "–": "-"})

_INSTEAD = "\N{REPLACEMENT CHARACTER}"
# Left in a line, these would turn it round, break it or take no cell where a terminal gives one.
_UNRULY = dict.fromkeys((*range(0x202A, 0x202F), *range(0x2066, 0x206A), 0x2028, 0x2029, 0x200E, 0x200F), _INSTEAD)
_UNRULY |= dict.fromkeys(range(0xD800, 0xE000), _INSTEAD)
_UNRULY[0xAD] = "-"
_CONTROL = dict.fromkeys((*range(0x20), *range(0x7F, 0xA0)), _INSTEAD)

_UNIT = re.compile(r"(?:%|h|min|mL|g|days?|weeks?|months?|years?)\W*")


class Page(Record):
    """How wide to write, whether in colour, and whether only in plain ASCII signs (letters are the text's own)."""

    width: int = USUAL
    colour: bool = False
    plain: bool = False

    @property
    def column(self) -> int:
        """Cells to the right of the margin."""
        return self.width - LABEL - len(_RULE)

    def paint(self, text: str, colour: str) -> str:
        """The text in a colour, where there are colours; empty text stays empty."""
        code = _COLOURS.get(colour)
        return f"\x1b[{code}m{text}\x1b[0m" if self.colour and code and text else text

    def row(self, label: str, text: str = "", colour: str = "faint") -> str:
        """One line: a word in the margin, the rule, the text as it is."""
        margin = " " * max(LABEL - cells(label), 0) + self.paint(label, colour)
        return (margin + self.paint(_RULE.rstrip(), "faint") + (f" {text}" if text else "")).rstrip()

    def note(self, label: str, text: str, colour: str = "faint", body: str = "") -> Iterator[str]:
        """A text of any length behind a word in the margin, wrapped."""
        for number, line in enumerate(wrap(text, self.column)):
            yield self.row(label if number == 0 else "", self.paint(line, body), colour)

    def finish(self, lines: list[str]) -> str:
        """The lines as one text."""
        text = "\n".join(lines) + "\n" if lines else ""
        return text.translate(_PLAIN_SIGNS) if self.plain else text


def tame(text: str) -> str:
    """The text, character for character, without those that would upset a line; tabs stay."""
    return text.translate(_UNRULY)


def wrap(text: str, width: int) -> list[str]:
    """Lines of at most ``width`` cells; a number stays with its unit, a word longer than a line is cut.  At least one line."""
    lines: list[str] = []
    line = ""
    for word in _words(text):
        if line and cells(line) + 1 + cells(word) <= width:
            line += " " + word
            continue
        if line:
            lines.append(line)
        *full, line = cut(word, width)
        lines += full
    return [*lines, line] if line or not lines else lines


def _words(text: str) -> list[str]:
    words: list[str] = []
    for word in tame(text).split():
        word = word.translate(_CONTROL)
        if words and (word == "·" or (words[-1][-1].isdigit() and _UNIT.fullmatch(word))):
            words[-1] += " " + word
        else:
            words.append(word)
    return words


def cut(word: str, width: int) -> list[str]:
    """A word in pieces of at most ``width`` cells, after a joining sign where one is near the end."""
    pieces: list[str] = []
    while cells(word) > width:
        taken, end = 0, 0
        while taken + cell_width(word[end]) <= width:
            taken += cell_width(word[end])
            end += 1
        end = max(end, 1)
        joint = max((word.rfind(sign, end // 2, end) for sign in "-./_, "), default=-1)
        end = joint + 1 if joint > 0 else end
        pieces.append(word[:end])
        word = word[end:]
    return [*pieces, word]
