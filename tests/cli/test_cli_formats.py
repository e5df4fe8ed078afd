"""``--as sarif``, ``html`` and ``fhir``: what is asked of the engine, where the document goes, and how the run ends."""

from __future__ import annotations

import json
from pathlib import Path

import build_review as built
import pytest
from stand_in_engine import Engine

from dermalint.cli.main import run
from dermalint.regimen.model import ERROR, Problem
from dermalint.report.remarks import CARE
from dermalint.spans import Place
from dermalint.verdict.findings import POSSIBLE
from dermalint.verdict.report_model import Review
from dermalint_grammar.record import replace

FORMATS = ("sarif", "html", "fhir")

CAUTION = built.finding(Place(0, 7))
MAYBE = built.finding(Place(0, 7), certainty=POSSIBLE, severity="avoid")
MISTAKE = Problem(ERROR, "No such date.")


def review_of(*findings: object, problems: tuple[Problem, ...] = ()) -> Review:
    return built.review(built.file_result(findings=findings, problems=problems))


@pytest.mark.parametrize("format_", FORMATS)
@pytest.mark.parametrize(
    ("review", "options", "status"),
    [
        (review_of(), [], 0),
        (review_of(CAUTION), [], 1),
        (review_of(CAUTION), ["--fail-at", "avoid"], 0),
        (review_of(MAYBE), [], 0),
        (review_of(MAYBE), ["--possible", "fail"], 1),
        (review_of(CAUTION, problems=(MISTAKE,)), [], 2),
        (built.review(built.unreadable()), [], 2),
        (replace(review_of(CAUTION), problems=(replace(MISTAKE, plugin="house"),)), [], 3),
    ],
)
def test_exit_status(format_: str, review: Review, options: list[str], status: int, engine: Engine) -> None:
    engine.answer = review
    assert run(["review", "x", "--as", format_, *options]) == status


@pytest.mark.parametrize("format_", ["text", "json", *FORMATS])
def test_only_the_page_asks_for_the_regimen_laid_out(format_: str, engine: Engine) -> None:
    engine.answer = review_of()
    run(["review", "x", "--as", format_])
    assert engine.asked is not None
    assert engine.asked.plan is (format_ == "html")


@pytest.mark.parametrize("format_", FORMATS)
def test_to_a_file(format_: str, engine: Engine, tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    engine.answer = built.review(built.wide())
    assert run(["review", "x", "--as", format_]) == 1
    printed = capfdbinary.readouterr().out
    target = tmp_path / "report.out"
    assert run(["review", "x", "--as", format_, "--to", str(target)]) == 1
    assert target.read_bytes() == printed
    assert "夜用クリーム" in printed.decode("utf-8")
    said = " ".join(capfdbinary.readouterr().out.decode("utf-8").split())
    assert said.startswith("The report is in ")
    assert said.endswith(CARE)
    assert run(["review", "x", "--as", format_, "--to", str(target), "--quiet"]) == 1
    assert capfdbinary.readouterr() == (b"", b"")


def test_sarif_tells_the_status_and_takes_what_fails_at_its_word(
    engine: Engine, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    engine.answer = review_of(MAYBE)
    for options, status, kind in (([], 0, "open"), (["--possible", "fail"], 1, "fail")):
        run(["review", "x", "--as", "sarif", *options])
        (sarif,) = json.loads(capfdbinary.readouterr().out)["runs"]
        assert sarif["invocations"][0]["exitCode"] == status
        assert sarif["results"][0]["kind"] == kind
    run(["review", "x", "--as", "sarif", "--possible", "hide"])
    (sarif,) = json.loads(capfdbinary.readouterr().out)["runs"]
    assert sarif["results"] == []


def test_the_page_says_what_it_hides(engine: Engine, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    engine.answer = review_of(MAYBE)
    run(["review", "x", "--as", "html", "--possible", "hide"])
    assert "1 possible (1 not shown)" in capfdbinary.readouterr().out.decode("utf-8")
