"""The languages of hand-outs: message catalogues, numbers, dates and lists as a language writes them.

The catalogues are kept as ``.po`` files alone, which people translate, and compiled in memory when one is needed: there is
no second file that could be out of step.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date, time
from fractions import Fraction
from functools import cache
from gettext import GNUTranslations, NullTranslations
from io import BytesIO
from pathlib import Path
from unicodedata import bidirectional, category

from babel import Locale
from babel.dates import format_date, format_skeleton, format_time
from babel.lists import format_list
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_decimal

CATALOGUES = Path(__file__).with_name("catalogues")
SOURCE = "en"  # the language that the messages are written in
RIGHT_TO_LEFT = frozenset(("R", "AL", "RLE", "RLO", "RLI"))
_LOCALES = {"en": "en_GB"}  # day, month, year
_ISOLATE, _END = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
_INSTEAD = "\N{REPLACEMENT CHARACTER}"
_SPACES = re.compile(r"\s+")


def languages(folder: Path = CATALOGUES) -> tuple[str, ...]:
    """The codes of all languages that there is a catalogue for, English first."""
    return (SOURCE, *sorted(path.stem for path in folder.glob("*.po") if path.stem != SOURCE))


class Language:
    """One language: what a message is in it, and how it writes numbers, dates and lists."""

    def __init__(self, code: str, folder: Path = CATALOGUES) -> None:
        self.code = code
        self.locale = Locale.parse(_LOCALES.get(code, code))
        self.direction = "rtl" if self.locale.text_direction == "rtl" else "ltr"
        self._messages = _catalogue(code, folder)

    def t(self, message: str, **values: str) -> str:
        """A message in this language, with its values filled in."""
        said = self._messages.gettext(message)
        return said % values if values else said

    def n(self, one: str, many: str, count: int, **values: str) -> str:
        """A message in the form that a count wants; ``%(count)s`` is filled in as this language writes numbers."""
        said = self._messages.ngettext(one, many, count)
        return said % {"count": self.number(count), **values}

    def named(self, name: str, said: str) -> str:
        """``name: said``, with the colon as this language sets it."""
        return self.t("%(name)s: %(said)s", name=name, said=said)

    def number(self, value: Fraction | int, digits: int = 0) -> str:
        """A number, rounded to at most so many decimals."""
        return str(
            format_decimal(
                round(float(value), digits), format="#,##0." + "#" * digits if digits else "#,##0", locale=self.locale
            )
        )

    def day(self, day: date) -> str:
        """A date in words, with its weekday."""
        return str(format_date(day, "full", locale=self.locale))

    def short_date(self, day: date) -> str:
        """A date without its weekday."""
        return str(format_date(day, "long", locale=self.locale))

    def day_of_month(self, day: date) -> str:
        """A date without its weekday and its year."""
        return str(format_skeleton("MMMMd", day, locale=self.locale))

    def clock(self, minute: int) -> str:
        """Minutes after a midnight as a time of day."""
        return str(format_time(time(minute // 60 % 24, minute % 60), "short", locale=self.locale))

    @property
    def first_weekday(self) -> int:
        """The weekday that a week begins with, Monday 0."""
        return int(self.locale.first_week_day)

    def short_weekday(self, number: int) -> str:
        """The shortest clear name of a weekday, Monday 0, as it stands alone."""
        return str(self.locale.days["stand-alone"]["short"][number])

    def weekday(self, number: int) -> str:
        """The name of a weekday, Monday 0, as it stands alone."""
        return str(self.locale.days["stand-alone"]["wide"][number])

    def listed(self, words: Iterable[str]) -> str:
        """Words with this language's commas and its “and”."""
        return str(format_list(list(words), locale=self.locale))

    def own(self, text: str) -> str:
        """A text out of a file, so that it can neither upset the line nor turn its direction round."""
        said = plain(text)
        if self.direction == "rtl" or any(bidirectional(sign) in RIGHT_TO_LEFT for sign in said):
            return f"{_ISOLATE}{said}{_END}"
        return said


@cache
def _catalogue(code: str, folder: Path) -> NullTranslations:
    if code == SOURCE and not (folder / f"{code}.po").exists():
        return NullTranslations()
    with (folder / f"{code}.po").open("rb") as file:
        catalogue = read_po(file, locale=code)
    compiled = BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return GNUTranslations(compiled)


def plain(text: str) -> str:
    """A text in one line, without control signs, halves of surrogate pairs and signs that turn the direction round."""
    said = "".join(_INSTEAD if category(sign) in ("Cc", "Cs", "Co", "Cn") else sign for sign in _SPACES.sub(" ", text))
    return "".join(sign for sign in said if category(sign) != "Cf").strip()


def titles(names: Mapping[str, str], language: Language, key: str) -> str:
    """The name of a key in this language; one that the catalogue does not know is written in words."""
    return language.t(names[key]) if key in names else language.own(key.replace("-", " "))
