"""One name of a label, as it is written there, and the substance it stands for.

A name matches whole or not at all; what may be left out of it is what is no part of it: a footnote's mark, ``(nano)``, an
English word in brackets, a full stop at the end.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping

from dermalint.vocabulary.world import World, label_key

MARKS = "*†‡§°¹²³⁴⁵⁶⁷⁸⁹⁰✓"
EDGES = MARKS + ' \t\r\n#+-–—:…·"“”„\u00a0'
COLOUR_INDEX = re.compile(r"(?:\bc\.?\s?i\.?\s?)?(\d{5})(?::\d)?\Z", re.IGNORECASE)
_NANO = re.compile(r"\s?[(\[]\s?nano\s?[)\]]\s?\Z", re.IGNORECASE)
_FOOTNOTE_NUMBER = re.compile(r"\s?[(\[]\d{1,2}[)\]]\Z")
_WORDS_IN_BRACKETS = re.compile(rf"\s\([{MARKS}]*[^\W\d_][^()\[\],]{{0,60}}\)(?=\s|\Z)")
_ALIKE = str.maketrans(dict.fromkeys("‐‑‒–—−", "-") | dict.fromkeys("’‘′´", "'") | {"⁄": "/"})
LONGEST_NAME = 400


def find_name(written: str, world: World) -> str | None:
    """The substance of a name as a label writes it, or None."""
    if len(written) > LONGEST_NAME:
        return None
    name = written.strip(EDGES)  # before the normal form, which makes footnote numbers ordinary ones
    if not name.isascii():
        name = unicodedata.normalize("NFKC", name.translate(_ALIKE)).translate(_ALIKE)
    name = _FOOTNOTE_NUMBER.sub("", name)
    labels = world.labels
    for form in _forms(name):
        key = labels.get(label_key(form))
        if key is not None:
            return key
    return _of_twins(name, labels)


def _forms(name: str) -> Iterator[str]:
    yield name
    if name.endswith("."):
        name = name.rstrip(EDGES + ".")
        yield name
    number = COLOUR_INDEX.match(name)
    if number is not None:
        yield f"CI {number[1]}"
    if name.endswith((")", "]")):
        name = _NANO.sub("", name)
        yield name
    if "/" in name:
        yield "/".join(part.strip() for part in name.split("/"))  # Lavandula Oil/ Extract
    if "(" in name:
        without = _WORDS_IN_BRACKETS.sub("", name)  # Butyrospermum Parkii (Shea) Butter
        if without != name:
            yield without.strip(EDGES)
            bracket = _WORDS_IN_BRACKETS.search(name)
            if bracket is not None and bracket.end() == len(name):  # Octinoxate Complex (Ethylhexyl Methoxycinnamate)
                yield bracket.group().strip(" ()")
    yield name.strip("()[] ")


def _of_twins(name: str, labels: Mapping[str, str]) -> str | None:
    """The one substance that parts between slashes are names of: ``Water/Aqua/Eau``, ``CI 77891 / Titanium Dioxide``."""
    if "/" not in name:
        return None
    known = [
        key for part in name.split("/") if (key := next(filter(None, map(labels.get, map(label_key, _forms_of(part)))), None))
    ]
    return known[0] if len(known) > 1 and len(set(known)) == 1 else None


def _forms_of(part: str) -> Iterator[str]:
    yield part
    number = COLOUR_INDEX.match(part.strip())
    if number is not None:
        yield f"CI {number[1]}"
