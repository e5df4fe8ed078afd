"""``dermalint rules``: lists, one rule whole, documents, and packs with mistakes."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import Any

import pytest

import dermalint
from dermalint.cli.main import run
from dermalint.packs.load import load_packs
from dermalint.report.remarks import CARE

HOUSE = """\
pack house 1.2.0
title "House rules"
about "What Larkspur Row teaches."

family acid "acids"
family retinoid "retinoids"
kind mask "mask"
substance mandelic-acid
  inci "Mandelic Acid"
  in acid
substance retinol
  inci "Retinol"
  in retinoid

rule acid-nights caution, avoid if strict
  separate acid   # "hash" in a remark
    from retinoid by routine
    unless person is patient
    suspends house.masks.
  why "Two at once sting # more."
  advise "Alternate the evenings."
  source practice "Class notes"
  source verified "A journal, volume 1, 2020"
  disputed "Some teach otherwise."
  review-by 2027-06-30
  breaks evening: mandelic-acid 5 %, retinol 0.3 %
  holds evening: retinol 0.3 %

rule masks advice if strict
  use mask at most 1 time per week.
  topic frequency
  why "Enough is enough."
  source memory "A lecture"
  breaks day 1 evening: mask; day 2 evening: mask
  holds day 1 evening: mask

trait patient "patient"
slot evening "evening"
"""

OTHER = """\
pack annex 0.1.0
kind balm "balm"
rule masks advice
  use balm at most 1 time per week.
  why "As an example."
"""


@pytest.fixture
def packs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of two packs; nothing that is installed gets in."""
    for variable in ("NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(variable, raising=False)
    monkeypatch.setattr("dermalint.packs.load.load_packs", partial(load_packs, installed=False, cache=False))
    (tmp_path / "house.rules").write_text(HOUSE, encoding="utf-8")
    (tmp_path / "annex.rules").write_text(OTHER, encoding="utf-8")
    return tmp_path


def rules(packs: Path, *arguments: str) -> int:
    return run(["rules", "--packs", str(packs), *arguments])


def test_the_list(packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs) == 0
    said = capsys.readouterr().out
    listed = said[: said.index("For education")]
    assert listed == (
        "annex 0.1.0\n" + "─" * 80 + "\n"
        "    Advice │ annex.masks: use balm at most 1 time per week.\n"
        "\n"
        "house 1.2.0\n"
        "House rules. What Larkspur Row teaches\n" + "─" * 80 + "\n"
        "   Caution │ house.acid-nights: separate acid from retinoid by routine unless\n"
        "           │ person is patient suspends house.masks.\n"
        " if strict │ house.masks: use mask at most 1 time per week.\n"
        "\n"
        "3 rules. To read one whole: dermalint rules NAME\n"
        "\n"
    )
    assert " ".join(said.split()).endswith(CARE)


ONE = """\
house.acid-nights
pack house 1.2.0 · House rules
────────────────────────────────────────────────────────────────────────────────
      says │ separate acid from retinoid by routine
     where │ unless person is patient suspends house.masks
  severity │ caution in the usual stance, avoid in the strict one
     topic │ separation
  suspends │ house.masks
       why │ Two at once sting # more.
what to do │ Alternate the evenings.
other view │ Some teach otherwise.
 review by │ 30 June 2027
    source │ Class notes (common practice)
           │ A journal, volume 1, 2020 (text read)
    breaks │ evening: mandelic-acid 5 %, retinol 0.3 %
     holds │ evening: retinol 0.3 %

"""


@pytest.mark.parametrize("name", ["house.acid-nights", "acid-nights"])
def test_one_rule_whole(packs: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs, name) == 0
    said = capsys.readouterr().out
    assert said.startswith(ONE + "For education")


def test_a_rule_for_the_strict_stance_alone(packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs, "house.masks") == 0
    assert "  severity │ silent in the usual stance, advice in the strict one\n" in capsys.readouterr().out


def test_one_pack(packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs, "annex") == 0
    said = capsys.readouterr().out
    assert said.startswith("annex 0.1.0\n")
    assert "house" not in said
    assert "1 rule. To read" in said


def document(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    whole = json.loads(capsys.readouterr().out)
    assert isinstance(whole, dict)
    return whole


def test_one_rule_as_a_document(packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs, "house.acid-nights", "--as", "json") == 0
    assert document(capsys) == {
        "format": "dermalint-rules/1",
        "tool": {"version": dermalint.__version__},
        "problems": [],
        "packs": [
            {
                "name": "house",
                "version": "1.2.0",
                "title": "House rules",
                "about": "What Larkspur Row teaches.",
                "rules": [
                    {
                        "rule": "house.acid-nights",
                        "severity": {"usual": "caution", "strict": "avoid"},
                        "sentence": "separate acid from retinoid by routine unless person is patient suspends house.masks.",
                        "requirement": "separate acid from retinoid by routine",
                        "clauses": "unless person is patient suspends house.masks",
                        "topic": "separation",
                        "suspends": ["house.masks"],
                        "unknown": None,
                        "why": "Two at once sting # more.",
                        "advise": "Alternate the evenings.",
                        "sources": [
                            {"status": "practice", "text": "Class notes"},
                            {"status": "verified", "text": "A journal, volume 1, 2020"},
                        ],
                        "disputed": "Some teach otherwise.",
                        "review_by": "2027-06-30",
                        "examples": [
                            {"breaks": True, "text": "evening: mandelic-acid 5 %, retinol 0.3 %"},
                            {"breaks": False, "text": "evening: retinol 0.3 %"},
                        ],
                    }
                ],
            }
        ],
    }


def test_all_rules_as_a_document(packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs, "--as", "json") == 0
    listed = [(pack["name"], [rule["rule"] for rule in pack["rules"]]) for pack in document(capsys)["packs"]]
    assert listed == [("annex", ["annex.masks"]), ("house", ["house.acid-nights", "house.masks"])]


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("acid-night", ["There is no rule or pack “acid-night”.", "Did you mean acid-nights?"]),
        ("huose", ["There is no rule or pack “huose”.", "Did you mean house?"]),
        ("masks", ["More than one pack has a rule “masks”.", "Say which: annex.masks, house.masks"]),
    ],
)
def test_unknown_and_ambiguous_names(packs: Path, name: str, lines: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs, name) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines() == [*lines, "All about this command: dermalint rules --help"]


def test_a_pack_with_a_mistake_is_shown_at_its_place(packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    broken = packs / "annex.rules"
    broken.write_text(OTHER.replace("use balm", "use blam"), encoding="utf-8")
    assert rules(packs) == 2
    said = capsys.readouterr().out
    assert "   Mistake │ " in said
    shown = said.splitlines()
    quoted = next(number for number, line in enumerate(shown) if "use blam" in line)
    start = shown[quoted].index("blam")
    assert shown[quoted + 1][start : start + 4] == "^^^^"
    assert "house.acid-nights" in said
    assert rules(packs, "--as", "json") == 2
    (problem,) = [problem for problem in document(capsys)["problems"] if problem["level"] == "error"]
    assert (problem["where"]["line"], problem["where"]["column"]) == (4, 7)


def test_a_folder_that_is_not_there(packs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert rules(packs / "gone") == 2
    assert "There is no rule pack at" in " ".join(capsys.readouterr().out.replace("│", " ").split())
