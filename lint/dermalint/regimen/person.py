"""Reading the person a regimen is for."""

from __future__ import annotations

from dermalint.regimen.model import Medicine, Person
from dermalint.regimen.notes import Notes, excerpt
from dermalint.regimen.shapes import Group, group_of, one_or_several, read_facts, read_mention
from dermalint.regimen.tree import Node, Scalar
from dermalint.regimen.values import BILLION, MONTH_UNITS, billionths, read_text, split_length

FIELDS = ("age", "sex", "traits", "reasons", "symptoms", "allergies", "phototype", "takes")
OLDEST = 130  # years
_ROMAN = ("I", "II", "III", "IV", "V", "VI")
_AGES = "Write it like `age: 34` for years, or `age: 4 months`."


def read_person(notes: Notes, node: Node) -> Person:
    """The person, without what could not be read."""
    group = group_of(notes, node, "`person`", FIELDS, "person: {age: 34}")
    if group is None:
        return Person()
    facts = {}
    for field, example, details in (
        ("traits", "traits: [sensitive, {pregnant: week 20}]", True),
        ("reasons", "reasons: [acne]", False),
        ("symptoms", "symptoms: [{peeling: 2026-02-14}]", False),
        ("allergies", "allergies: [aspirin]", False),
    ):
        stated = group.value(field)
        facts[field] = () if stated is None else read_facts(notes, stated, f"`{field}`", example, details=details)
    takes = group.value("takes")
    return Person(
        age_months=_age(notes, group),
        sex=group.text("sex", "female"),
        traits=facts["traits"],
        reasons=facts["reasons"],
        symptoms=facts["symptoms"],
        allergies=facts["allergies"],
        phototype=_phototype(notes, group),
        takes=()
        if takes is None
        else tuple(medicine for item in one_or_several(takes) if (medicine := _medicine(notes, item)) is not None),
    )


def _age(notes: Notes, group: Group) -> int | None:
    """Whole months; a bare number is years."""
    node = group.value("age")
    text = None if node is None else read_text(notes, node, "`age`", "age: 34")
    if node is None or text is None:
        return None
    parts = split_length(text)
    if parts is None or (parts[1] and parts[1] not in MONTH_UNITS and parts[1] not in ("week", "weeks", "day", "days")):
        notes.error(node, f"`age` is a number of years or months, not `{excerpt(text)}`.", _AGES)
        return None
    number, unit = parts
    if unit in ("week", "weeks", "day", "days"):
        months = number * (7 if unit.startswith("week") else 1) // (30 * BILLION)
    else:
        months = number * MONTH_UNITS[unit or "years"] // BILLION
    if months > OLDEST * 12:
        notes.error(node, f"Nobody is `{excerpt(text)}` old.", _AGES)
        return None
    return months


def _phototype(notes: Notes, group: Group) -> int | None:
    node = group.value("phototype")
    text = group.text("phototype", "III")
    if node is None or text is None:
        return None
    if text in _ROMAN:
        return _ROMAN.index(text) + 1
    number = billionths(text)
    if number is not None and number % BILLION == 0 and 1 <= number // BILLION <= 6:
        return number // BILLION
    roman = text.upper()
    notes.error(
        node,
        f"`phototype` is one of Fitzpatrick's six, I to VI, not `{excerpt(text)}`.",
        f"Write `phototype: {roman if roman in _ROMAN else 'III'}`.",
    )
    return None


def _medicine(notes: Notes, node: Node) -> Medicine | None:
    example = "{substance: isotretinoin, since: 2026-01-10}"
    if isinstance(node, Scalar):
        mention = read_mention(notes, node, "`takes`", f"takes: [{example}]")
        return None if mention is None else Medicine(mention.name, mention.place)
    group = group_of(notes, node, "A medicine", ("substance", "since", "until"), f"takes: [{example}]")
    if group is None:
        return None
    if "substance" not in group:
        notes.error(group.node, "This medicine has no name.", f"Write it like `{example}`.")
    substance = group.name("substance", "isotretinoin")
    since = group.date("since")
    until = group.not_before("until", group.date("until"), "since", since)
    return None if substance is None else Medicine(substance.name, substance.place, since, until)
