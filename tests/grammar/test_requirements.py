"""Every sentence that the language has, and the requirement that it is read as."""

from __future__ import annotations

import pytest
from grammar_trees import HERE, A, B, C, last, percent, plain, read_requirement

from dermalint_grammar.nodes import (
    Apart,
    ApplyChain,
    ApplyDirectly,
    ApplyEdge,
    BaseIs,
    Comparison,
    EventIs,
    ExpectAround,
    ExpectEvery,
    FirstUse,
    Limit,
    Name,
    Named,
    NeverUse,
    PatchTest,
    Reach,
    Renew,
    Requirement,
    Separate,
    SeparateUses,
    UseCount,
    UseFor,
    UseOnly,
    UseProducts,
    Wait,
)

LEAST, MOST = Comparison.AT_LEAST, Comparison.AT_MOST


def name(text: str) -> Name:
    return Name(text, HERE)


def named(text: str) -> Named:
    return Named(text, HERE)


def separate(apart: Apart) -> Separate:
    return Separate(A, B, apart, HERE)


def after(reach: Reach) -> ExpectAround:
    return ExpectAround("after", A, B, reach, HERE)


SENTENCES: list[tuple[str, Requirement]] = [
    ("separate a from b by routine", separate(Apart("routine", None, None, None, HERE))),
    ("separate a from b by day", separate(Apart("day", None, None, None, HERE))),
    ("separate a from b by 12 hours", separate(Apart("duration", last(12, "hour"), None, None, HERE))),
    ("separate a from b by 1 day", separate(Apart("duration", last(1, "day"), None, None, HERE))),
    ("separate a from b by 1.5 hours", separate(Apart("duration", last(1.5, "hour"), None, None, HERE))),
    (
        "separate a from b by 7 days before and 2 days after",
        separate(Apart("around", None, last(7, "day"), last(2, "day"), HERE)),
    ),
    ("separate a from b by 1 week before", separate(Apart("around", None, last(1, "week"), None, HERE))),
    ("separate a from b by 6 months after", separate(Apart("around", None, None, last(6, "month"), HERE))),
    ("separate uses of a by 2 days", SeparateUses(A, last(2, "day"), HERE)),
    ("apply a before b", ApplyChain((A, B), HERE)),
    ("apply a then b then c", ApplyChain((A, B, C), HERE)),
    ("apply a then b", ApplyChain((A, B), HERE)),
    ("apply a first", ApplyEdge(A, "first", None, None, HERE)),
    ("apply a last except make-up", ApplyEdge(A, "last", named("make-up"), None, HERE)),
    ("apply a last except b in the morning", ApplyEdge(A, "last", B, "morning", HERE)),
    ("apply a first in the evening", ApplyEdge(A, "first", None, "evening", HERE)),
    ("apply a directly before b", ApplyDirectly(A, B, HERE)),
    ("wait 10 minutes after a before b", Wait(last(10, "minute"), A, B, HERE)),
    ("wait 15 minutes after a before event daylight", Wait(last(15, "minute"), A, EventIs("daylight", HERE), HERE)),
    ("wait 2 hours after a before event bed", Wait(last(2, "hour"), A, EventIs("bed", HERE), HERE)),
    ("use a only in the evening", UseOnly(A, (name("evening"),), HERE)),
    ("use a only in the evening or afternoon", UseOnly(A, (name("evening"), name("afternoon")), HERE)),
    ("never use a in the morning", NeverUse(A, name("morning"), HERE)),
    ("never use a", NeverUse(A, None, HERE)),
    ("never use base oil in the before-gym", NeverUse(BaseIs("oil", HERE), name("before-gym"), HERE)),
    ("use a at most 3 times per week", UseCount(A, MOST, 3, "times", "week", 1, HERE)),
    ("use a at most 1 time per day", UseCount(A, MOST, 1, "times", "day", 1, HERE)),
    ("use a at most 2 evenings per week", UseCount(A, MOST, 2, "evening", "week", 1, HERE)),
    ("use a at least 1 morning per cycle", UseCount(A, LEAST, 1, "morning", "cycle", 1, HERE)),
    ("use a at most 2 evenings in a row", UseCount(A, MOST, 2, "evening", "row", 1, HERE)),
    ("use a at most 3 days in a row", UseCount(A, MOST, 3, "days", "row", 1, HERE)),
    ("use a at most 1 day per month", UseCount(A, MOST, 1, "days", "month", 1, HERE)),
    ("use a at most 4 times per 10 days", UseCount(A, MOST, 4, "times", "days", 10, HERE)),
    ("use a at most 1 time per 2 weeks", UseCount(A, MOST, 1, "times", "days", 14, HERE)),
    ("use a at least 2 times per routine", UseCount(A, LEAST, 2, "times", "routine", 1, HERE)),
    ("use a at most 5 middays per week", UseCount(A, MOST, 5, "midday", "week", 1, HERE)),
    ("use a at most 5 afternoons per week", UseCount(A, MOST, 5, "afternoon", "week", 1, HERE)),
    ("use at most 2 products of a per routine", UseProducts(A, MOST, 2, "routine", 1, HERE)),
    ("use at most 1 product of a per 2 days", UseProducts(A, MOST, 1, "days", 2, HERE)),
    ("use a for at most 8 weeks", UseFor(A, MOST, last(8, "week"), HERE)),
    ("use a for at least 1 year", UseFor(A, LEAST, last(1, "year"), HERE)),
    ("after a expect b in the same routine", after(Reach("routine", None, None, HERE))),
    ("after a expect b in the same day", after(Reach("day", None, None, HERE))),
    ("after a expect b within 12 hours", after(Reach("within", last(12, "hour"), None, HERE))),
    ("after a expect b every morning for 7 days", after(Reach("every", last(7, "day"), "morning", HERE))),
    ("after a expect b every daylight for 2 days", after(Reach("every", last(2, "day"), "daylight", HERE))),
    ("after a expect b every routine for 2 days", after(Reach("every", last(2, "day"), "routine", HERE))),
    (
        "before first use of a expect patch-test of a at least 24 hours ahead",
        ExpectAround("before", FirstUse(A, HERE), PatchTest(A, HERE), Reach("ahead", last(24, "hour"), None, HERE), HERE),
    ),
    ("before a expect b in the same routine", ExpectAround("before", A, B, Reach("routine", None, None, HERE), HERE)),
    ("in daylight expect b every 2 hours", Renew(B, last(2, "hour"), HERE)),
    ("expect b in every morning", ExpectEvery(B, "morning", None, HERE)),
    ("expect b in every daylight", ExpectEvery(B, "daylight", None, HERE)),
    ("expect b in every routine that has a", ExpectEvery(B, "routine", A, HERE)),
    ("limit strength of a to at most 2 %", Limit(name("strength"), A, False, None, MOST, percent(2), HERE)),
    ("limit ph of a to at least 3.5", Limit(name("ph"), A, False, None, LEAST, plain(3.5), HERE)),
    (
        "limit total strength of a per routine to at most 10 %",
        Limit(name("strength"), A, True, "routine", MOST, percent(10), HERE),
    ),
    ("limit strength of a per day to at most 0.3 %", Limit(name("strength"), A, False, "day", MOST, percent(0.3), HERE)),
]


