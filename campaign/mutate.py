"""Damaged rule files: bytes flipped, lines cut and doubled, words swapped, in pieces of real packs and in whole ones."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from pathlib import Path

_WORD = re.compile(r"\"[^\"\n]*\"|[\w-]+|[^\w\s]")
_ITEM = re.compile(r"^(?=[a-z])", re.MULTILINE)
_PIECE = 700  # characters of a piece, the first line of its pack not counted
_WHOLE = 500  # one text in so many is a whole file


class Texts:
    """Texts of rule files to damage; the same seed gives the same damage."""

    def __init__(self, paths: list[Path], seed: int) -> None:
        self._texts = [path.read_text(encoding="utf-8") for path in paths]
        self._chance = random.Random(seed)
        self._words: list[str] = sorted({word for text in self._texts for word in _WORD.findall(text)})
        self._drawn = 0

    def draw(self) -> str:
        """The next text, damaged one to four times."""
        self._drawn += 1
        text = self._chance.choice(self._texts)
        if self._drawn % _WHOLE:
            text = self._piece(text)
        for _ in range(self._chance.randint(1, 4)):
            damage: Callable[[str], str] = self._chance.choice(
                [
                    self._flip,
                    self._cut_lines,
                    self._double_line,
                    self._swap_words,
                    self._put_word,
                    self._cut_end,
                    self._put_sign,
                ]
            )
            text = damage(text)
        return text

    def _piece(self, text: str) -> str:
        """Some neighbouring declarations and rules, behind the line that every pack begins with."""
        starts = [found.start() for found in _ITEM.finditer(text)]
        start = self._chance.choice(starts)
        end = next((other for other in starts if other > start + _PIECE), len(text))
        return f"pack piece 1.0.0\n{text[start : min(end, start + 2 * _PIECE)]}"

    def _flip(self, text: str) -> str:
        data = bytearray(text.encode("utf-8"))
        for _ in range(self._chance.randint(1, 8) if data else 0):
            data[self._chance.randrange(len(data))] ^= 1 << self._chance.randrange(8)
        return data.decode("utf-8", "replace")

    def _cut_lines(self, text: str) -> str:
        lines = text.split("\n")
        start = self._chance.randrange(len(lines))
        del lines[start : start + self._chance.randint(1, 4)]
        return "\n".join(lines)

    def _double_line(self, text: str) -> str:
        lines = text.split("\n")
        lines.insert(self._chance.randrange(len(lines) + 1), self._chance.choice(lines))
        return "\n".join(lines)

    def _swap_words(self, text: str) -> str:
        words = list(_WORD.finditer(text))
        if len(words) < 2:
            return text
        one, other = sorted(self._chance.sample(words, 2), key=lambda word: word.start())
        return text[: one.start()] + other[0] + text[one.end() : other.start()] + one[0] + text[other.end() :]

    def _put_word(self, text: str) -> str:
        words = list(_WORD.finditer(text))
        if not words:
            return text
        place = self._chance.choice(words)
        return text[: place.start()] + self._chance.choice(self._words) + text[place.end() :]

    def _cut_end(self, text: str) -> str:
        return text[: self._chance.randrange(len(text) + 1)]

    def _put_sign(self, text: str) -> str:
        place = self._chance.randrange(len(text) + 1)
        return (
            text[:place]
            + self._chance.choice(['"', "#", "(", ")", ".", ",", ":", ";", "%", "\n", "\r", "\0", "\u2028"])
            + text[place:]
        )
