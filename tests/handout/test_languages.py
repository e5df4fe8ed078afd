"""Every sentence is in every language, with the same places for values."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from babel.messages.extract import extract
from babel.messages.pofile import read_po

from dermalint.cli.handout import LANGUAGES
from dermalint.handout import language as language_module
from dermalint.handout.language import CATALOGUES, Language, languages
from dermalint.handout.making import make
from dermalint.handout.telling import tell
from dermalint.report.remarks import CARE

ROOM = Path(language_module.__file__).parent
OTHERS = [code for code in LANGUAGES if code != "en"]
PLACES = re.compile(r"%\((\w+)\)s")
Message = str | tuple[str, ...]


def messages() -> set[Message]:
    """All messages in the room's code; one that also has a plural stands for both."""
    found: set[Message] = set()
    for path in ROOM.glob("*.py"):
        with path.open("rb") as file:
            for _, message, _, _ in extract("python", file, keywords={"t": None, "n": (1, 2), "_": None}):
                found.add(message if isinstance(message, str) else tuple(message))
    plural = {message[0] for message in found if isinstance(message, tuple)}
    return {message for message in found if not (isinstance(message, str) and message in plural)}


def test_the_command_offers_all_languages_that_there_are() -> None:
    assert set(languages()) == set(LANGUAGES) == {"en", "nl", "de", "fr", "es"}


@pytest.mark.parametrize("code", OTHERS)
def test_no_message_is_untranslated_and_none_left_over(code: str) -> None:
    with (CATALOGUES / f"{code}.po").open("rb") as file:
        catalogue = read_po(file, locale=code)
    said = {tuple(m.id) if isinstance(m.id, list | tuple) else m.id: m.string for m in catalogue if m.id}
    assert set(said) == messages()
    for message, string in said.items():
        forms = string if isinstance(string, list | tuple) else (string,)
        assert all(form.strip() for form in forms), message
        assert len(forms) == (1 if isinstance(message, str) else catalogue.num_plurals), message
        wanted = set(PLACES.findall(message if isinstance(message, str) else message[1]))
        for number, form in enumerate(forms):
            places = set(PLACES.findall(form))
            assert places == wanted or (number == 0 and len(forms) > 1 and places <= wanted), message
            assert "%" not in PLACES.sub("", form), message
    assert not any(message.fuzzy for message in catalogue if message.id)
    assert not catalogue.obsolete


class Noting(Language):
    """A language that notes what it is asked for."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.asked: set[str] = set()

    def t(self, message: str, **values: str) -> str:
        self.asked.add(message)
        return super().t(message, **values)

    def n(self, one: str, many: str, count: int, **values: str) -> str:
        self.asked.add(one)
        return super().n(one, many, count, **values)


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("name", ["first-retinol", "faults-of-every-kind", "pregnancy", "every-second-evening"])
def test_whatever_is_said_is_in_the_catalogue(demo, code: str, name: str) -> None:  # type: ignore[no-untyped-def]
    # Reading the code for messages misses those that stand inside an f-string.
    with (CATALOGUES / f"{code}.po").open("rb") as file:
        known = {m.id[0] if isinstance(m.id, list | tuple) else m.id for m in read_po(file, locale=code) if m.id}
    language = Noting(code)
    tell(demo.plan(f"{name}.regimen.yaml"), language, {"day-shield": 50_000, "first-retinol": 30_000})
    assert len(language.asked) > 40
    assert language.asked <= known


@pytest.mark.parametrize("code", OTHERS)
def test_typography_is_a_languages_own(code: str) -> None:
    with (CATALOGUES / f"{code}.po").open("rb") as file:
        said = [
            form
            for message in read_po(file, locale=code)
            if message.id
            for form in (message.string if isinstance(message.string, list | tuple) else (message.string,))
        ]
    for form in said:
        assert not re.search(r"['\"]|\.\.\.| - ", form), form
        assert not re.search(r"(?:\d|\)s) (?:g|ml|mg)\b", form), form  # a number and its unit stay in one line
        if code == "fr":
            assert not re.search(r"(?<![\u00a0\u202f])[:;!?»]|«(?!\u00a0)", form), form
        else:
            assert not re.search(r"\s[:;!?]", form), form


def test_the_caution_is_the_one_of_every_report(demo) -> None:  # type: ignore[no-untyped-def]
    assert tell(demo.plan("pregnancy.regimen.yaml"), Language("en")).care == CARE


@pytest.mark.parametrize("code", LANGUAGES)
@pytest.mark.parametrize("form", ["html", "text", "markdown"])
def test_the_caution_ends_every_hand_out(demo, code: str, form: str) -> None:  # type: ignore[no-untyped-def]
    plan = demo.plan("first-retinol.regimen.yaml")
    text = make(plan, form, code)
    assert isinstance(text, str)
    words = tell(plan, Language(code)).care.split()[-3:]
    assert " ".join(words) in " ".join(text.split())


def test_numbers_dates_and_lists_are_a_languages_own() -> None:
    english, german, french = Language("en"), Language("de"), Language("fr")
    assert english.number(Fraction(3, 2), 1) == "1.5"
    assert german.number(Fraction(3, 2), 1) == "1,5"
    assert english.day(date(2026, 3, 2)) == "Monday, 2 March 2026"
    assert german.day(date(2026, 3, 2)) == "Montag, 2. März 2026"
    assert french.weekday(0) == "lundi"
    assert french.listed(["a", "b", "c"]) == "a, b et c"
    assert german.n("one drop", "%(words)s drops", 1, words="") == "ein Tropfen"
    assert german.n("one drop", "%(words)s drops", 3, words="drei") == "drei Tropfen"


@pytest.mark.parametrize("code", OTHERS)
def test_what_the_rules_say_is_marked_as_english(demo, code: str) -> None:  # type: ignore[no-untyped-def]
    text = make(demo.plan("faults-of-every-kind.regimen.yaml"), "html", code)
    assert isinstance(text, str)
    assert f'<html lang="{code}" dir="ltr">' in text
    assert text.count('lang="en"') > 5
