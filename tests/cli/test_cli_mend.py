"""``dermalint mend`` and ``dermalint review --mends``."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import dermalint.report
from dermalint.cli.main import run
from dermalint.mend.splices import apply_edits
from dermalint.verdict.findings import Edit

PLAN = """regimen: Two in one evening   # for the course
products:
  gel: {kind: treatment, base: gel, contains: {benzoyl-peroxide: 5 %}}
  drops: {kind: treatment, base: emulsion, contains: {tretinoin: 0.05 %}, prescribed: true}
  wash: {kind: cleanser, base: gel, contact: rinsed}
  shield: {kind: sunscreen, base: emulsion, spf: 50}
routines:
  - slot: morning
    steps: [wash, shield]
  - slot: evening
    steps:
      - wash
      - gel      # thin
      - wait: 5 min
      - drops
"""
AS_OF = ("--as-of", "2026-03-02")
SAYS = "Move gel from every evening to every morning."


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "110")
    monkeypatch.setenv("DERMALINT_CACHE", str(tmp_path / "cache"))
    for variable in ("NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(variable, raising=False)
    path = tmp_path / "two.regimen.yaml"
    path.write_text(PLAN, encoding="utf-8")
    return path


def test_changes_are_shown_and_nothing_is_written(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["mend", file.name, *AS_OF]) == 1
    shown = capsys.readouterr().out
    assert SAYS in shown
    assert "│ -      - gel      # thin" in shown
    assert "+    steps: [wash, gel, shield]  # thin" in shown
    assert "To write them: the same call with --write" in shown
    assert "For education, no medical advice." in shown.replace("\n", " ")
    assert file.read_text(encoding="utf-8") == PLAN


def test_they_are_written_on_request_and_a_second_call_changes_nothing(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.chmod(0o600)
    assert run(["mend", file.name, *AS_OF, "--write"]) in (0, 1)
    after = file.read_text(encoding="utf-8")
    assert after != PLAN
    assert after.startswith("regimen: Two in one evening   # for the course\n")
    assert file.stat().st_mode & 0o777 == 0o600
    assert "1 change written" in capsys.readouterr().out
    run(["mend", file.name, *AS_OF, "--write"])
    assert file.read_text(encoding="utf-8") == after
    assert "Nothing to mend" in capsys.readouterr().out


def test_only_what_one_rule_finds(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["mend", file.name, *AS_OF, "--only", "acids"]) == 0
    assert SAYS not in capsys.readouterr().out
    assert run(["mend", file.name, *AS_OF, "--only", "peroxide-from-tretinoin"]) == 1
    assert SAYS in capsys.readouterr().out


def test_a_change_is_left_on_request(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["mend", file.name, *AS_OF, "--leave", "1", "--write"])
    assert file.read_text(encoding="utf-8") == PLAN
    assert "Left │" in capsys.readouterr().out


def test_colours_only_where_they_are_wanted(
    file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    run(["mend", file.name, *AS_OF])
    assert "\x1b" not in capsys.readouterr().out
    monkeypatch.setenv("FORCE_COLOR", "1")
    run(["mend", file.name, *AS_OF])
    shown = capsys.readouterr().out
    assert "\x1b[32m+    steps: [wash, gel, shield]  # thin\x1b[0m" in shown
    assert "\x1b[31m-      - gel      # thin\x1b[0m" in shown


def test_where_nothing_works_the_rules_sentences_are_told(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(PLAN.replace("shield]", "shield, gel]"), encoding="utf-8")
    rules = file.with_name("house.rules")
    rules.write_text(
        "pack house 1.0.0\nuses core, substances\n\nrule none-here caution\n  never use benzoyl-peroxide.\n"
        '  why "House."\n  source practice "House rule."\n  breaks  evening: benzoyl-peroxide 5 %\n'
        "  holds   evening: moisturiser\n",
        encoding="utf-8",
    )
    assert run(["mend", file.name, *AS_OF, "--packs", "house.rules", "--only", "house"]) == 1
    shown = " ".join(capsys.readouterr().out.replace("│", " ").split())
    assert "house.none-here: never use benzoyl-peroxide." in shown
    assert "mending deletes no product" in shown


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "Which file or folder is to be mended?"),
        (["two.regimen.yaml", "--pick", "b2"], "a change's number and a proposal's letter"),
        ([".", "--pick", "1b"], "--pick and --leave go with one file."),
        (["two.regimen.yaml", "--only", "acidz"], "Did you mean acids?"),
    ],
)
def test_wrong_calls_are_explained(file: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], said: str) -> None:
    file.with_name("other.regimen.yaml").write_text(PLAN, encoding="utf-8")
    assert run(["mend", *arguments]) == 2
    assert said in capsys.readouterr().err


def test_a_file_with_mistakes_stays_as_it_is(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = PLAN.replace("[wash, shield]", "[wash, shielt]")
    file.write_text(wrong, encoding="utf-8")
    assert run(["mend", file.name, *AS_OF, "--write"]) == 2
    out, err = capsys.readouterr()
    assert "has mistakes and stays as it is" in err
    assert "│ " in err  # its line
    assert "^^^" in err
    assert "Nothing to mend" not in out
    assert file.read_text(encoding="utf-8") == wrong


def test_review_says_what_would_mend_a_finding(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["review", file.name, *AS_OF, "--mends", "--as", "json"])
    document = json.loads(capsys.readouterr().out)
    (finding,) = [one for one in document["files"][0]["findings"] if one["rule"] == "acne.peroxide-from-tretinoin"]
    assert finding["mends"][0]["say"] == SAYS
    edits = [Edit(**edit) for edit in finding["mends"][0]["edits"]]
    file.write_bytes(apply_edits(file.read_bytes(), edits))
    run(["review", file.name, *AS_OF, "--as", "json"])
    after = json.loads(capsys.readouterr().out)["files"][0]["findings"]
    assert "acne.peroxide-from-tretinoin" not in [one["rule"] for one in after]


def test_review_without_it_gives_no_edits(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["review", file.name, *AS_OF, "--as", "json"])
    document = json.loads(capsys.readouterr().out)
    assert all(not mend["edits"] for one in document["files"][0]["findings"] for mend in one["mends"])


def test_sarif_has_them_as_fixes(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["review", file.name, *AS_OF, "--mends", "--as", "sarif"])
    results = json.loads(capsys.readouterr().out)["runs"][0]["results"]
    (result,) = [one for one in results if one["ruleId"] == "acne.peroxide-from-tretinoin"]
    fix = result["fixes"][0]
    assert fix["description"]["text"] == SAYS
    assert all("byteOffset" in part["deletedRegion"] for part in fix["artifactChanges"][0]["replacements"])


def test_a_pack_that_does_not_load_is_told(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.with_name("broken.rules").write_text("pack broken 1.0.0\nrule x caution\n  never use.\n", encoding="utf-8")
    assert run(["mend", file.name, *AS_OF, "--packs", "broken.rules"]) == 2
    told = capsys.readouterr()
    assert "Mistake" in told.err
    assert SAYS in told.out


def test_two_calls_at_once_lose_nothing(file: Path) -> None:
    both = PLAN.replace("[wash, shield]", "[shield, wash]")
    file.write_text(both, encoding="utf-8")
    code = "import sys; from dermalint.cli.main import run; sys.exit(run())"
    calls = [
        subprocess.Popen(
            [sys.executable, "-c", code, "mend", file.name, *AS_OF, "--write", "--only", pack], stdout=subprocess.DEVNULL
        )
        for pack in ("acne", "layering")
    ]
    assert all(call.wait() in (0, 1) for call in calls)
    after = file.read_text(encoding="utf-8")
    evening = after[after.index("slot: evening") :]
    assert "- gel" not in evening
    assert after.index("wash", after.index("routines")) < after.index("shield", after.index("routines"))


MENDS = Draft202012Validator(
    json.loads((Path(dermalint.report.__file__).parent / "mend.schema.json").read_text(encoding="utf-8"))
)


def test_the_document_for_programs_has_the_text_that_would_be_written(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["mend", file.name, "--as", "json", *AS_OF]) == 1
    found = json.loads(capsys.readouterr().out)
    MENDS.validate(found)
    (one,) = found["files"]
    assert one["changes"][0]["say"] == SAYS
    assert found["summary"]["changes"] == len(one["changes"])
    assert not found["written"]
    assert "-      - gel      # thin" in one["diff"].splitlines()
    data = PLAN.encode()
    for change in one["changes"]:  # each on the text that the one before has left
        data = apply_edits(data, [Edit(edit["start"], edit["end"], edit["text"]) for edit in change["edits"]])
    assert run(["mend", file.name, "--as", "json", "--write", *AS_OF]) == (1 if one["not_mended"] else 0)
    written = json.loads(capsys.readouterr().out)
    MENDS.validate(written)
    assert written["written"]
    assert file.read_bytes() == data


def test_the_document_says_why_nothing_works_and_what_failed(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = PLAN.replace("base: gel, contains: {benzoyl", "base: gel, prescribed: true, contains: {benzoyl")
    file.write_text(text, encoding="utf-8")
    (file.parent / "no.regimen.yaml").write_text("products: 3\n", encoding="utf-8")
    assert run(["mend", ".", "--as", "json", *AS_OF]) == 2
    found = json.loads(capsys.readouterr().out)
    MENDS.validate(found)
    (one,) = found["files"]
    assert any("ask the prescriber" in reason for clash in one["not_mended"] for reason in clash["reasons"])
    assert len(found["failed"]) == 1
    assert one["changes"] or not one["diff"]
    file.write_text(PLAN.replace(", prescribed: true", ""), encoding="utf-8")
    assert run(["mend", file.name, "--as", "json", *AS_OF]) == 1
    (one,) = json.loads(capsys.readouterr().out)["files"]
    assert [other["pick"] for other in one["changes"][0]["others"]][:1] == ["1b"]


def test_a_wrong_name_in_the_settings_is_told_at_its_place(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.with_name("dermalint.toml").write_text('[severities]\nretinoid = "advice"\n', encoding="utf-8")
    assert run(["mend", str(file), *AS_OF]) == 2
    said = capsys.readouterr().err
    assert "dermalint.toml, line 2" in said
    assert "retinoids" in said


def test_choices_that_the_file_does_not_have_are_told(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["mend", str(file), *AS_OF, "--pick", "1b"]) == 2
    assert "For change 1 there is no other proposal." in capsys.readouterr().err
    file.write_text(PLAN.replace(", prescribed: true", ""), encoding="utf-8")
    before = file.read_bytes()
    for choice, answer in (
        (("--pick", "1z"), "Change 1 has the proposals 1a, 1b"),
        (("--pick", "9b"), "There is no change 9: the last one is "),
        (("--leave", "7"), "There is no change 7: the last one is "),
    ):
        assert run(["mend", str(file), *AS_OF, *choice, "--write"]) == 2
        assert answer in capsys.readouterr().err
        assert file.read_bytes() == before


def test_letters_stay_with_their_proposals(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(PLAN.replace(", prescribed: true", ""), encoding="utf-8")

    def proposals(*choice: str) -> dict[str, str]:
        assert run(["mend", str(file), *AS_OF, *choice, "--as", "json"]) == 1
        (change, *_) = json.loads(capsys.readouterr().out)["files"][0]["changes"]
        return {"": change["say"], **{other["pick"]: other["say"] for other in change["others"]}}

    usual, picked = proposals(), proposals("--pick", "1b")
    assert picked[""] == usual["1b"]
    assert picked["1a"] == usual[""] == proposals("--pick", "1a")[""]


def test_it_is_said_whose_finding_it_is_and_what_stands_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    products, _, routines = PLAN.removeprefix("regimen: Two in one evening   # for the course\n").partition("routines:\n")
    evening = routines.replace("  - slot: morning\n    steps: [wash, shield]\n", "").replace("\n", "\n    ").rstrip()
    path = tmp_path / "two.regimen.yaml"
    path.write_text(
        f"regimen: Two sisters\n{products}people:\n  ada:\n    routines:\n    {evening}\n"
        "  bea:\n    routines:\n      - {slot: morning, steps: [shield]}\n",
        encoding="utf-8",
    )
    assert run(["mend", str(path), *AS_OF, "--only", "acne"]) == 1
    shown = " ".join(capsys.readouterr().out.replace("│", " ").split())
    assert "ada: gel (Benzoyl Peroxide) and drops (Tretinoin) share a routine." in shown
    assert "In a new routine gel stands alone: add what else belongs there." in shown
