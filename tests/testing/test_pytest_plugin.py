"""The pytest plugin for rule files: what becomes a test, and what is said of one that fails.

pytest runs in processes of its own: inside this one it would import the engine's modules a second time, and others' tests with
them.  All cases lie in one folder, so that the packs are linked once.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

RULES = """
rule rest advice
  use left-on retinoid at most 4 evenings per week.
  why "Trial."
  breaks evening: retinol 0.3 %
  holds  monday evening: retinol 0.3 %

rule cream caution
  after left-on retinoid expect moisturiser within 1 hour.
  why "Trial."
  breaks evening: retinol 0.3 %
"""
CASES = {
    "sound": RULES,
    "breaks-nothing": RULES.replace("breaks evening: retinol 0.3 %\n  holds", "breaks monday evening: retinol 0.3 %\n  holds"),
    "does-not-hold": RULES.replace("holds  monday evening", "holds  evening"),
    "misspelt": RULES.replace("expect moisturiser within", "expect moisturizer within"),
    "unclear": RULES.replace("within 1 hour", "soon"),
    "filed": (
        '\nrule filed caution\n  never use mask in the morning.\n  breaks file "mask.regimen.yaml"\n  breaks file "gone.yaml"\n'
    ),
    "measured": (
        '\nuses acids\nmeasure nobodys ""\nrule free caution\n  limit free-acid of hydroxy-acid to at most 3 %.\n'
        "  breaks evening: glycolic-acid 10 % (serum, base water, ph 3.0)\n"
        "rule lost caution\n  limit nobodys of hydroxy-acid to at most 3.\n"
        "  holds evening: glycolic-acid 10 % (serum, base water, ph 3.0)\n"
        "  holds evening: glycolic-acid 5 % (serum, base water, ph 3.0)\n"
    ),
}
MASK = "regimen: x\nproducts:\n  clay: {kind: mask}\nroutines:\n  - {slot: morning, steps: [clay]}\nhistory: []\n"

Outcomes = dict[str, str]  # by `file.rules::test`: what is said of the failure, empty where it passes


def run(folder: Path, *arguments: str) -> Outcomes:
    """What pytest says of the folder's tests."""
    report = folder / "report.xml"
    done = subprocess.run(
        [
            *(sys.executable, "-m", "pytest", "-p", "dermalint.testing.pytest_plugin", "-p", "no:cacheprovider"),
            *("--junitxml", str(report), *arguments),
        ],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode in (0, 1), done.stdout + done.stderr
    assert "Traceback" not in done.stdout
    return {
        f"{case.get('classname')}::{case.get('name')}": "\n".join(child.text or "" for child in case)
        for case in ElementTree.parse(report).iter("testcase")
    }


def put(folder: Path, name: str, text: str, uses: str = "core, substances") -> None:
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.rules").write_text(f"pack {name} 1.0.0\nuses {uses}\n{text}", encoding="utf-8")


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory: pytest.TempPathFactory) -> Outcomes:
    folder = tmp_path_factory.mktemp("cases")
    for name, text in CASES.items():
        put(folder, name, text)
    (folder / "headless.rules").write_text("rule x caution\n", encoding="utf-8")
    (folder / "no-text.rules").write_bytes(b"pack no-text 1.0.0\n\xff\xfe")
    (folder / "twin.rules").write_text((folder / "sound.rules").read_text(encoding="utf-8") + "# again\n", encoding="utf-8")
    (folder / "mask.regimen.yaml").write_text(MASK, encoding="utf-8")
    return run(folder)


def of_file(outcomes: Outcomes, name: str) -> Outcomes:
    return {test.partition("::")[2]: told for test, told in outcomes.items() if test.startswith(f"{name}.rules::")}


def failures(outcomes: Outcomes, name: str) -> dict[str, list[str]]:
    return {test: told.splitlines() for test, told in of_file(outcomes, name).items() if told}


def test_names_and_every_example_are_tests(outcomes: Outcomes) -> None:
    assert of_file(outcomes, "sound") == dict.fromkeys(["names", "rest-1-breaks", "rest-2-holds", "cream-1-breaks"], "")


def test_an_example_that_breaks_nothing(outcomes: Outcomes) -> None:
    assert failures(outcomes, "breaks-nothing") == {
        "rest-1-breaks": [
            "breaks-nothing.rules, line 7:",
            "    breaks monday evening: retinol 0.3 %",
            "This example should break breaks-nothing.rest, which finds nothing in it.",
        ]
    }


