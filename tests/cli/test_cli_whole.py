"""A real run from file to report: the command, the engine, a pack of the test's own."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from dermalint.cli.main import run

PACK = """\
pack larkspur 1.0.0
title "Larkspur Row"
uses core

rule no-mask-in-the-morning caution
  never use mask in the morning.
  why "Masks are taught for the evening."
  advise "Move it to the evening."
  source practice "Class notes"
  breaks morning: mask
  holds evening: mask
"""
REGIMEN = """\
regimen: Larkspur mornings
products:
  clay: {kind: mask, base: water, contact: {timed: 10 min}}
routines:
  - {slot: SLOT, days: [monday], steps: [clay]}
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DERMALINT_CACHE", str(tmp_path / "cache"))
    monkeypatch.delenv("COLUMNS", raising=False)
    (tmp_path / "larkspur.rules").write_text(PACK, encoding="utf-8")
    (tmp_path / "bad.regimen.yaml").write_text(REGIMEN.replace("SLOT", "morning"), encoding="utf-8")
    (tmp_path / "good.regimen.yaml").write_text(REGIMEN.replace("SLOT", "evening"), encoding="utf-8")
    return tmp_path


def review(folder: Path, *arguments: str) -> int:
    only = ["--packs", str(folder / "larkspur.rules"), "--only", "no-mask-in-the-morning", "--as-of", "2026-03-02"]
    return run(["review", *arguments, *only])


def test_findings_and_their_status(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert review(folder, str(folder / "good.regimen.yaml")) == 0
    capsys.readouterr()
    assert review(folder, str(folder)) == 1
    text = capsys.readouterr().out
    assert "      when │ Monday mornings.\n" in text
    assert "      rule │ larkspur.no-mask-in-the-morning\n" in text
    assert "2 files read: 1 caution" in text
    assert review(folder, str(folder), "--as", "json", "--without", "larkspur") == 0
    assert json.loads(capsys.readouterr().out)["summary"]["caution"] == 0


def test_one_bad_file_does_not_stop_the_others(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "a.regimen.yaml").write_bytes(b"\xff\xfe\x00")
    assert review(folder, str(folder), "--as", "json") == 2
    found = json.loads(capsys.readouterr().out)
    assert (found["summary"]["unreadable"], found["summary"]["caution"]) == (1, 1)


def test_a_path_that_is_not_there(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert review(folder, str(folder / "gone.regimen.yaml")) == 2
    assert "gone.regimen.yaml" in capsys.readouterr().out
