"""``dermalint review``: what is asked of the engine, what is printed where, and with which status it ends."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import build_review as built
import pytest
from stand_in_engine import Engine

from dermalint.cli.exit_status import exit_status, failing
from dermalint.cli.main import run
from dermalint.packs.model import LinkedRule, LoadedPack, PackSet
from dermalint.regimen.model import ERROR, HINT, Problem
from dermalint.report.remarks import CARE
from dermalint.spans import Place
from dermalint.verdict.findings import POSSIBLE, Finding, Waived
from dermalint.verdict.report_model import Review
from dermalint.vocabulary.world import World
from dermalint_grammar.record import replace


def found(severity: str, **changes: object) -> Finding:
    return built.finding(Place(0, 7), severity=severity, **changes)


AVOID, CAUTION, ADVICE = found("avoid"), found("caution"), found("advice")
MAYBE = found("avoid", certainty=POSSIBLE)
WAIVED = found("avoid", waived=Waived("agreed", None, None))
SUSPENDED = found("avoid", suspended_by="a.b")
MISTAKE, HINTED = Problem(ERROR, "No such date."), Problem(HINT, "Never used.")


def review_of(*findings: Finding, problem: Problem | None = None) -> Review:
    return built.review(built.file_result(findings=findings, problems=(problem,) if problem else ()))


@pytest.mark.parametrize(
    ("review", "fail_at", "possible", "status"),
    [
        (review_of(), "caution", "show", 0),
        (review_of(AVOID), "caution", "show", 1),
        (review_of(AVOID), "avoid", "show", 1),
        (review_of(AVOID), "never", "show", 0),
        (review_of(CAUTION), "caution", "show", 1),
        (review_of(CAUTION), "avoid", "show", 0),
        (review_of(ADVICE), "caution", "show", 0),
        (review_of(ADVICE), "advice", "show", 1),
        (review_of(MAYBE), "advice", "show", 0),
        (review_of(MAYBE), "advice", "hide", 0),
        (review_of(MAYBE), "avoid", "fail", 1),
        (review_of(replace(MAYBE, severity="caution")), "avoid", "fail", 0),
        (review_of(MAYBE), "never", "fail", 0),
        (review_of(WAIVED, SUSPENDED), "advice", "fail", 0),
        (review_of(replace(MAYBE, waived=WAIVED.waived)), "advice", "fail", 0),
        (review_of(problem=HINTED), "advice", "fail", 0),
        (review_of(problem=MISTAKE), "never", "show", 2),
        (review_of(AVOID, problem=MISTAKE), "caution", "show", 2),
        (built.review(built.file_result(), built.unreadable()), "never", "show", 2),
        (built.review(built.file_result(), replace(built.unreadable(), problems=())), "never", "show", 2),
        (built.review(), "caution", "show", 2),
        (replace(review_of(AVOID), problems=(built.bad_pack(),)), "caution", "show", 2),
        (replace(review_of(AVOID), problems=(replace(MISTAKE, plugin="house"),)), "caution", "show", 3),
        (replace(review_of(AVOID), problems=(replace(HINTED, plugin="house"),)), "caution", "show", 1),
    ],
)
def test_exit_status(review: Review, fail_at: str, possible: str, status: int, engine: Engine) -> None:
    engine.answer = review
    assert exit_status(review, failing(fail_at, possible)) == status
    assert run(["review", "x", "--fail-at", fail_at, "--possible", possible]) == status
    assert run(["review", "x", "--fail-at", fail_at, "--possible", possible, "--as", "json", "--quiet"]) == status


def test_what_the_engine_is_asked(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    engine.answer = review_of()
    run(["review", "a.regimen.yaml", "b"])
    assert engine.paths == ("a.regimen.yaml", "b")
    assert engine.asked is not None
    assert engine.asked == type(engine.asked)((), (), (), None, None, None, 1)
    monkeypatch.setattr("dermalint.packs.load.load_packs", lambda *_, **__: known_packs())
    options = "--packs p --packs q --only acids --only night --without acids.peel --stance strict --region eu"
    run(["review", "x", *options.split(), "--as-of", "2027-06-01", "--jobs", "4"])
    assert engine.asked == type(engine.asked)(
        packs=(Path("p"), Path("q")),
        only=("acids", "retinoids.night"),
        without=("acids.peel",),
        stance="strict",
        region="eu",
        as_of=date(2027, 6, 1),
        jobs=4,
    )


def known_packs() -> PackSet:
    packs = tuple(LoadedPack(name, "1.0.0", "", "", "", "", "given") for name in ("acids", "retinoids"))
    rules = tuple(
        LinkedRule(name, name.partition(".")[0], "", None, (), None)
        for name in ("acids.peel", "acids.order", "retinoids.night", "retinoids.order")
    )
    return PackSet(World(regions={"eu": "", "uk": ""}), packs, rules, ())


@pytest.mark.parametrize(
    ("option", "value", "message", "hint"),
    [
        ("--only", "acid", "--only: there is no rule or pack “acid”.", "Did you mean acids?"),
        ("--without", "acids.peal", "--without: there is no rule or pack “acids.peal”.", "Did you mean acids.peel?"),
        ("--only", "nigth", "--only: there is no rule or pack “nigth”.", "Did you mean night?"),
        ("--only", "zzz", "--only: there is no rule or pack “zzz”.", "All names: dermalint rules"),
        ("--only", "order", "--only: more than one pack has a rule “order”.", "Say which: acids.order, retinoids.order"),
        ("--region", "eur", "--region: there is no region “eur”.", "Did you mean eu?"),
        ("--region", "mars", "--region: there is no region “mars”.", "Known: eu, uk"),
        ("--stance", "strickt", "--stance takes usual or strict, not “strickt”.", "Did you mean strict?"),
        ("--as", "jason", "--as takes text, json, sarif, html or fhir, not “jason”.", "Did you mean json?"),
        ("--fail-at", "warn", "--fail-at takes avoid, caution, advice or never, not “warn”.", ""),
        ("--possible", "fial", "--possible takes show, hide or fail, not “fial”.", "Did you mean fail?"),
        ("--as-of", "1 March", "--as-of takes a date, and “1 March” is none.", "Year, month, day: 2026-03-02"),
        ("--as-of", "2026-02-30", "--as-of takes a date, and “2026-02-30” is none.", "Year, month, day: 2026-03-02"),
        ("--as-of", "20260302", "--as-of takes a date, and “20260302” is none.", "Year, month, day: 2026-03-02"),
        ("--jobs", "0", "--jobs takes a whole number from 1 on, or auto, not “0”.", ""),
        ("--jobs", "²", "--jobs takes a whole number from 1 on, or auto, not “²”.", ""),
        ("--stanec", "usual", "There is no option --stanec.", "Did you mean --stance?"),
    ],
)
def test_wrong_calls(
    option: str,
    value: str,
    message: str,
    hint: str,
    engine: Engine,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    engine.answer = review_of()
    monkeypatch.setattr("dermalint.packs.load.load_packs", lambda *_, **__: known_packs())
    assert run(["review", "x", option, value]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    lines = said.err.splitlines()
    assert lines[0] == message
    assert hint in lines[1]
    assert lines[-1].startswith("All about this command: dermalint")
    assert engine.asked is None


@pytest.mark.parametrize("call", [["review"], ["review", "--quiet"], ["review", "x", "--packs"]])
def test_incomplete_calls(call: list[str], engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(call) == 2
    assert "dermalint review" in capsys.readouterr().err
    assert engine.asked is None


def test_text_ends_with_the_caution(engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answer = built.review(built.calm())
    assert run(["review", "x"]) == 1
    said = capsys.readouterr()
    assert said.err == ""
    assert " ".join(said.out.split()).endswith(CARE)
    assert "\x1b" not in said.out


def test_json_is_one_document(engine: Engine, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    engine.answer = built.review(built.wide())
    assert run(["review", "x", "--as", "json"]) == 1
    data = capsysbinary.readouterr().out
    assert json.loads(data.decode("utf-8"))["files"][0]["regimen"] == "夜のケア"
    assert data.endswith(b"}\n")


def test_possible_findings_can_be_hidden(engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answer = review_of(MAYBE)
    run(["review", "x"])
    assert "Possibly" in capsys.readouterr().out
    run(["review", "x", "--possible", "hide"])
    said = capsys.readouterr().out
    assert "Possibly" not in said
    assert "1 possible (1 not shown)" in said


def test_quiet_says_nothing_when_all_is_well(engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answer = review_of(ADVICE, WAIVED, problem=HINTED)
    assert run(["review", "x", "--quiet"]) == 0
    assert capsys.readouterr() == ("", "")


def test_quiet_shows_what_fails_and_nothing_else(engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answer = review_of(CAUTION, ADVICE, WAIVED, MAYBE, problem=HINTED)
    assert run(["review", "x", "--quiet"]) == 1
    said = capsys.readouterr().out
    assert "Caution │" in said
    for other in ("Advice │", "Hint │", "Set aside │", "Possibly"):
        assert other not in said


def test_to_a_file(engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    engine.answer = built.review(built.wide())
    target = tmp_path / "remarks.txt"
    assert run(["review", "x", "--to", str(target)]) == 1
    text = target.read_bytes().decode("utf-8")
    assert "夜用クリーム" in text
    assert "\x1b" not in text
    assert "\r" not in text
    said = capsys.readouterr().out
    assert "The report is in" in said
    assert "夜用クリーム" not in said
    assert run(["review", "x", "--to", str(target), "--as", "json", "--quiet"]) == 1
    assert json.loads(target.read_bytes())["format"] == "dermalint-findings/1"
    assert capsys.readouterr() == ("", "")


def test_a_report_never_replaces_a_regimen_or_rules(engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    regimen = tmp_path / "calm.regimen.yaml"
    regimen.write_text("regimen: Calm", encoding="utf-8")
    engine.answer = built.review(built.file_result("regimen: Calm", str(regimen)))
    assert run(["review", "x", "--to", str(tmp_path / "." / "calm.regimen.yaml")]) == 2
    assert regimen.read_text(encoding="utf-8") == "regimen: Calm"
    assert "over a regimen or a rule file" in capsys.readouterr().err
    assert run(["review", "x", "--to", str(tmp_path / "house.rules")]) == 2
    assert not (tmp_path / "house.rules").exists()


def test_a_place_that_cannot_be_written(engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answer = review_of()
    assert run(["review", "x", "--to", str(tmp_path / "gone" / "a.txt")]) == 2
    assert "cannot be written" in capsys.readouterr().err
