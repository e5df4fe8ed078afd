"""Terms and conditions, alone: what each way of writing them is read as."""

from __future__ import annotations

import pytest
from grammar_trees import HERE, ONE, A, B, C, last, percent, plain, strip_places

from dermalint_grammar.nodes import (
    Age,
    AllergicTo,
    AllOf,
    AnyCondition,
    AnyProduct,
    Around,
    BaseIs,
    Comparison,
    Condition,
    Contacted,
    DuringFirst,
    EventIs,
    EveryCondition,
    Except,
    FirstUse,
    FromDate,
    Has,
    Literal,
    Marked,
    Measured,
    NotCondition,
    NotTerm,
    OnArea,
    OneOf,
    PatchTest,
    PersonIs,
    Phototype,
    Quantity,
    ReasonIs,
    RegionIs,
    SkinIs,
    Takes,
    Term,
    UntilDate,
    WithContact,
)
from dermalint_grammar.parse import Unreadable, parse_condition, parse_term

LEAST, MOST, ABOVE, BELOW = Comparison

AB = OneOf((A, B), HERE)
PREGNANT = PersonIs("pregnant", "is", HERE)
WAXING = EventIs("waxing", HERE)

TERMS: list[tuple[str, Term]] = [
    ("a", A),
    ('"Exact INCI Name"', Literal("Exact INCI Name", HERE)),
    ("any product", AnyProduct(HERE)),
    ("base oil", BaseIs("oil", HERE)),
    ("a or b", AB),
    ("a or b or c", OneOf((A, B, C), HERE)),
    ("a and b", AllOf((A, B), HERE)),
    ("a or b and c", OneOf((A, AllOf((B, C), HERE)), HERE)),
    ("(a or b) and c", AllOf((AB, C), HERE)),
    ("not a", NotTerm(A, HERE)),
    ("not a and b", AllOf((NotTerm(A, HERE), B), HERE)),
    ("a except b", Except(A, B, HERE)),
    ("a except b or c", OneOf((Except(A, B, HERE), C), HERE)),
    ("a except (b or c)", Except(A, OneOf((B, C), HERE), HERE)),
    ("a with strength at least 5 %", Measured(A, "strength", LEAST, percent(5), HERE)),
    ("a with ph below 4", Measured(A, "ph", BELOW, plain(4), HERE)),
    ("a with spf above 29.5", Measured(A, "spf", ABOVE, plain(29.5), HERE)),
    ("a with months-open at most 6 months", Measured(A, "months-open", MOST, Quantity(6 * ONE, "month", HERE), HERE)),
    ("a with contact at least 5 minutes", WithContact(A, LEAST, last(5, "minute"), HERE)),
    ("a on face", OnArea(A, "face", HERE)),
    ("(a or b) on lips", OnArea(AB, "lips", HERE)),
    (
        "a on face with strength at most 0.3 %",
        Measured(OnArea(A, "face", HERE), "strength", MOST, percent(0.3), HERE),
    ),
    ("left-on a", Contacted("left-on", A, HERE)),
    ("rinsed a on face", Contacted("rinsed", OnArea(A, "face", HERE), HERE)),
    ("timed (a or b)", Contacted("timed", AB, HERE)),
    ("prescribed a", Marked("prescribed", A, HERE)),
    ("encapsulated left-on a", Marked("encapsulated", Contacted("left-on", A, HERE), HERE)),
    ("made-up a", Marked("made-up", A, HERE)),
    ("first use of a", FirstUse(A, HERE)),
    ("event waxing", WAXING),
    ("event waxing on face", OnArea(WAXING, "face", HERE)),
    ("patch-test of a", PatchTest(A, HERE)),
]

CONDITIONS: list[tuple[str, Condition]] = [
    ("person is pregnant", PREGNANT),
    ("person has peeling", PersonIs("peeling", "has", HERE)),
    ("person is allergic to aspirin", AllergicTo("aspirin", HERE)),
    ("reason is acne", ReasonIs("acne", HERE)),
    ("person takes isotretinoin", Takes("isotretinoin", None, HERE)),
    ("person took isotretinoin within 6 months", Takes("isotretinoin", last(6, "month"), HERE)),
    ("age below 12 years", Age(BELOW, last(12, "year"), HERE)),
    ("phototype at most 2", Phototype(MOST, 2, HERE)),
    ("region is eu", RegionIs("eu", HERE)),
    ("routine has a", Has("routine", A, None, None, HERE)),
    ("routine has a after b", Has("routine", A, "after", B, HERE)),
    ("day has a before b", Has("day", A, "before", B, HERE)),
    ("regimen has (a or b)", Has("regimen", AB, None, None, HERE)),
    ("skin is dry", SkinIs("dry", HERE)),
    ("within 24 hours after event waxing", Around("after", WAXING, last(24, "hour"), HERE)),
    ("before event waxing within 7 days", Around("before", WAXING, last(7, "day"), HERE)),
    ("during the first 2 weeks of a", DuringFirst(last(2, "week"), A, HERE)),
    ("from 2025-11-01", FromDate("2025-11-01", HERE)),
    ("until 2027-05-01", UntilDate("2027-05-01", HERE)),
    ("not person is pregnant", NotCondition(PREGNANT, HERE)),
    ("person is pregnant or reason is acne", AnyCondition((PREGNANT, ReasonIs("acne", HERE)), HERE)),
    (
        "(person is pregnant or reason is acne) and not region is eu",
        EveryCondition(
            (AnyCondition((PREGNANT, ReasonIs("acne", HERE)), HERE), NotCondition(RegionIs("eu", HERE), HERE)), HERE
        ),
    ),
    (
        "routine has a and day has b",
        EveryCondition((Has("routine", A, None, None, HERE), Has("day", B, None, None, HERE)), HERE),
    ),
]


@pytest.mark.parametrize(("text", "term"), TERMS, ids=[text for text, _ in TERMS])
def test_a_term(text: str, term: Term) -> None:
    assert strip_places(parse_term(text)) == term


@pytest.mark.parametrize(("text", "condition"), CONDITIONS, ids=[text for text, _ in CONDITIONS])
def test_a_condition(text: str, condition: Condition) -> None:
    assert strip_places(parse_condition(text)) == condition


def test_contact_is_a_length_of_time() -> None:
    with pytest.raises(Unreadable, match="Contact is a length of time"):
        parse_term("a with contact at least 5 %")


@pytest.mark.parametrize(
    ("text", "billionths"), [("0.3", 300_000_000), ("0.000000001", 1), ("12", 12 * ONE), ("1.50", 1_500_000_000)]
)
def test_numbers_are_exact(text: str, billionths: int) -> None:
    measured = parse_term(f"a with strength above {text} %")
    assert isinstance(measured, Measured)
    assert measured.quantity.value == billionths


@pytest.mark.parametrize("text", ["0.0000000001", "1234567890123"])
def test_numbers_that_are_too_long_are_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="at most twelve digits before its point and nine after it"):
        parse_term(f"a with strength above {text} %")
