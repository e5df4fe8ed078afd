"""Examples in compact notation."""

from __future__ import annotations

from grammar_trees import HERE, ONE, last, read_rule, strip_places

from dermalint_grammar.nodes import Example, ExampleEvent, ExampleRoutine, ExampleStep, Given, Name, Remark
from dermalint_grammar.parse import parse_example


def read(text: str) -> Example:
    example: Example = strip_places(parse_example(text))
    return example


def step(name: str, strength: float | None = None, *remarks: Remark) -> ExampleStep:
    billionths = None if strength is None else round(strength * ONE)
    return ExampleStep(Name(name, HERE), billionths, remarks, None, HERE)


def remark(kind: str, word: str, value: float | None = None) -> Remark:
    return Remark(kind, word, None if value is None else round(value * ONE), None, HERE)


def evening(*steps: ExampleStep, day: int | None = None, weekday: bool = False) -> ExampleRoutine:
    return ExampleRoutine(day, weekday, "evening", steps, HERE)


def test_routines_of_two_days() -> None:
    assert read("monday evening: glycolic-acid 7 %; sunday evening: retinol 0.3 %").parts == (
        evening(step("glycolic-acid", 7), day=1, weekday=True),
        evening(step("retinol", 0.3), day=7, weekday=True),
    )


def test_a_day_of_the_cycle_and_an_event() -> None:
    assert read("day 12 evening: retinol; event waxing on day 3").parts == (
        evening(step("retinol"), day=12),
        ExampleEvent("waxing", 3, HERE),
    )


def test_remarks_and_a_wait() -> None:
    text = "evening: glycolic-acid 7 % (toner, base water, ph 3.6), wait 10 minutes, moisturiser"
    assert read(text).parts == (
        evening(
            step("glycolic-acid", 7, remark("content", "toner"), remark("base", "water"), remark("measure", "ph", 3.6)),
            ExampleStep(None, None, (), last(10, "minute"), HERE),
            step("moisturiser"),
        ),
    )


def test_every_other_remark() -> None:
    text = (
        "evening: a (rinsed), a (left-on), a (timed 10 minutes), a (on lips), a (spf 30), a (used 3 months), a (new), "
        "a (prescribed), a (encapsulated), a (made-up), a (as-needed), a (niacinamide 4 %)"
    )
    (routine,) = read(text).parts
    assert isinstance(routine, ExampleRoutine)
    assert [one.remarks[0] for one in routine.steps] == [
        remark("contact", "rinsed"),
        remark("contact", "left-on"),
        Remark("contact", "timed", None, last(10, "minute"), HERE),
        remark("area", "lips"),
        remark("measure", "spf", 30),
        Remark("used", "used", None, last(3, "month"), HERE),
        remark("mark", "new"),
        remark("mark", "prescribed"),
        remark("mark", "encapsulated"),
        remark("mark", "made-up"),
        remark("mark", "as-needed"),
        remark("content", "niacinamide", 4),
    ]


def test_givens() -> None:
    text = (
        "person pregnant, age 30 years, takes isotretinoin, allergic to aspirin, reason acne, phototype 2: region eu: "
        "as-of 2027-06-01: for 9 weeks: cycle 4 days: evening: hydroquinone 4 %"
    )
    assert read(text).givens == (
        Given("trait", "pregnant", None, None, HERE),
        Given("age", "", None, last(30, "year"), HERE),
        Given("takes", "isotretinoin", None, None, HERE),
        Given("allergic", "aspirin", None, None, HERE),
        Given("reason", "acne", None, None, HERE),
        Given("phototype", "", 2, None, HERE),
        Given("region", "eu", None, None, HERE),
        Given("as-of", "2027-06-01", None, None, HERE),
        Given("for", "", None, last(9, "week"), HERE),
        Given("cycle", "", 4, last(4, "day"), HERE),
    )


def test_a_file_beside_the_pack() -> None:
    assert read('file "examples/ramp.regimen.yaml"') == Example(True, (), (), "examples/ramp.regimen.yaml", HERE)


def test_breaks_and_holds_in_a_rule() -> None:
    rule = read_rule("never use a", 'breaks evening: a holds morning: b breaks file "x.regimen.yaml"')
    assert [(example.breaks, example.file) for example in rule.examples] == [
        (True, None),
        (False, None),
        (True, "x.regimen.yaml"),
    ]


def test_names_that_look_like_words() -> None:
    assert read("after-gym: mask, day-fluid, use-it, routine").parts == (
        ExampleRoutine(None, False, "after-gym", (step("mask"), step("day-fluid"), step("use-it"), step("routine")), HERE),
    )
