"""The calendar says what the timeline says, in the way that calendars on phones understand."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from icalendar import Calendar

from dermalint.regimen.model import Regimen
from dermalint.regimen.read import read_regimen
from dermalint.testing.regimens import regimen_texts
from handout.calendars import calendar_of, difference, expanded, has_routines

START = """regimen: A calendar
starts: {starts}
products:
  wash: {{kind: cleanser, base: gel, contact: rinsed}}
  cream: {{kind: moisturiser, base: emulsion}}
  shield: {{kind: sunscreen, base: emulsion, spf: 50}}
"""


def read(tmp_path: Path, body: str, starts: str = "2026-03-02") -> Regimen:
    path = tmp_path / "a.regimen.yaml"
    path.write_text(START.format(starts=starts) + body, encoding="utf-8")
    reading = read_regimen(path, shown=path.name)
    assert [problem.message for problem in reading.problems if problem.level == "error"] == []
    return reading.regimens[0]


def events(calendar: bytes) -> dict[str, str]:
    """The text of each event by what it is of, unfolded."""
    components = Calendar.from_ical(calendar).walk("VEVENT")
    return {str(e["X-DERMALINT-ITEM"]): e.to_ical().decode().replace("\r\n ", "") for e in components}


@pytest.mark.parametrize(
    "body",
    [
        "routines:\n  - {slot: evening, days: every 2 days, steps: [wash, cream]}\n",
        "routines:\n  - {slot: evening, days: not tuesday, steps: [wash]}\n  - {slot: evening, at: '22:15', steps: [cream]}\n",
        "cycle: 9 days\nroutines:\n  - {slot: evening, days: [1, 5], steps: [cream]}\n",
        "cycle: 7 days\nroutines:\n  - {slot: morning, days: [1, 2, 3, 4, 5, 6, 7], steps: [cream]}\n",
        "day: {morning: '18:00', evening: '06:30'}\nroutines:\n  - {slot: evening, days: [friday], steps: [cream]}\n",
        "day: {evening: '23:30'}\nroutines:\n  - {slot: evening, at: '00:30', days: every 3 days, steps: [cream]}\n",
        "routines:\n  - slot: morning\n"
        "    steps: [wash, {wait: 20 min}, {product: shield, repeat: every 2 hours, until: '18:00'}]\n",
        "routines:\n  - {slot: morning, dates: [2026-06-01, 2026-06-03], only-if: going out, steps: [shield]}\n",
        "phases:\n  - {for: 10 days, cycle: 7 days, routines: [{slot: evening, days: [monday, thursday], steps: [cream]}]}\n"
        "  - {for: 2 weeks, cycle: 3 days, routines: [{slot: evening, days: [2], steps: [cream]}]}\n"
        "  - {cycle: 2 days, routines: [{slot: evening, days: [1], steps: [cream]}]}\n",
        "phases:\n  - {for: 10 days, cycle: 14 days, routines: [{slot: evening, days: [1, 9], steps: [cream]}]}\n",
        "routines:\n  - {slot: evening, steps: [cream]}\nevents:\n  - {event: waxing, on: 2026-03-14, at: '11:00'}\n"
        "  - {event: clinic-peel, every: 18 days, from: 2026-04-01, times: 6}\n"
        "  - {event: shaving, slot: morning, days: [monday, thursday]}\n",
        "routines:\n  - {slot: evening, days: {every: 4 days, anchor: 2026-03-04}, steps: [cream]}\n",
    ],
)
def test_a_year_by_the_calendar_is_a_year_by_the_timeline(tmp_path: Path, body: str) -> None:
    assert difference(read(tmp_path, body)) == []


# Half a second each, so a counterexample is not made smaller here.
@settings(
    max_examples=12,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(text=regimen_texts())
def test_of_any_regimen(tmp_path: Path, text: str) -> None:
    assume("starts:" in text)
    path = tmp_path / "b.regimen.yaml"
    path.write_text(text, encoding="utf-8")
    reading = read_regimen(path, shown=path.name)
    assume(reading.regimens and has_routines(reading.regimens[0]))
    assert difference(reading.regimens[0]) == []


def test_alternate_nights_are_an_interval_of_days_and_no_weekdays(tmp_path: Path) -> None:
    regimen = read(tmp_path, "routines:\n  - {slot: evening, days: every 2 days, steps: [cream]}\n")
    (event,) = events(calendar_of(regimen)).values()
    assert "RRULE:FREQ=DAILY;INTERVAL=2\r\n" in event
    assert "BYDAY" not in event


def test_weekdays_are_said_as_weekdays(tmp_path: Path) -> None:
    regimen = read(tmp_path, "routines:\n  - {slot: evening, days: [monday, thursday], steps: [cream]}\n")
    (event,) = events(calendar_of(regimen)).values()
    assert "RRULE:FREQ=WEEKLY;BYDAY=MO,TH\r\n" in event


def test_times_float_so_that_seven_stays_seven_when_the_clocks_change(tmp_path: Path) -> None:
    regimen = read(tmp_path, "routines:\n  - {slot: morning, steps: [cream]}\n", starts="2026-03-27")
    calendar = calendar_of(regimen)
    assert b"TZID" not in calendar
    assert b"DTSTART:20260327T070000\r\n" in calendar
    moments = {at for _, at in expanded(calendar, date(2026, 3, 27), 230)}
    # The last Sundays of March and October, and the second of March and first of November elsewhere.
    for day in ((2026, 3, 29), (2026, 10, 25), (2026, 11, 1)):
        assert datetime(*day, 7) in moments
    assert {at.time().hour for at in moments} == {7}


def test_an_import_after_a_change_updates_what_is_there(tmp_path: Path) -> None:
    body = "routines:\n  - {slot: evening, days: every 2 days, at: '21:00', steps: [wash, cream]}\n"
    before = events(calendar_of(read(tmp_path, body)))
    after = events(calendar_of(read(tmp_path, body.replace("21:00", "22:15").replace("wash, ", ""))))

    def uids(said: dict[str, str]) -> list[str]:
        return [line for event in said.values() for line in event.splitlines() if line.startswith("UID")]

    assert uids(before) == uids(after)
    assert before != after
    assert all("SEQUENCE:" in event and "DTSTAMP:20260302T000000Z" in event for event in after.values())


def test_identifiers_are_never_used_twice(tmp_path: Path) -> None:
    regimen = read(
        tmp_path,
        "cycle: 9 days\nroutines:\n  - {slot: evening, days: [1, 4, 6], steps: [cream]}\n"
        "  - {slot: morning, steps: [{product: shield, repeat: every 2 hours, until: '18:00'}]}\n"
        "  - {slot: morning, steps: [wash, {wait: 10 min}, {product: shield, repeat: every 2 hours, until: '18:00'}]}\n",
    )
    uids = [str(event["UID"]) for event in Calendar.from_ical(calendar_of(regimen)).walk("VEVENT")]
    assert len(uids) == len(set(uids)) > 10


def test_tests_phases_and_dates_on_packages_have_their_days(tmp_path: Path) -> None:
    body = (
        "phases:\n  - {for: 2 weeks, cycle: 7 days, routines: [{slot: evening, steps: [cream]}]}\n"
        "  - {cycle: 2 days, routines: [{slot: evening, days: [1], steps: [cream, shield]}]}\n"
        "history: [{product: cream, since: 2025-01-01}]\n"
    )
    regimen = read(tmp_path, body)
    path = tmp_path / "a.regimen.yaml"
    text = path.read_text(encoding="utf-8").replace(
        "cream: {kind: moisturiser,", "cream: {opened: 2025-12-31, lasts-after-opening: 6 months, kind: moisturiser,"
    )
    path.write_text(text, encoding="utf-8")
    regimen = read_regimen(path, shown="a").regimens[0]
    said = events(calendar_of(regimen))
    assert "DTSTART;VALUE=DATE:20260316" in said["phase 2 begins"]
    assert "DTSTART;VALUE=DATE:20260630" in said["package of cream"]
    # The sunscreen is new on the sixteenth day: the test fills the ten days before.
    assert "DTSTART;VALUE=DATE:20260306" in said["test of shield"]
    assert "RRULE:FREQ=DAILY;COUNT=10" in said["test of shield"]


def test_the_calendar_keeps_to_its_standard(tmp_path: Path) -> None:
    title = 'routines:\n  - {slot: evening, only-if: "a; b, c\\nEND:VEVENT", steps: [cream]}\n'
    calendar = calendar_of(read(tmp_path, title))
    assert calendar.startswith(b"BEGIN:VCALENDAR\r\n")
    assert calendar.endswith(b"END:VCALENDAR\r\n")
    assert max(map(len, calendar.split(b"\r\n"))) <= 75
    assert b"\n" not in calendar.replace(b"\r\n", b"")
    (event,) = Calendar.from_ical(calendar).walk("VEVENT")
    assert event["STATUS"] == "TENTATIVE"