@pytest.mark.parametrize(("sentence", "requirement"), SENTENCES, ids=[sentence for sentence, _ in SENTENCES])
def test_a_sentence_is_read_as_its_requirement(sentence: str, requirement: Requirement) -> None:
    assert read_requirement(sentence) == requirement


def test_line_breaks_and_comments_mean_nothing() -> None:
    broken = "separate a # the acid\n  from\n\n b by\troutine"
    assert read_requirement(broken) == read_requirement("separate a from b by routine")


@pytest.mark.parametrize(
    "word",
    ["mask", "day-fluid", "use-it", "routine", "week", "rule", "pack", "from", "by", "topic", "strict", "source", "at", "in"],
)
def test_names_may_look_like_words_of_the_language(word: str) -> None:
    if word in ("at", "in", "from", "by"):  # where the sentence can go on with the word itself, it is that word
        assert read_requirement(f"never use a on {word}").term.area == word  # type: ignore[union-attr]
    else:
        assert read_requirement(f"apply {word} before {word}-b") == ApplyChain((named(word), named(f"{word}-b")), HERE)


def test_a_declared_name_may_be_any_word() -> None:
    assert read_requirement("never use base base") == NeverUse(BaseIs("base", HERE), None, HERE)
    assert read_requirement("never use event event") == NeverUse(EventIs("event", HERE), None, HERE)
    assert read_requirement("use a only in the routine") == UseOnly(A, (name("routine"),), HERE)
