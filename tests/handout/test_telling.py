"""What hand-outs say, and what they never say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from dermalint.handout.language import CATALOGUES
from dermalint.handout.making import make
from dermalint.handout.plan import HandOut
from dermalint.handout.turns import Turn, shortest_turn

HEAD = """regimen: A hand-out
starts: 2026-03-02
products:
  wash: {name: Wash, kind: cleanser, base: gel, contact: rinsed}
  drops: {name: Drops, kind: serum, base: water}
  cream: {name: Cream, kind: moisturiser, base: emulsion}
  acid: {name: Acid, kind: serum, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  retinol: {name: Retinol, kind: serum, base: emulsion, contains: {retinol: 0.3 %}}
  shield: {name: Shield, kind: sunscreen, base: emulsion, spf: 50, broad-spectrum: true}
  gel: {name: Gel, kind: treatment, base: gel, prescribed: true, contains: {benzoyl-peroxide: 5 %}}
"""
MORNING = "  - {slot: morning, steps: [wash, cream, {product: shield, areas: [face, neck, ears]}]}\n"


def text_of(demo, tmp_path: Path, body: str) -> str:  # type: ignore[no-untyped-def]
    path = tmp_path / "a.regimen.yaml"
    path.write_text(HEAD + body, encoding="utf-8")
    said = make(demo.plan_of(path), "text")
    assert isinstance(said, str)
    return " ".join(said.split())


def test_steps_say_how_much_where_and_how_long(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    said = text_of(
        demo,
        tmp_path,
        "routines:\n" + MORNING + "  - slot: evening\n    days: [monday, thursday]\n    at: '22:15'\n    steps:\n"
        "      - {product: wash, contact: {rinsed: 2 min}}\n      - wait: 90 min\n"
        "      - {product: drops, amount: 3 drops, areas: [face, neck], except: [eye-area], skin: damp}\n"
        "      - wait: {until: skin is dry}\n      - {mix: [drops, cream], areas: [hands]}\n"
        "      - {product: cream, amount: 2 finger-tip units, as-needed: true, at-most: 2 per day}\n",
    )
    for sentence in (
        "Monday and Thursday. At 22:15.",
        "Rinse it off after 2 minutes.",
        "Wait one hour and 30 minutes.",
        "How much: three drops (about 0.15 g). Where: face and neck. Not here: area around the eyes. On damp skin.",
        "Wait until the skin is dry.",
        "Mix in the palm: Drops and Cream Where: hands.",
        "two finger-tip units (about 0.86–0.98 g)",
        "Only when it is needed. At most 2 times a day.",
        "Sunscreen comes last. Be generous: face and neck take about 1.4 g",
        "Remember the ears and the neck.",
        "Outdoors again at least every two hours",
    ):
        assert sentence in said, sentence


def test_what_stays_out_of_one_routine_and_why(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    body = "routines:\n" + MORNING
    body += "  - {slot: evening, days: [monday], steps: [wash, retinol]}\n"
    body += "  - {slot: evening, days: [friday], steps: [wash, acid]}\n"
    said = text_of(demo, tmp_path, body)
    assert "Not together" in said
    part = said.partition("Not together")[2]
    assert re.search(r"- (?:Retinol and Acid|Acid and Retinol) \w", part)


def test_what_the_plan_itself_joins_is_remarked_and_not_forbidden(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    body = "routines:\n" + MORNING + "  - {slot: evening, days: [monday], steps: [wash, acid, retinol]}\n"
    said = text_of(demo, tmp_path, body)
    assert "Not together" not in said
    assert "share a routine" in said.partition("Please keep in mind")[2]


def test_patch_tests_come_before_the_first_use(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    history = "history: [{product: wash, since: 2025-01-01}, {product: cream, since: 2025-01-01}]\n"
    steps = (
        "  - {slot: evening, days: [thursday], steps: [drops, gel]}\n  - {slot: evening, days: [friday], steps: [retinol]}\n"
    )
    said = text_of(demo, tmp_path, "routines:\n" + steps + history)
    assert "Drops: try it on a small spot first. Test from Monday, 23 February 2026 to Wednesday, 4 March 2026." in said
    # Prescribed, and a retinoid that would irritate anybody: ask.
    assert "Gel: ask whoever advised it whether and how to try it first." in said
    assert "Retinol: ask whoever advised it" in said
    assert "Cream: try" not in said


def test_products_have_their_dates(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "a.regimen.yaml"
    dated = HEAD.replace(
        "cream: {name", "cream: {opened: 2026-01-31, lasts-after-opening: 1 months, expires: 2027-01-01, name"
    ).replace("1 months", "1 month")
    path.write_text(dated + "routines: [{slot: evening, steps: [cream]}]\n", encoding="utf-8")
    said = " ".join(str(make(demo.plan_of(path), "text")).split())
    assert "Product Opened on Keeps after opening Use until Cream 31 January 2026 one month 28 February 2026" in said


WEEKS = "routines:\n  - {slot: morning, steps: [cream]}\n"
WEEKS += "  - {slot: evening, days: every 3 days, steps: [wash, {wait: 2 h}, acid]}\n"


def test_dated_turns_are_weeks_of_the_calendar(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    said = text_of(demo, tmp_path, WEEKS)
    assert "Comes again every 3 days. Evening: on the days marked “yes”. Morning: every day. " in said
    # 2 March 2026 is a Monday: 2, 5 and 8 March, then 11 and 14.
    assert "Week from Mo Tu We Th Fr Sa Su 2 March yes – – yes – – yes 9 March – – yes – – yes – 16 March" in said
    assert "Every 3 days, from Monday, 2 March 2026 on." in said
    assert "2. Wait 2 hours." in said


def test_letters_of_weeks_are_explained_and_their_phase_has_an_end(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    body = "phases:\n  - {for: 10 days, cycle: 2 days, routines: [{slot: evening, days: [1], steps: [wash, acid]},"
    body += " {slot: evening, days: [2], steps: [wash, {product: cream, amount: 1 g}]}]}\n"
    body += "  - {cycle: 1 day, routines: [{slot: evening, steps: [wash]}]}\n"
    said = text_of(demo, tmp_path, body)
    assert "From Monday, 2 March 2026. Lasts 10 days. Comes again every 2 days. " in said
    assert "Evening – A: with Acid; B: with Cream." in said
    assert "2 March A B A B A B A 9 March B A B Phase 2 at a glance" in said
    assert "From Thursday, 12 March 2026. Goes on in the same way. Day Evening Every day C: the basics" in said


def test_undated_turns_leave_a_line_for_their_first_day(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "a.regimen.yaml"
    path.write_text(HEAD.replace("starts: 2026-03-02\n", "") + WEEKS, encoding="utf-8")
    said = " ".join(str(make(demo.plan_of(path), "text")).split())
    assert "Comes again every 3 days. The date of day 1: ________ Day Morning Evening Day 1 yes yes Day 2 yes –" in said


@pytest.mark.parametrize(
    ("amount", "sentence"),
    [
        ("", "Be generous: face and neck take about 1.4 g, three strips as long as the top joint of the index finger."),
        (", amount: 1 g", "was tested with an amount that is about 1.4 g for face and neck."),
        (", amount: 1.5 g", ""),
    ],
)
def test_one_amount_of_sunscreen_is_said_and_not_two(demo, tmp_path: Path, amount: str, sentence: str) -> None:  # type: ignore[no-untyped-def]
    said = text_of(demo, tmp_path, f"routines: [{{slot: morning, steps: [{{product: shield{amount}}}]}}]\n")
    assert sentence in said
    assert ("about 1.4 g" in said) is bool(sentence)
    assert ("Be generous" in said) is (not amount)


def test_what_is_not_reckoned_is_named(demo, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    said = text_of(demo, tmp_path, "routines: [{slot: morning, steps: [wash, drops, shield]}]\n")
    assert "Not reckoned, as no amount is known: Wash and Drops." in said


@pytest.mark.parametrize("form", ["html", "text", "markdown"])
def test_what_is_to_be_avoided_is_on_it(demo, form: str) -> None:  # type: ignore[no-untyped-def]
    plan: HandOut = demo.plan("faults-of-every-kind.regimen.yaml")
    assert len(plan.avoid) == 4
    text = str(make(plan, form))
    assert "Not to be used as it stands" in text
    first = min(text.index(heading) for heading in ("At a glance", "Morning"))
    assert text.index("Not to be used as it stands") < first


def test_cautions_that_concern_the_regimen_are_on_it(demo) -> None:  # type: ignore[no-untyped-def]
    plan = demo.plan("monday-wednesday-friday-sunday.regimen.yaml")
    assert plan.avoid == ()
    assert plan.remarks
    text = " ".join(str(make(plan, "text")).split())
    for remark in plan.remarks:
        assert " ".join(remark.message.split()) in text


NEVER = re.compile(
    r"(?i)\bsafe(?:ly)?\b|\bharmless\b|no reason to worry|\bgefahrlos\b|\bunbedenklich\b|\bveilig\b|\bsans danger\b|"
    r"\bsegur[oa]s?\b|stop taking|stop the medicine|stop using (?:the|your) prescri"
)


def test_no_sentence_calls_anything_safe_or_tells_to_stop_a_prescription() -> None:
    room = CATALOGUES.parent
    for path in [*room.glob("telling*.py"), *room.glob("said.py"), *CATALOGUES.glob("*.po")]:
        assert NEVER.findall(path.read_text(encoding="utf-8")) == [], path.name


def test_the_shortest_turn() -> None:
    assert shortest_turn(range(0, 14, 2), 14, None) == Turn(2, (0,))
    assert shortest_turn(range(7), 7, None) == Turn(1, (0,))
    assert shortest_turn([0, 3], 7, None) == Turn(7, (0, 3))
    assert shortest_turn([], 7, None) == Turn(1, ())
    assert shortest_turn([0, 2, 4], 7, 5) == Turn(2, (0,))
    assert Turn(1, (0,)).daily
