"""Results of very many files: on the disk, in pieces to the report, and the same as in memory."""

from __future__ import annotations

import json
import tracemalloc
from datetime import date
from pathlib import Path

import pytest

from dermalint import review as engine
from dermalint.cli.main import run
from dermalint.report import json_report, text_report
from dermalint.report.page import Page
from dermalint.report.tally import count, without_possible
from dermalint.review import Asked, review_paths
from dermalint.verdict.report_model import FileResult, Review
from dermalint.verdict.stored import ChangedResults, StoredResults, changed, packed, unpacked
from dermalint_grammar.record import replace

HOT = """regimen: Hot NUMBER
people:
  ida: {age: 40}
  jo: {age: 12, reacts: x}
products:
  acid: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  cream: {kind: treatment, base: emulsion, contains: {retinol: 0.3 %}}
routines:
  - {slot: evening, steps: [acid, cream]}
"""
ASKED = Asked(as_of=date(2026, 3, 2), cache=False)


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lib").mkdir()
    for number in range(6):
        (tmp_path / "lib" / f"{number}.regimen.yaml").write_text(HOT.replace("NUMBER", str(number)))
    (tmp_path / "lib" / "7.regimen.yaml").write_text("regimen: [\n")
    return tmp_path


@pytest.fixture
def on_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "FILES_KEPT_ON_THE_DISK", 3)


def both(monkeypatch: pytest.MonkeyPatch, **asked: object) -> tuple[Review, Review]:
    here = review_paths(["lib"], replace(ASKED, **asked))
    monkeypatch.setattr(engine, "FILES_KEPT_ON_THE_DISK", 3)
    there = review_paths(["lib"], replace(ASKED, **asked))
    assert isinstance(here.files, tuple)
    return here, there


@pytest.mark.parametrize("processes", [1, 2])
@pytest.mark.usefixtures("library")
def test_results_on_the_disk_are_those_in_memory(processes: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "FILES_THAT_PAY_FOR_A_PROCESS", 2)
    here, there = both(monkeypatch, jobs=processes)
    assert isinstance(there.files, StoredResults)
    assert tuple(there.files) == here.files
    assert len(there.files) == len(here.files) > 6
    assert there.files[0] == here.files[0]
    assert there.files[-1] == here.files[-1]
    assert there.files[1:3] == here.files[1:3]
    with pytest.raises(IndexError):
        there.files[len(here.files)]
    # Two walks at once do not disturb each other.
    assert [one == other for one, other in zip(there.files, iter(there.files), strict=True)] == [True] * len(here.files)


@pytest.mark.usefixtures("library")
def test_reports_and_counts_are_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    here, there = both(monkeypatch)
    assert count(there) == count(here)
    assert json_report.render(there) == json_report.render(here)
    assert text_report.render(there) == text_report.render(here)
    assert "".join(text_report.pieces(here, Page())) == text_report.render(here)
    fewer = without_possible(there)
    assert isinstance(fewer.files, ChangedResults)
    assert tuple(fewer.files) == without_possible(here).files
    assert fewer.files[2:4] == without_possible(here).files[2:4]
    assert fewer.files[1] == without_possible(here).files[1]


@pytest.mark.parametrize("as_", ["text", "json", "sarif", "fhir"])
@pytest.mark.parametrize(
    "more", [[], ["--quiet"], ["--possible", "hide"], ["--known", "known.json"], ["--to", "out"], ["--jobs", "2"]]
)
def test_the_command_says_the_same(
    as_: str, more: list[str], library: Path, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    assert run(["review", "lib", "--as-of", "2026-03-02", "--write-known", "known.json", "--no-cache"]) == 2
    known = json.loads((library / "known.json").read_text())
    (library / "known.json").write_text(json.dumps({**known, "findings": known["findings"][::2]}))
    capfdbinary.readouterr()

    def said() -> tuple[int, bytes, bytes]:
        status = run(["review", "lib", "--as-of", "2026-03-02", "--no-cache", "--as", as_, *more])
        out = library / "out"
        return status, capfdbinary.readouterr().out, out.read_bytes() if out.exists() else b""

    here = said()
    monkeypatch.setattr(engine, "FILES_KEPT_ON_THE_DISK", 3)
    assert said() == here


@pytest.mark.usefixtures("on_the_disk")
def test_a_page_that_draws_the_week_and_a_comparison_take_them_too(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["review", "lib", "--as", "html", "--no-cache"]) == 2
    assert "Hot 5" in capsys.readouterr().out
    (library / "house.rules").write_text(
        'pack house 1.0.0\nuses core, substances\n\nrule calm caution\n  never use retinol.\n  why "House."\n'
        '  advise "House."\n  source practice "House rule."\n  breaks  evening: retinol 0.3 %\n  holds   evening: moisturiser\n'
    )
    assert run(["impact", "lib", "--after", "house.rules", "--as", "json"]) == 2  # one file cannot be read
    assert json.loads(capsys.readouterr().out)["summary"]["gained"] == 12


def test_what_is_packed_comes_back() -> None:
    result = FileResult("a", None, None, None, "usual", (), (), {}, False)
    assert unpacked(packed(result)) == result
    assert changed((result,), lambda one: replace(one, path="b")) == (replace(result, path="b"),)


def test_memory_does_not_grow_with_the_number_of_results() -> None:
    result = FileResult("a", "x" * 10_000, None, None, "usual", (), (), {})
    stored = StoredResults()
    tracemalloc.start()
    for number in range(300):
        stored.append_packed(packed(replace(result, path=str(number))))
    assert [one.path for one in stored] == [str(number) for number in range(300)]
    held, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert held < 300_000  # of three million bytes
