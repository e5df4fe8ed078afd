"""What is written is read back as it was, but for places."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings

from dermalint.regimen.model import ERROR, Regimen
from dermalint.regimen.read import read_regimen, read_regimen_bytes
from dermalint.regimen.write import write_regimen
from dermalint.spans import Place
from dermalint.testing.regimens import regimen_texts
from dermalint_grammar.record import Record, fields_of

SAMPLES = Path(__file__).parent / "samples"
NAME = Path("written.regimen.yaml")


def bare(value: Any) -> Any:
    """Without places."""
    if isinstance(value, Place):
        return None
    if isinstance(value, Record):
        return (type(value).__name__, *(bare(getattr(value, name)) for name in fields_of(value)))
    if isinstance(value, dict):
        return {key: bare(item) for key, item in value.items()}
    return tuple(map(bare, value)) if isinstance(value, tuple) else value


def read_back(regimen: Regimen) -> Regimen:
    reading, _ = read_regimen_bytes(write_regimen(regimen).encode(), NAME, shown="written")
    assert [problem.message for problem in reading.problems if problem.level == ERROR] == []
    (found,) = reading.regimens
    return found


@pytest.mark.parametrize("name", ["full", "people", "wishes", "programme"])
def test_a_file_of_every_field_comes_back(name: str) -> None:
    path = SAMPLES / f"{name}.regimen.yaml"
    if name == "programme":
        reading, _ = read_regimen_bytes(PROGRAMME.encode(), NAME, shown=name)
    else:
        reading = read_regimen(path, shown=name, root=SAMPLES)
    assert [problem.message for problem in reading.problems if problem.level == ERROR] == []
    for regimen in reading.regimens:
        assert bare(read_back(regimen)) == bare(regimen)


PROGRAMME = """
regimen: "Colons: and # signs, 'quotes' and \\"quotes\\" – \\u0007 \\U0001F600"
starts: 2026-03-02
person: {age: 7 months, takes: [{substance: isotretinoin, since: 2026-01-10, until: 2026-06-10}], traits: [{pregnant: week 20}]}
products:
  a: {name: "true", kind: [serum, toner], ph: 3.85, contains: {retinol: 0.3 %, squalane: }, contact: {rinsed: 2 min}}
  b: {name: "- b", contains: [retinol], ingredients: "Aqua, Glycolic Acid", form: encapsulated, broad-spectrum: false}
day: {morning: "06:05", bed: "23:30", late: {at: "23:00", counts-as: evening}}
phases:
  - for: 10 days
    cycle: 3 days
    routines: [{slot: late, days: not 2, steps: [a, {wait: 5 min}, {wait: {until: skin is dry}}, b]}]
  - for: 3 weeks
    cycle: 7 days
    routines:
      - {slot: morning, days: {every: 2 days, anchor: 2026-03-03}, at: "07:45", only-if: going out, steps: [{mix: [a, b]}]}
      - {slot: midday, days: "not [monday, friday]", steps: [{product: a, repeat: every 90 min, until: "18:00", areas: [lips]}]}
  - cycle: 7 days
    routines:
      - slot: evening
        dates: [2026-06-01]
        steps: [{product: a, contact: {timed: 10 min}, as-needed: true, at-most: 2 per day}]
wishes:
  - {product: a, evenings: "1 to 2 per week, not before b", prefer: [monday, the evening before a rest], priority: 2}
  - {product: b, ramp: [1 per week for 2 weeks, 1 to 2 per 10 days for 10 days, then every 3 days], after: 4 weeks}
  - {keep-free: [sunday evening, day 3, morning], priority: 1}
  - {introduce: 2 weeks}
events:
  - {event: shaving, slot: morning, days: monday, areas: [legs]}
  - {event: waxing, every: 18 days, from: 2026-04-01, times: 6}
outdoors: [{days: every, from: "08:30", to: "09:10", behind: window}, {dates: 2026-09-06, indoors: true}, {covered: legs}]
history:
  - {product: a, since: 2025-11-01, uses: every 2 days}
  - {patch-test: b, from: 2026-02-20, days: 2, contact: {timed: 10 min}, protocol: label, reaction: mild, times-a-day: 2}
waivers: [{topics: [timing], products: [a], reason: "Sheet: \\u00e9 [1]", by: clinic, until: 2026-09-30}]
"""


@settings(max_examples=150, deadline=None)
@given(regimen_texts())
def test_any_regimen_comes_back(text: str) -> None:
    reading, _ = read_regimen_bytes(text.encode(), NAME, shown="given")
    for regimen in reading.regimens:
        found = read_back(regimen)
        assert bare(found) == bare(regimen)
        assert write_regimen(found) == write_regimen(regimen)
