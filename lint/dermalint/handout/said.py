"""Parts of sentences: amounts, places, days, lengths of time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from fractions import Fraction

from dermalint.handout.language import Language, titles
from dermalint.handout.names import AREAS
from dermalint.handout.turns import Turn
from dermalint.regimen.amounts import (
    DROPS,
    FINGER_TIPS,
    GRAMS,
    MILLILITRES,
    PEAS,
    TEASPOONS,
    Amount,
    Span,
    finger_tip,
    read_amount,
    weigh,
)
from dermalint.regimen.model import Person


def areas(language: Language, names: Iterable[str]) -> str:
    """Areas of the skin as a list."""
    return language.listed(titles(AREAS, language, name) for name in names)


def duration(language: Language, minutes: int) -> str:
    """A length of time in hours and minutes."""
    hours, rest = divmod(minutes, 60)
    parts = []
    if hours:
        parts.append(language.n("one hour", "%(count)s hours", hours))
    if rest or not hours:
        parts.append(language.n("one minute", "%(count)s minutes", rest))
    return language.listed(parts)


def weight(language: Language, span: Span) -> str:
    """A weight in grams; one figure where least and most are the same when rounded."""
    digits = 0 if span.least >= 20_000 else 1 if span.least >= 1000 else 2
    least = language.number(Fraction(span.least, 1000), digits)
    most = language.number(Fraction(span.most, 1000), digits)
    said = least if least == most else f"{least}–{most}"
    return language.t("%(number)s\N{NO-BREAK SPACE}g", number=said)


def amount(language: Language, text: str, person: Person) -> str:
    """An amount in words and in measure; one that is not understood is written as the file has it."""
    read = read_amount(text)
    if read is None:
        return language.own(text)
    said = _counted(language, read)
    weighs = weigh(read, person)
    if read.unit == GRAMS:
        each = finger_tip(person)
        units = Fraction(2 * weighs.most, each.least + each.most)
        if units < Fraction(1, 4):
            return said
        halves = Fraction(round(units * 2), 2)
        return language.t("%(amount)s (about %(same)s)", amount=said, same=_counted(language, Amount(halves, FINGER_TIPS)))
    return language.t("%(amount)s (about %(same)s)", amount=said, same=weight(language, weighs))


def _counted(language: Language, amount: Amount) -> str:
    unit, number = amount.unit, amount.number
    if unit == GRAMS:
        return language.t("%(number)s\N{NO-BREAK SPACE}g", number=language.number(number, 3))
    if unit == MILLILITRES:
        return language.t("%(number)s\N{NO-BREAK SPACE}mL", number=language.number(number, 3))
    if number == Fraction(1, 2):
        halves = {
            DROPS: language.t("half a drop"),
            FINGER_TIPS: language.t("half a finger-tip unit"),
            PEAS: language.t("half the size of a pea"),
            TEASPOONS: language.t("half a teaspoon"),
        }
        return halves[unit]
    words = _in_words(language, number)
    whole = 1 if number == 1 else max(2, round(number))
    return {
        DROPS: lambda: language.n("one drop", "%(words)s drops", whole, words=words),
        FINGER_TIPS: lambda: language.n("one finger-tip unit", "%(words)s finger-tip units", whole, words=words),
        PEAS: lambda: language.n("the size of one pea", "the size of %(words)s peas", whole, words=words),
        TEASPOONS: lambda: language.n("one teaspoon", "%(words)s teaspoons", whole, words=words),
    }[unit]()


def _in_words(language: Language, number: Fraction) -> str:
    words = {
        2: language.t("two"),
        3: language.t("three"),
        4: language.t("four"),
        5: language.t("five"),
        6: language.t("six"),
        7: language.t("seven"),
        8: language.t("eight"),
        9: language.t("nine"),
        10: language.t("ten"),
    }
    return words[int(number)] if number in words else language.number(number, 1)


def turn(language: Language, days: Turn, weekday: int | None, begins: date | None) -> str:
    """On which days of a phase: each day, Mondays and Thursdays, every 2 days from a date on, days 1 and 4 of every 9.

    ``begins`` is the phase's first day, where it has a date, and ``weekday`` its weekday, where weekdays matter.
    """
    if days.daily:
        return language.t("every day")
    if days.every == 7 and weekday is not None:
        names = sorted((weekday + day) % 7 for day in days.on)
        return language.listed(language.weekday(name) for name in names)
    if len(days.on) == 1 and begins is not None:
        first = language.day(begins + timedelta(days=days.on[0]))
        return language.n("every day, from %(date)s on", "every %(count)s days, from %(date)s on", days.every, date=first)
    if len(days.on) == 1:
        number = language.number(days.on[0] + 1)
        return language.n("every day, from day %(day)s on", "every %(count)s days, from day %(day)s on", days.every, day=number)
    numbers = language.listed(language.number(day + 1) for day in days.on)
    every = language.number(days.every)
    if begins is not None:
        return language.t(
            "days %(days)s of every %(every)s, from %(date)s on", days=numbers, every=every, date=language.day(begins)
        )
    return language.t("days %(days)s of every %(every)s", days=numbers, every=every)
