"""Wash days as a table: ``day,slot,product,kind,contains,per cent,ph``, one application a row, all on the scalp."""

import csv
from pathlib import Path

from dermalint.plugins.specification import Reading, provides
from dermalint.regimen.model import (
    ERROR,
    ApplyStep,
    Contact,
    Content,
    Days,
    Mention,
    Phase,
    Problem,
    Product,
    Regimen,
    Routine,
)
from dermalint.spans import Place, SourceText

DERMALINT_INTERFACE = 1
BILLION = 1_000_000_000
HEAD = "day,slot,product,kind,contains,per cent,ph"


@provides
def regimen_formats():
    return {"csv": read_table}


def read_table(path: Path, shown: str) -> Reading:
    """The regimen of a table; a row that cannot be read is a problem at its place."""
    source = SourceText(shown, path.read_text(encoding="utf-8"))
    products: dict[str, Product] = {}
    routines: dict[tuple[int, str], list[ApplyStep]] = {}
    problems: list[Problem] = []
    start = 0
    for number, line in enumerate(source.text.splitlines(keepends=True)):
        place = Place(start, start + len(line.rstrip()))
        start += len(line)
        if number == 0:
            continue
        try:
            day, slot, key, kind, content, strength, ph = next(csv.reader([line.rstrip()]))
            contains = (Content(content, _billionths(strength), place),) if content else ()
            contact = Contact("rinsed") if kind == "shampoo" else Contact()
            product = Product(key, place, kinds=(Mention(kind, place),), contact=contact, ph=_billionths(ph), contains=contains)
            when = (int(day), slot)
        except (ValueError, StopIteration):
            example = "3,evening,night-tonic,scalp-tonic,salicylic-acid,2,4.5"
            problems.append(Problem(ERROR, f"This row cannot be read; a table has the columns {HEAD}.", example, place))
            continue
        products.setdefault(key, product)
        routines.setdefault(when, []).append(ApplyStep((Mention(key, place),), place, areas=(Mention("scalp", place),)))
    whole = Place(0, len(source.text))
    turns = tuple(
        Routine(Mention(slot, steps[0].place), tuple(steps), steps[0].place, Days(numbers=(day,)))
        for (day, slot), steps in routines.items()
    )
    phase = Phase(days=None, cycle=7, routines=turns, place=whole)
    return Reading(shown, (Regimen(path.stem, products, (phase,), whole),), tuple(problems), {shown: source})


def _billionths(text: str) -> int | None:
    return round(float(text) * BILLION) if text else None
