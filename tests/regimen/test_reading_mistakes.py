"""Every mistake at its place, in the words of the table, and nothing else said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from dermalint.regimen.model import ERROR, Reading
from dermalint.regimen.read import read_regimen

from .conftest import Reader

CASES: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "mistakes.yaml").read_text(encoding="utf-8"))


def said(reading: Reading) -> list[dict[str, str | None]]:
    found = []
    for problem in reading.problems:
        assert problem.place is not None
        position = reading.sources[problem.place.path or reading.path].position(problem.place.start)
        found.append(
            {
                "level": problem.level,
                "at": f"{position.line}:{position.column}",
                "pointer": problem.place.pointer,
                "says": problem.message,
                "suggests": problem.suggestion,
            }
        )
    return found


@pytest.mark.parametrize("case", CASES, ids=[case["case"] for case in CASES])
def test_a_mistake_is_shown_at_its_place(case: dict[str, Any], read: Reader) -> None:
    assert said(read(case["text"], case["ending"])) == case["problems"]


def test_the_table_is_large() -> None:
    assert len(CASES) > 120
    assert {case["ending"] for case in CASES} == {"yaml", "json", "toml"}


def test_a_mistake_loses_only_its_own_value(read: Reader) -> None:
    reading = read(
        "regimen: T\n"
        "products:\n"
        "  toner: {kind: toner, ph: high, spf: 20}\n"
        "  cream: {contains: {retinol: 8}}\n"
        "routines:\n"
        "  - {slot: evning, steps: [toner]}\n"
        "  - {slot: evening, steps: [toneer, wait: 5, {product: cream, skin: wet, areas: [face]}]}\n"
        "  - {slot: morning, days: [monday, thirsday], steps: [toner]}\n"
    )
    (regimen,) = reading.regimens
    assert [problem.level for problem in reading.problems] == [ERROR] * 7
    toner, cream = regimen.products["toner"], regimen.products["cream"]
    assert (toner.kinds[0].name, toner.ph, toner.spf) == ("toner", None, 20_000_000_000)
    assert [(content.name, content.strength) for content in cream.contains] == [("retinol", None)]
    evening, morning = regimen.phases[0].routines
    (step,) = evening.steps
    assert [area.name for area in step.areas] == ["face"]  # type: ignore[union-attr]
    assert morning.days.weekdays == (1,)


@pytest.mark.parametrize(
    ("content", "line", "column", "word"),
    [
        (b"regimen: T\nabout: caf\xe9 au lait\n", 2, 11, "0xE9"),
        (b"\xef\xbb\xbfregimen: \xc3\xa9\xff\n", 1, 11, "0xFF"),
        ("regimen: T\n".encode("utf-16"), 1, 1, "UTF-16"),
        ("regimen: T\n".encode("utf-16-be"), 1, 1, "UTF-16"),
        (b"regimen: T\n" + b"#" * 4_000_000, 1, 1, "4,000,000"),
    ],
)
def test_bytes_that_are_no_text(content: bytes, line: int, column: int, word: str, read: Reader) -> None:
    reading = read(content)
    (problem,) = reading.problems
    assert reading.regimens == ()
    assert problem.place is not None
    assert reading.sources[reading.path].position(problem.place.start) == (line, column)
    assert word in problem.message
    assert problem.suggestion


def test_files_that_are_not_there(tmp_path: Path) -> None:
    (tmp_path / "folder.yaml").mkdir()
    (tmp_path / "notes.txt").write_text("regimen: T\n", encoding="utf-8")
    for name, word in (
        ("none.yaml", "no file"),
        ("folder.yaml", "folder"),
        ("notes.txt", "no regimen file"),
        ("a\0.yaml", "cannot"),
    ):
        reading = read_regimen(tmp_path / name, shown=name)
        (problem,) = reading.problems
        assert (problem.level, problem.place, reading.regimens, dict(reading.sources)) == (ERROR, None, (), {})
        assert word in problem.message


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "locked.yaml"
    path.write_text("regimen: T\n", encoding="utf-8")
    monkeypatch.setattr(Path, "open", refuse)
    (problem,) = read_regimen(path, shown="locked.yaml").problems
    assert "may not be read" in problem.message


def test_aliases_stand_for_values_and_not_for_too_many(read: Reader) -> None:
    reading = read(
        "regimen: T\n"
        "products:\n"
        "  toner: &wet {kind: toner, base: water}\n"
        "  essence: *wet\n"
        "routines: [{slot: evening, steps: [toner, essence]}]\n"
    )
    (regimen,) = reading.regimens
    assert reading.problems == ()
    base = regimen.products["essence"].base
    assert base is not None
    assert (base.name, base.place.pointer) == ("water", "/products/essence/base")
    lines = ["regimen: T", "a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    (problem,) = read("\n".join(lines)).problems
    assert "200,000 values" in problem.message
