"""From the place at which parsing stopped to one mistake in a teacher's words."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from typing import Any

from .constructs import CONSTRUCTS
from .mistakes import Mistake
from .nodes import Span
from .phrases import AREA, DECLARATION, GROUP, IF, RULE, SEPARATE, TERM
from .shapes import describe_shape


@dataclass(frozen=True, slots=True)
class Met:
    """What stood where the sentence could not go on: the kind and text of the token, its place, and the piece around it."""

    kind: str
    text: str
    position: int
    piece: Span


@dataclass(frozen=True, slots=True)
class Allowed:
    """With what the sentence could have gone on: words and signs of the language, and kinds of figures and names."""

    words: tuple[str, ...]
    kinds: frozenset[str]


_NOTES = ("topic", "why", "advise", "source", "disputed", "review-by", "breaks", "holds")
_CLAUSES = ("if", "unless", "during", "from", "until", "suspends", "assume", "allowing", "counting")
_FACTS = ("person", "reason", "age", "phototype", "region", "skin", "routine", "day", "regimen", "not", "(", "within", "before")
_HEAD = ("pack", "title", "about", "uses")
_ITEMS = tuple(re.findall(r"`([a-z]+)`", DECLARATION))

# Words that begin a term, which a slip of the pen turns into a name.
_TERM_WORDS = (
    "first",
    "event",
    "base",
    "any",
    "patch-test",
    "rinsed",
    "left-on",
    "timed",
    "prescribed",
    "encapsulated",
    "made-up",
)

_LONGEST_WORD = 60

_KINDS = {
    "NAME": "a name",
    "NUMBER": "a number",
    "STRING": "a text in quotation marks",
    "DATE": "a date",
    "CAS": "a CAS number",
    "VERSION": "a version",
    "QNAME": "a rule with its pack",
    "$END": "the end",
}
_SIGNS = {
    ".": "a full stop",
    ",": "a comma",
    ":": "a colon",
    ";": "a semicolon",
    "(": "an opening bracket",
    ")": "a closing bracket",
    "%": "a percent sign",
}
_COMPARISONS = {
    ">": "above",
    "<": "below",
    ">=": "at least",
    "=>": "at least",
    "<=": "at most",
    "=<": "at most",
    "≥": "at least",
    "≤": "at most",
}
_QUOTES = "“”„‟«»‘’'`"


def explain_slip(text: str, met: Met, stack: list[Any], allowed: Allowed) -> Mistake:
    """Say what is wrong where parsing stopped.

    ``stack`` is what the parser had put together (tokens and trees), ``allowed`` with what it could have gone on.
    """
    span = _find_word(text, met, stack)
    word = text[span.start : span.end]
    place = _explain_place(span, _describe(met, word, text), _find_nearest(met, word, allowed), describe_shape(stack), allowed)
    told = (
        _explain_writing(text, met, span, stack, allowed)
        or _explain_full_stop(text, met, stack, allowed, place)
        or _explain_order(met, span, stack, allowed)
        or _explain_word_before(met, stack, allowed, place)
        or place
    )
    expected = (*allowed.words, *sorted(_KINDS[kind] for kind in allowed.kinds if kind in _KINDS))
    return replace(told, example=told.example or place.example, expected=expected)


def _find_word(text: str, met: Met, stack: list[Any]) -> Span:
    """Widen a token to the whole word or figure that it is in; where the text ends, take the last word before."""
    start, end = met.position, met.position + len(met.text)
    if met.kind == "$END":
        return _find_last_word(text, met, stack)
    if met.kind == "OPEN_STRING" or not re.match(r"[\w-]", met.text):
        return Span(start, end)
    while start > met.piece.start and re.match(r"[\w-]", text[start - 1]):
        start -= 1
    found = re.compile(r"[\w-]*(?:\.\w[\w-]*)*" if text[start].isdigit() else r"[\w-]*").match(text, end)
    return Span(start, found.end() if found else end)


def _explain_writing(text: str, met: Met, span: Span, stack: list[Any], allowed: Allowed) -> Mistake | None:
    """What is wrong with how a word, figure or sign is written, wherever it stands."""
    word = text[span.start : span.end]
    if met.kind == "OPEN_STRING":
        message = "The text that begins here has no closing quotation mark; a text begins and ends on one line."
        return Mistake(span, message, 'why "Two irritant actives in one routine add up."')
    if met.kind == "STRAY" and met.text in _QUOTES:
        return Mistake(
            span,
            f"A text stands in straight quotation marks; here stands {met.text} instead.",
            'title "Exfoliating acids"',
            '"',
        )
    if met.kind == "STRAY" and met.text in "<>=≥≤":
        sign = text[span.start : span.start + 2] if text[span.start : span.start + 2] in _COMPARISONS else met.text
        message = f"A comparison is written in words: `at least`, `at most`, `above` or `below`; here stands {sign} instead."
        example = "strong-acid with strength at least 5 %"
        return Mistake(Span(span.start, span.start + len(sign)), message, example, _COMPARISONS.get(sign))
    if stack and getattr(stack[-1], "type", "") == "STRING" and met.kind == "NAME" and _has_odd_quotes(text, span.start):
        message = "A text ends here in the middle of the words; a quotation mark is missing, or one stands inside the text."
        return Mistake(span, message, 'why "Two irritant actives in one routine add up."')
    if comma := re.compile(r"([0-9]+),([0-9]+)").match(text, *_find_decimal(text, met)):
        decimal = f"{comma[1]}.{comma[2]}"
        return Mistake(Span(*comma.span()), f"Decimals are written with a point: `{decimal}`.", f"retinol {decimal} %", decimal)
    if "DATE" in allowed.kinds and word[:1].isdigit():
        message = f"A date is written as year, month and day with hyphens; here stands {_quote(word)}."
        return Mistake(span, message, "review-by 2027-06-30", _suggest_date(word))
    if "VERSION" in allowed.kinds and met.kind == "NUMBER":
        whole = word + ".0" * (2 - word.count("."))
        return Mistake(span, f"A version has three numbers with points; here stands {_quote(word)}.", "pack acids 1.0.0", whole)
    if "%" in allowed.words and word in ("percent", "per-cent", "pct"):
        return Mistake(span, f"Per cent is written `%`; here stands {_quote(word)}.", TERM, "%")
    if word == "except":
        message = (
            "`except` cannot stand here: a term has one, and behind `has` or another `except` a term of several names "
            "stands in brackets."
        )
        return Mistake(span, message, "separate strong-acid from retinoid except (adapalene or retinal) by routine")
    if word in _HEAD and "rule" in allowed.words:
        message = f"`{word}` belongs to the head of the file, before the first declaration or rule."
        return Mistake(span, message, 'pack acids 1.0.0 title "Exfoliating acids" uses core')
    return _explain_letters(met, span, word, allowed) if re.fullmatch(r"[\w-]+", word) else None


def _explain_letters(met: Met, span: Span, word: str, allowed: Allowed) -> Mistake | None:
    """A word with capitals, underscores or accents."""
    plain = unicodedata.normalize("NFKD", word).encode("ascii", "ignore").decode().lower().replace("_", "-").strip("-")
    if plain == word or not plain:
        return None
    if plain in allowed.words:
        message = f"The words of the language are written in lower case; here stands {_quote(word)}."
        return Mistake(span, message, suggestion=plain)
    if "NAME" not in allowed.kinds and span.start == met.position:
        return None
    message = f"A name is written in lower-case letters, digits and hyphens; here stands {_quote(word)}."
    return Mistake(span, message, suggestion=plain)


def _has_odd_quotes(text: str, position: int) -> bool:
    """Whether a quotation mark touches a place from the left, or an odd number of them follows on its line."""
    end = text.find("\n", position)
    return text[position - 1] == '"' or text.count('"', position, end if end >= 0 else len(text)) % 2 == 1


def _find_decimal(text: str, met: Met) -> tuple[int, int]:
    """Where digits with a comma between them would stand: (start, end), the two equal where there are none."""
    start = met.position
    if met.kind == "NUMBER" and text[start - 1 : start] == ",":
        start -= 1
    if text[start : start + 1] != ",":
        return start, start
    end = start
    while start > met.piece.start and text[start - 1].isdigit():
        start -= 1
    while end + 1 < met.piece.end and text[end + 1].isdigit():
        end += 1
    return start, end + 1


def _suggest_date(word: str) -> str | None:
    numbers = [int(number) for number in re.split(r"[.-]", word) if number.isdigit() and len(number) <= 4]
    if len(numbers) != 3:
        return None
    year, month, day = numbers if numbers[0] > 31 else reversed(numbers)
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return None


def _explain_full_stop(text: str, met: Met, stack: list[Any], allowed: Allowed, place: Mistake) -> Mistake | None:
    """A full stop that is missing at the end of a sentence, or stands where none belongs."""
    example = place.example if place.example in (GROUP, AREA) else f"{SEPARATE}."
    if "." in allowed.words and (met.kind == "$END" or met.text in (*_NOTES, *_ITEMS)):
        last = _find_last_word(text, met, stack)
        message = f"The sentence that ends with {_quote(text[last.start : last.end])} has no full stop."
        return Mistake(last, message, example, ".")
    if met.text != "." or "rule" not in allowed.words:
        return None
    message = "No full stop belongs here: only a rule's sentence, the meaning of a group and the parts of an area end with one."
    return Mistake(Span(met.position, met.position + 1), message, 'topic separation why "Two irritant actives add up."')


def _find_last_word(text: str, met: Met, stack: list[Any]) -> Span:
    if not stack:
        return Span(met.piece.start, met.piece.start)
    last = stack[-1]
    end = met.piece.start + int(last.end_pos if isinstance(last, str) else last.meta.end_pos)  # type: ignore[attr-defined]
    start = end - 1
    while start > met.piece.start and not text[start - 1].isspace():
        start -= 1
    return Span(start, end)


def _explain_order(met: Met, span: Span, stack: list[Any], allowed: Allowed) -> Mistake | None:
    """A clause behind the sentence that it belongs to, or before what the rule requires."""
    if met.text in _CLAUSES and "topic" in allowed.words:
        message = f"A clause stands inside the rule's sentence, before its full stop; here `{met.text}` stands behind it."
        return Mistake(span, message, f"{SEPARATE} {IF}.")
    if met.text in _FACTS and allowed.words == ("strict",) and str(stack[-1]) == "if":
        message = f"A clause comes behind what the rule requires; here stands `if {met.text}` before it."
        return Mistake(span, message, f"{SEPARATE} {IF}.")
    return None


def _explain_word_before(met: Met, stack: list[Any], allowed: Allowed, place: Mistake) -> Mistake | None:
    """A word that was read as a name since a name was due, and that is the next word of the sentence, or a misspelt one."""
    if not stack or getattr(stack[-1], "type", "") != "NAME":
        return None
    word = str(stack[-1])
    start = stack[-1].start_pos + met.piece.start
    span = Span(start, start + len(word))
    if word == "not" and str(stack[-2]) == "is":
        message = "`not` stands before the whole condition, or the clause begins with `unless`."
        return Mistake(span, message, f"{IF.replace('if', 'unless')}")
    before = describe_shape(stack[:-1])
    if word in allowed.words or (word in (*_NOTES, *_ITEMS) and before.endswith((";", ",", ":"))):
        return _explain_place(span, f"here stands {_quote(word)}", None, before, allowed)
    if met.kind == "NAME" and met.text not in (*_NOTES, *_ITEMS) and place.suggestion is None:
        meant = get_close_matches(word, _TERM_WORDS, 1, 0.75)
        if meant and meant[0] != word:
            return _explain_place(span, f"here stands {_quote(word)}", meant[0], before, allowed)
    return None


def _explain_place(span: Span, found: str, nearest: str | None, shape: str, allowed: Allowed) -> Mistake:
    """What comes at this place of the language; ``found`` says what stands there instead."""
    if allowed.words == ("pack",):
        message = f"A rule file begins with `pack`, its name and its version; {found}."
        return Mistake(span, message, "pack acids 1.0.0", nearest)
    for construct in CONSTRUCTS:
        if place := construct.pattern.search(shape):
            message = f"After {place.expand(construct.after)} comes {construct.expected}; {found}."
            return Mistake(span, message, place.expand(construct.example), nearest)
    if "." in allowed.words:
        message = f"After a rule's requirement comes a clause, such as `if` or `unless`, or the full stop; {found}."
        return Mistake(span, message, f"{SEPARATE} {IF}.", nearest)
    if "rule" in allowed.words:
        return Mistake(span, f"Here comes {DECLARATION}; {found}.", RULE, nearest)
    kinds = sorted(_KINDS[kind] for kind in allowed.kinds & _KINDS.keys())
    *most, last = [*(_SIGNS.get(one, f"`{one}`") for one in allowed.words), *kinds]
    return Mistake(span, f"Here comes {' or '.join([', '.join(most), last] if most else [last])}; {found}.", TERM, nearest)


def _describe(met: Met, word: str, whole: str) -> str:
    """What stands at the place, in words; ``whole`` is the text that is read."""
    if met.kind == "$END":
        return "here the text ends" if met.piece.end == len(whole) else "here the next declaration or rule begins"
    if word.startswith('"'):
        return "here stands a text in quotation marks"
    return f"here stands {_SIGNS.get(word, _quote(word))}"


def _quote(word: str) -> str:
    """A word as messages show it, shortened where it is too long to be one."""
    return f"`{word}`" if len(word) <= _LONGEST_WORD else f"`{word[:_LONGEST_WORD]}…`"


def _find_nearest(met: Met, word: str, allowed: Allowed) -> str | None:
    if met.kind not in ("NAME", "STRAY") or len(word) > _LONGEST_WORD:
        return None
    return next(iter(get_close_matches(word, [one for one in allowed.words if one[0].isalpha()], 1, 0.65)), None)
