"""The published schema: valid itself, and of one mind with the reader."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import dermalint.regimen
from dermalint.regimen import build, history, person, products, routines, steps, surroundings, wishes
from dermalint.regimen.model import ERROR
from dermalint.regimen.notes import Notes
from dermalint.regimen.tree import Mapping, Node, Scalar
from dermalint.regimen.yaml_text import read_yaml

from .conftest import Reader

SCHEMA: dict[str, Any] = json.loads(
    (Path(dermalint.regimen.__file__).parent / "regimen.schema.json").read_text(encoding="utf-8")
)
SAMPLES = Path(__file__).parent / "samples"
CHECK = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)

HEAD = "regimen: T\nproducts: {toner: {kind: toner}, cream: {kind: moisturiser}}\n"
TAIL = "routines: [{slot: evening, steps: [toner, cream]}]\n"


def plain(node: Node) -> Any:
    """What an editor makes of a YAML text (the core schema of YAML 1.2)."""
    if isinstance(node, Mapping):
        return {name: plain(entry.value) for name, entry in node.entries.items()}
    if not isinstance(node, Scalar):
        return [plain(item) for item in node.items]
    if not node.plain:
        return node.text
    if node.empty:
        return None
    if re.fullmatch(r"true|True|TRUE|false|False|FALSE", node.text):
        return node.text.lower() == "true"
    if re.fullmatch(r"[-+]?[0-9]+", node.text):
        return int(node.text)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", node.text):
        return float(node.text)
    return node.text


def schema_accepts(text: str) -> bool:
    return bool(CHECK.is_valid(plain(read_yaml(text, Notes()))))


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.yaml")), ids=lambda path: path.name)
def test_the_samples_are_valid(path: Path) -> None:
    found = plain(read_yaml(path.read_text(encoding="utf-8"), Notes()))
    assert [error.message for error in CHECK.iter_errors(found)] == []


def test_the_schema_has_the_readers_fields() -> None:
    kinds = SCHEMA["$defs"]

    def fields(name: str, number: int | None = None) -> set[str]:
        kind = kinds[name] if number is None else kinds[name]["anyOf"][number]
        return set(kind["properties"])

    assert set(SCHEMA["properties"]) == set(build.FIELDS)
    assert fields("someone") == set(build.OWN_FIELDS)
    assert fields("product") == set(products.FIELDS)
    assert fields("person") == set(person.FIELDS)
    assert fields("routine") == set(routines.ROUTINE_FIELDS)
    assert fields("phase") == set(routines.PHASE_FIELDS)
    assert fields("step", 1) | fields("step", 3) == set(steps.FIELDS)
    assert fields("event") == set(surroundings.EVENT_FIELDS)
    assert fields("outdoors") == set(surroundings.OUTDOOR_FIELDS)
    assert fields("past", 0) == set(history.USE_FIELDS)
    assert fields("past", 1) == set(history.TEST_FIELDS)
    assert fields("waiver") == set(history.WAIVER_FIELDS)
    assert fields("wish") == set(wishes.WISH_FIELDS)


def test_everything_that_can_be_written_is_described() -> None:
    silent = [
        name
        for kind in (SCHEMA, *SCHEMA["$defs"].values())
        for option in (kind, *kind.get("anyOf", ()))
        for name, field in option.get("properties", {}).items()
        if "description" not in field and not str(field.get("$ref", "")).startswith("#/")
    ]
    assert silent == []


# Fields of one thing, one a line; what stands before `=>` says of which.
GOOD = """
product => contains: {retinol: 0.3 %, squalane: }
product => contains: {retinol: 100%}
product => contains: [retinol, {squalane: 1.5 %}]
product => contains: retinol
product => contact: left-on
product => contact: {timed: 10 min}
product => {kind: [serum, toner], ph: 3.8, spf: 50}
product => {ph: "3.8", spf: "50", filters: both, form: encapsulated}
product => {prescribed: true, made-up: False, broad-spectrum: TRUE}
product => {opened: 2026-02-01, lasts-after-opening: 1.5 years}
product => {name: 7}
product => {}
step => cream
step => wait: 20 min
step => wait: {until: skin is dry}
step => until: skin is dry
step => {product: cream, areas: face, except: [eye-area], amount: 1}
step => {mix: [cream, toner], skin: damp}
step => {product: cream, as-needed: true, at-most: 2 times per day}
step => {product: cream, repeat: every 2 hours, until: 18:00}
routine => days: every
routine => days: monday
routine => days: 3
routine => days: [1, 3]
routine => days: ["1", "3"]
routine => days: [monday, sunday]
routine => days: every 2 days
routine => days: every monday
routine => days: not tuesday
routine => days: not [tuesday, friday]
routine => days: not tuesday and friday
routine => days: {every: 2 days}
routine => at: 7:05
routine => only-if: going out
top => cycle: 1 week
top => person: {age: 34, phototype: 3}
top => person: {age: 4 months, phototype: VI, traits: {pregnant: week 20}}
top => person: {age: 1.5, symptoms: [{peeling: 2026-02-14}, {redness: }]}
top => person: {takes: isotretinoin}
top => day: {morning: 07:00, late: {at: 23:30, counts-as: evening}}
top => events: [{event: shaving, slot: morning}]
top => events: [{event: shaving, days: [monday], at: 08:00}]
top => outdoors: [{days: every, from: 08:30}]
top => history: []
top => history: [{product: cream, uses: 3 per week}, {product: toner, uses: every 2 days}]
top => history: [{product: cream, uses: 2 per 10 days}]
top => history: [{patch-test: cream, days: 2, contact: {timed: 1 h}, reaction: none}]
top => waivers: [{rule: a.b, reason: x}, {topics: timing, products: cream, reason: y}]
top => stance: strict
"""

BAD = """
product => contains: {retinol: 8}
product => contains: {retinol: "8"}
product => contains: {retinol: 0 %}
product => contains: {retinol: 101 %}
product => contains: {retinol: -1 %}
product => contains: {retinol: 1e1 %}
product => contact: rinse
product => contact: timed
product => contact: {timed: 10}
product => contact: {timed: 0 min}
product => contact: {timed: 1 min, rinsed: 1 min}
product => contact: {left-on: 1 min}
product => {ph: 15}
product => {ph: -1}
product => {ph: 3.8 %}
product => {ph: }
product => {spf: 0}
product => {spf: 50.5}
product => {spf: 50+}
product => {filters: minerals}
product => {prescribed: yes}
product => {prescribed: "true"}
product => {opened: 2026-02-30}
product => {opened: 1.2.2026}
product => {lasts-after-opening: 12}
product => {lasts-after-opening: 6 weeks}
product => {kinds: serum}
product => just text
product => []
step => wait: 20
step => wait: 20 days
step => wait: {until: morning}
step => until: skin is wet
step => {areas: [face]}
step => {product: cream, mix: [cream, toner]}
step => {mix: [cream]}
step => {product: cream, wait: 5 min}
step => {product: cream, at-most: 1}
step => {product: cream, at-most: 0 per day}
step => {product: cream, repeat: 2 hours, until: 18:00}
step => {product: cream, repeat: every 2 hours}
step => {product: cream, until: 18:00}
step => {product: cream, as-needed: maybe}
step => {product: cream, area: face}
step => [cream]
routine => days: never
routine => days: []
routine => days: [monday, every]
routine => days: every 2
routine => days: every 0 days
routine => days: {anchor: 2026-03-02}
routine => at: 25:00
routine => at: 7:5
routine => only-if:
routine => at: 9 pm
routine => when: evening
top => cycle: 7
top => cycle: 0 days
top => cycle: any up to 8 days
top => phases: [{routines: []}]
top => person: {age: young}
top => person: {age: 131}
top => person: {age: -1}
top => person: {phototype: 7}
top => person: {phototype: iii}
top => person: {symptoms: [{peeling: yesterday}]}
top => person: {takes: [{since: 2026-01-01}]}
top => day: {evening: late}
top => day: {late: 23:30}
top => day: {late: {at: 23:30}}
top => events: [{event: waxing}]
top => events: [{on: 2026-03-14}]
top => events: [{event: waxing, slot: morning, on: 2026-03-14}]
top => events: [{event: waxing, slot: morning, times: 3}]
top => events: {event: waxing}
top => outdoors: [{}]
top => outdoors: [{behind: glass}]
top => outdoors: [{indoors: yes}]
top => history:
top => history: [{product: cream, uses: often}]
top => history: [{patch-test: cream, reaction: no}]
top => history: [{patch-test: cream, hours: 24, days: 1}]
top => history: [{patch-test: cream, hours: 0}]
top => history: [{since: 2026-01-01}]
top => waivers: [{rule: a.b}]
top => waivers: [{reason: x}]
top => waivers: [{topics: [timing], reason: x}]
top => waivers: [{topics: [time], products: [cream], reason: x}]
top => stance: strikt
top => starts: next monday
top => zzz: 1
top => people: {}
"""


def lines(table: str) -> list[str]:
    return [line for line in table.splitlines() if line]


def file_of(line: str) -> str:
    where, _, what = line.partition(" => ")
    if where == "top":
        return HEAD + TAIL + what + "\n"
    if where == "product":
        return f"regimen: T\nproducts:\n  toner: {{kind: toner}}\n  cream:\n    {what}\n{TAIL}"
    if where == "step":
        return f"{HEAD}routines:\n  - slot: evening\n    steps:\n      - toner\n      - {what}\n      - cream\n"
    return f"{HEAD}routines:\n  - slot: evening\n    steps: [toner, cream]\n    {what}\n"


@pytest.mark.parametrize("line", lines(GOOD))
def test_both_accept(line: str, read: Reader) -> None:
    text = file_of(line)
    assert [problem.message for problem in read(text).problems] == []
    assert schema_accepts(text)


@pytest.mark.parametrize("line", lines(BAD))
def test_both_refuse(line: str, read: Reader) -> None:
    text = file_of(line)
    assert any(problem.level == ERROR for problem in read(text).problems)
    assert not schema_accepts(text)


@pytest.mark.parametrize("text", ["products: {}\n" + TAIL, "regimen: T\n" + TAIL, HEAD, "regimen: T\n", "[]\n", "text\n"])
def test_both_miss_what_is_missing(text: str, read: Reader) -> None:
    assert any(problem.level == ERROR for problem in read(text).problems)
    assert not schema_accepts(text)