def test_an_example_that_does_not_hold_shows_what_is_found(outcomes: Outcomes) -> None:
    (told,) = failures(outcomes, "does-not-hold").values()
    assert told[0] == "does-not-hold.rules, line 8:"
    assert told[2] == "This example should hold, but does-not-hold.rest finds:"
    assert told[3].startswith("  retinol: retinoid 7 evenings in 7 days")


def test_an_unknown_name_fails_the_names_and_its_rule_alone(outcomes: Outcomes) -> None:
    told = failures(outcomes, "misspelt")
    assert list(told) == ["names", "cream-1-breaks"]
    assert told["names"][:2] == ["misspelt.rules, line 11:", "    after left-on retinoid expect moisturizer within 1 hour."]
    assert "moisturizer" in told["names"][2]
    assert told["names"][2].endswith("moisturiser")
    assert told["cream-1-breaks"][2] == (
        "The rule misspelt.cream is not in force, so it cannot be judged: see the test of names."
    )


def test_a_sentence_that_is_not_understood_fails_the_names(outcomes: Outcomes) -> None:
    assert list(of_file(outcomes, "unclear")) == ["names", "rest-1-breaks", "rest-2-holds"]
    (told,) = failures(outcomes, "unclear").values()
    assert told[0] == "unclear.rules, line 11:"


def test_files_that_are_no_pack(outcomes: Outcomes) -> None:
    assert failures(outcomes, "headless")["names"]
    assert "UTF-8" in " ".join(failures(outcomes, "no-text")["names"])


def test_of_two_files_of_one_pack_the_second_is_told(outcomes: Outcomes) -> None:
    assert "There is another pack called sound (" in " ".join(failures(outcomes, "twin")["names"])


def test_an_example_in_a_file_lies_beside_the_pack(outcomes: Outcomes) -> None:
    assert of_file(outcomes, "filed")["filed-1-breaks"] == ""
    (told,) = failures(outcomes, "filed").values()
    assert told[2].startswith("This example cannot be judged: gone.yaml: ")


def test_a_measure_is_computed_and_one_that_nobody_computes_is_told(outcomes: Outcomes) -> None:
    """An example that only seems to hold, for want of its measure, is no good one."""
    told = failures(outcomes, "measured")
    assert list(told) == ["lost-1-holds", "lost-2-holds"]
    for lines in told.values():
        assert lines[2].startswith("No plugin that can be used computes the measure nobodys")


def test_packs_of_the_setting_are_used_and_tests_are_chosen_by_name(tmp_path: Path) -> None:
    put(tmp_path, "near", "\nrule one caution\n  never use far-one.\n  breaks evening: far-one\n", "core, far, beside")
    put(tmp_path, "beside", 'kind beside-one "beside"\n', "core")
    put(tmp_path / "elsewhere", "far", 'kind far-one "far"\n', "core")
    (tmp_path / "pytest.ini").write_text("[pytest]\ndermalint_packs = elsewhere\n", encoding="utf-8")
    assert run(tmp_path, "near.rules", "-k", "breaks") == {"near.rules::one-1-breaks": ""}
    (tmp_path / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    assert "There is no pack called far here" in run(tmp_path, "near.rules::names")["near.rules::names"]


def test_where_it_is_asked_for_a_pack_is_proven_too(tmp_path: Path) -> None:
    never = "\nrule never advice\n  never use retinol in the evening if age below 3 years if age above 4 years.\n"
    put(tmp_path, "sound", RULES)
    put(tmp_path, "odd", never)
    (tmp_path / "pytest.ini").write_text("[pytest]\ndermalint_proof = true\n", encoding="utf-8")
    outcomes = run(tmp_path, "-k", "proof")
    assert outcomes["sound.rules::proof"] == ""
    assert "odd.never" in outcomes["odd.rules::proof"]


def test_other_runs_of_pytest_do_not_load_it(tmp_path: Path) -> None:
    put(tmp_path, "sound", RULES)
    (tmp_path / "test_x.py").write_text(
        "import sys\ndef test_x():\n    assert not any(name.startswith('dermalint') for name in sys.modules)\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider"],
        cwd=tmp_path,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert "1 passed" in done.stdout, done.stdout + done.stderr
