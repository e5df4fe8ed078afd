"""Occurrences in words."""

from __future__ import annotations

import pytest
from build_review import WEEK

from dermalint.report.days import date_in_words, listed, when
from dermalint.verdict.findings import Occurrence


def week(slot: str | None, *days: int, phase: int = 1) -> list[Occurrence]:
    return [Occurrence(phase, day, WEEK[day - 1], slot, 7) for day in days]


def cycle(length: int, slot: str | None, *days: int) -> list[Occurrence]:
    return [Occurrence(1, day, None, slot, length) for day in days]


@pytest.mark.parametrize(
    ("occurs", "words"),
    [
        ([], ""),
        (week("evening", 1, 4), "Monday and Thursday evenings"),
        (week("evening", 2), "Tuesday evenings"),
        (week("evening", *range(1, 8)), "every evening"),
        (week("evening", 1, 2, 3, 4, 5), "every evening except Saturday and Sunday"),
        (week(None, 1, 4), "Mondays and Thursdays"),
        (week(None, *range(1, 8)), "every day"),
        (week("after-sport", 1, 4), "Mondays and Thursdays, after-sport"),
        (week("evening", 1, 4) + week("morning", 1, 4), "Monday and Thursday mornings and evenings"),
        (week("morning", 1) + week("evening", 2), "Monday mornings; Tuesday evenings"),
        (week("morning", *range(1, 8)) + week("evening", *range(1, 8)), "every morning and evening"),
        (cycle(1, "evening", 1), "every evening"),
        (cycle(4, "evening", 3), "day 3 of the 4-day cycle, evening"),
        (cycle(18, "morning", 1, 4, 5, 6, 7, 9), "days 1, 4 to 7 and 9 of the 18-day cycle, morning"),
        (cycle(4, "evening", 1, 2, 3, 4), "every evening"),
        ([Occurrence(1, 9, "tuesday", "evening", 14)], "day 9 (Tuesday) of the 14-day cycle, evening"),
        ([Occurrence(1, 3, "wednesday", "evening", None)], "day 3 (Wednesday), evening"),
        ([Occurrence(1, 2, None, "evening", None), Occurrence(1, 3, None, "evening", None)], "days 2 and 3, evening"),
        ([Occurrence(1, 13, "saturday", None, None, "2026-03-14")], "14 March 2026"),
        ([Occurrence(1, 13, "saturday", "evening", None, "2026-03-14")], "14 March 2026, evening"),
        (
            [Occurrence(1, 1, "monday", slot, None, "2026-03-02") for slot in ("evening", "morning")],
            "2 March 2026, morning and evening",
        ),
        (
            [*week("evening", 1), Occurrence(1, 13, "saturday", "evening", None, "2026-03-14")],
            "Monday evenings; 14 March 2026, evening",
        ),
    ],
)
def test_when(occurs: list[Occurrence], words: str) -> None:
    assert when(occurs, name_phases=False) == words


def test_the_order_of_occurrences_does_not_matter() -> None:
    occurs = week("evening", 1, 4) + week("morning", 1, 4)
    assert when(occurs[::-1], name_phases=False) == when(occurs, name_phases=False)


def test_phases_are_named_where_there_are_several() -> None:
    occurs = [*week("evening", 1, phase=2), *week("evening", *range(1, 8))]
    assert when(occurs, name_phases=True) == "phase 1: every evening; phase 2: Monday evenings"


@pytest.mark.parametrize(
    ("iso", "words"),
    [("2026-03-02", "2 March 2026"), ("2027-12-31", "31 December 2027"), ("2026-13-01", "2026-13-01"), ("soon", "soon")],
)
def test_dates(iso: str, words: str) -> None:
    assert date_in_words(iso) == words


@pytest.mark.parametrize(("words", "said"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")])
def test_lists(words: list[str], said: str) -> None:
    assert listed(words) == said
