"""Data that plugins give is looked at all the way down, and what does not fit is told with its place."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from dermalint.plugins.shapes import misfit
from dermalint.regimen.model import Contact, Content, Days, Mention, Person, Problem, Product, Reading
from dermalint.regimen.read import read_regimen
from dermalint.spans import Place
from dermalint_grammar.record import replace

HERE = Place(0, 1)
CREAM = Product("cream", HERE, kinds=(Mention("serum", HERE),), contains=(Content("retinol", 3, HERE),))
EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples" / "larkspur-row").glob("*.regimen.*"))


@pytest.mark.parametrize("path", EXAMPLES, ids=[path.name for path in EXAMPLES])
def test_whatever_our_own_reader_gives_fits(path: Path) -> None:
    reading = read_regimen(path, shown=path.name)
    assert reading.regimens
    assert misfit(reading, Reading, "the reading") is None


WRONG = {
    "a text for a number": (replace(CREAM, ph="3"), Product, "it, ph is '3' (str) where int or nothing (None) was expected"),
    "True for a number": (replace(CREAM, spf=True), Product, "it, spf is True (bool) where int was expected"),
    "a fraction": (Content("x", 0.3, HERE), Content, "it, strength is 0.3 (float) where int or nothing (None) was expected"),
    "a time for a date": (replace(CREAM, opened=datetime(2026, 3, 2)), Product, "it, opened is datetime.datetime(2026, 3, 2"),
    "a list for a tuple": (replace(CREAM, contains=[]), Product, "it, contains is [] (list) where a tuple was expected"),
    "one record for another": (replace(CREAM, contact=Days()), Product, "it, contact is Days("),
    "deep inside": (
        replace(CREAM, kinds=(Mention("serum", HERE), Mention("mask", Place("0", 1)))),  # type: ignore[arg-type]
        Product,
        "it, kinds 2, place, start is '0' (str) where int was expected",
    ),
    "a missing value": (Contact(None), Contact, "it, kind is nothing (None) where str was expected"),  # type: ignore[arg-type]
    "a number for a name": (Reading("x", (), (), {1: None}), Reading, "a name in it, sources is 1 (int)"),  # type: ignore[dict-item]
    "something else": ("x", Person, "it is 'x' (str) where Person was expected"),
    "in a choice": (Problem("error", "x", place=Place(0, None)), Problem, "it, place, end is nothing (None)"),  # type: ignore[arg-type]
}


@pytest.mark.parametrize(("value", "kind", "told"), WRONG.values(), ids=list(WRONG))
def test_what_does_not_fit(value: object, kind: type, told: str) -> None:
    assert misfit(CREAM, Product, "it") is None
    wrong = misfit(value, kind, "it")
    assert wrong is not None
    assert wrong.startswith(told)
