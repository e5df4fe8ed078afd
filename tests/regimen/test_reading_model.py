"""What is read is what stands there: values, units, places."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from dermalint.regimen.model import ApplyStep, Contact, Days, PastTest, PastUse, Reading, WaitStep
from dermalint.regimen.read import read_regimen

from .conftest import Reader

SAMPLES = Path(__file__).parent / "samples"


def sample(name: str) -> Reading:
    return read_regimen(SAMPLES / name, shown=f"samples/{name}", root=SAMPLES)


@pytest.mark.parametrize("name", ["full.regimen.yaml", "people.regimen.yaml", "wishes.regimen.yaml"])
def test_samples_have_no_problems(name: str) -> None:
    assert sample(name).problems == ()


def test_the_whole_format() -> None:
    (regimen,) = sample("full.regimen.yaml").regimens
    assert (regimen.title, regimen.starts, regimen.stance) == ("Larkspur Row, calm evenings", date(2026, 3, 2), "usual")
    assert regimen.region is not None
    assert regimen.region.name == "eu"
    person = regimen.person
    assert (person.age_months, person.sex, person.phototype) == (34 * 12, "female", 3)
    assert [(trait.name, trait.detail) for trait in person.traits] == [("sensitive", None), ("pregnant", "week 20")]
    assert [(symptom.name, symptom.since) for symptom in person.symptoms] == [("peeling", date(2026, 2, 14)), ("dryness", None)]
    assert [(medicine.substance, medicine.until) for medicine in person.takes] == [
        ("isotretinoin", date(2026, 6, 10)),
        ("doxycycline", None),
    ]
    products = regimen.products
    assert list(products) == ["foam-wash", "lactic-lotion", "night-cream", "day-fluid", "toner-x"]
    assert products["foam-wash"].contact == Contact("rinsed", 2)  # 90 seconds, rounded up
    lotion, cream, fluid = products["lactic-lotion"], products["night-cream"], products["day-fluid"]
    assert lotion.ph == 3_800_000_000
    assert [(content.name, content.strength) for content in lotion.contains] == [
        ("lactic-acid", 8_000_000_000),
        ("squalane", None),
    ]
    assert cream.contains[0].strength == 300_000_000
    assert (cream.made_up, cream.lasts_after_opening_months, cream.expires) == (True, 12, date(2027, 1, 31))
    assert ([kind.name for kind in fluid.kinds], fluid.spf, fluid.filters) == (
        ["sunscreen", "moisturiser"],
        50_000_000_000,
        "mineral",
    )
    assert products["toner-x"].ingredients == "Aqua, Glycolic Acid, Propanediol"
    assert dict(regimen.clock.stated) == {"morning": 420, "evening": 1290, "bed": 1350}
    assert [(slot.name, slot.at, slot.counts_as) for slot in regimen.clock.own] == [("after-sport", 1080, "afternoon")]
    (phase,) = regimen.phases
    assert (phase.days, phase.cycle, len(phase.routines)) == (None, 7, 5)
    evening, sport, midday, dated = phase.routines[1:]
    assert (evening.days.weekdays, evening.at) == ((1, 4), 22 * 60 + 15)
    assert (sport.days.every, sport.days.anchor) == (2, date(2026, 3, 3))
    assert (midday.days.weekdays, midday.days.negated) == ((2, 5), True)
    assert (dated.dates, dated.only_if) == ((date(2026, 6, 1),), "going out")
    waits = [(step.minutes, step.skin) for step in evening.steps if isinstance(step, WaitStep)]
    assert waits == [(20, None), (None, "dry"), (None, "dry")]
    _, cream_step, mix, spots, lips, short = (step for step in evening.steps if isinstance(step, ApplyStep))
    assert (cream_step.amount, cream_step.skin, [area.name for area in cream_step.without]) == ("0.5 g", "dry", ["eye-area"])
    assert [product.name for product in mix.products] == ["lactic-lotion", "night-cream"]
    assert (spots.as_needed, spots.at_most) == (True, 1)
    assert (lips.repeat_minutes, lips.repeat_until) == (120, 23 * 60 + 30)
    assert short.contact == Contact("timed", 30)
    waxing, peel, shaving = regimen.events
    assert (waxing.on, waxing.at) == (date(2026, 3, 14), 660)
    assert (peel.every_days, peel.first, peel.times) == (18, date(2026, 4, 1), 6)
    assert shaving.slot is not None
    assert shaving.days is not None
    assert (shaving.slot.name, shaving.days.weekdays) == ("morning", (1, 4))
    way, inside, window, covered = regimen.outdoors
    assert (way.start, way.end, inside.indoors, inside.dates, window.behind) == (510, 550, True, (date(2026, 9, 6),), "window")
    assert [area.name for area in covered.covered] == ["underarms", "upper-arms"]
    assert regimen.history is not None
    use, test, week = regimen.history
    assert isinstance(use, PastUse)
    assert isinstance(test, PastTest)
    assert isinstance(week, PastTest)
    assert (use.uses, use.per_days, use.until) == (3, 7, date(2026, 2, 1))
    assert (test.hours, test.times_a_day, test.reaction) == (24, 1, "none")
    assert (week.hours, week.contact, week.protocol) == (168, "rinsed", "label")
    by_rule, by_topic = regimen.waivers
    assert (by_rule.rule, by_rule.by, by_rule.until) == ("acids.acid-off-retinoid-nights", "prescriber", date(2026, 9, 30))
    assert (by_topic.topics, [product.name for product in by_topic.products]) == (("timing",), ["night-cream"])


def test_several_people_share_what_stands_outside() -> None:
    reading = sample("people.regimen.yaml")
    parent, child = reading.regimens
    assert (parent.person_name, child.person_name) == ("parent", "child")
    assert {parent.title, child.title} == {"One bathroom, two people"}
    assert (parent.person.age_months, child.person.age_months, parent.person.phototype) == (492, 20, 2)
    assert list(parent.products) == ["shared-wash", "shared-sunscreen", "night-cream"]
    assert list(child.products) == ["shared-wash", "shared-sunscreen"]
    assert parent.products["shared-wash"].place.path == "samples/shared/products.yaml"
    assert set(reading.sources) == {"samples/people.regimen.yaml", "samples/shared/products.yaml"}
    # The second phase begins on 16 March 2026 and lasts a calendar month.
    assert [(phase.days, phase.cycle) for phase in parent.phases] == [(14, 7), (31, 3), (None, 2)]
    assert (len(parent.outdoors), len(child.outdoors)) == (2, 1)
    assert (parent.history, child.history) == ((), None)


def test_wishes_need_no_routines() -> None:
    (regimen,) = sample("wishes.regimen.yaml").regimens
    assert regimen.phases == ()
    assert len(regimen.products) == 3


@pytest.mark.parametrize(
    ("days", "cycle", "expected"),
    [
        ("every", "7 days", Days()),
        ("every day", "7 days", Days()),
        ("monday", "1 week", Days(weekdays=(1,))),
        ("[1, 3]", "4 days", Days(numbers=(1, 3))),
        ("every 2 days", "18 days", Days(every=2)),
        ("every 1 week", "14 days", Days(every=7)),
        ("not tuesday", "7 days", Days(weekdays=(2,), negated=True)),
        ("not [tuesday, friday]", "7 days", Days(weekdays=(2, 5), negated=True)),
        ("not 3", "4 days", Days(numbers=(3,), negated=True)),
        ("{every: 2 days, anchor: 2026-03-02}", "7 days", Days(every=2, anchor=date(2026, 3, 2))),
    ],
)
def test_days(days: str, cycle: str, expected: Days, read: Reader) -> None:
    reading = read(
        f"regimen: T\nstarts: 2026-03-02\ncycle: {cycle}\nproducts: {{a: {{}}}}\n"
        f"routines:\n  - slot: evening\n    days: {days}\n    steps: [a]\n"
    )
    assert reading.problems == ()
    found = reading.regimens[0].phases[0].routines[0].days
    assert found.place is not None
    assert Days(found.numbers, found.weekdays, found.every, found.anchor, found.negated) == expected


@pytest.mark.parametrize(
    ("age", "months"), [("34", 408), ("4 months", 4), ("20 months", 20), ("2 years", 24), ("1.5 years", 18), ("3 weeks", 0)]
)
def test_ages(age: str, months: int, read: Reader) -> None:
    (regimen,) = read(
        f"regimen: T\nperson: {{age: {age}}}\nproducts: {{a: {{}}}}\nroutines: [{{slot: evening, steps: [a]}}]\n"
    ).regimens
    assert regimen.person.age_months == months


@pytest.mark.parametrize(
    ("wait", "minutes"),
    [("20 min", 20), ("20min", 20), ("1 minute", 1), ("2 h", 120), ("1.5 hours", 90), ("30 s", 1), ("61 seconds", 2)],
)
def test_waits(wait: str, minutes: int, read: Reader) -> None:
    reading = read(f"regimen: T\nproducts: {{a: {{}}}}\nroutines: [{{slot: evening, steps: [a, wait: {wait}, a]}}]\n")
    assert reading.problems == ()
    step = reading.regimens[0].phases[0].routines[0].steps[1]
    assert isinstance(step, WaitStep)
    assert step.minutes == minutes


def test_places_are_offsets_of_the_text_behind_a_byte_order_mark(read: Reader) -> None:
    text = (
        'regimen: "Soirées 🌙"\r\nproducts:\r\n  crème: {kind: moisturiser}\r\n'
        "routines:\r\n  - slot: evening\r\n    steps: [crème]\r\n\r\n# end\r\n"
    )
    reading = read(b"\xef\xbb\xbf" + text.encode("utf-8"))
    assert reading.problems == ()
    source = reading.sources[reading.path]
    assert source.bom
    (regimen,) = reading.regimens
    (routine,) = regimen.phases[0].routines
    (step,) = routine.steps
    assert text[step.place.start : step.place.end] == "crème"
    assert source.position(step.place.start) == (6, 13)
    assert step.place.pointer == "/routines/0/steps/0"
    assert text[routine.place.start : routine.place.end] == "slot: evening\r\n    steps: [crème]"
    kind = regimen.products["crème"].kinds[0]
    assert text[kind.place.start : kind.place.end] == "moisturiser"


def test_without_the_c_parser_the_same_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    before = sample("full.regimen.yaml")
    monkeypatch.setitem(sys.modules, "yaml._yaml", None)
    assert sample("full.regimen.yaml") == before


def test_reading_yaml_imports_nothing_it_does_not_need() -> None:
    program = (
        "import sys; from pathlib import Path; from dermalint.regimen.read import read_regimen;"
        f"assert read_regimen(Path({str(SAMPLES / 'full.regimen.yaml')!r}), shown='x').regimens;"
        "print(*sorted({'json', 'tomllib', 'jsonschema', 'difflib', 'lark', 'importlib.metadata'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
