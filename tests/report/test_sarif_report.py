"""SARIF: that documents follow the schema of OASIS, and that they mean what the standard means."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import build_review as built
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft4Validator
from odd_review import odd_review, texts
from samples import REVIEWS, is_sample

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.plain_data import uri
from dermalint.report.remarks import CARE
from dermalint.report.sarif_report import document, render
from dermalint.spans import Place, SourceText
from dermalint.verdict.findings import Edit, Mend, Waived

SCHEMA = json.loads((Path(__file__).parent / "schemas" / "sarif-schema-2.1.0.json").read_text(encoding="utf-8"))
VALIDATOR = Draft4Validator(SCHEMA, format_checker=Draft4Validator.FORMAT_CHECKER)


def the_run(name: str, status: int = 1, **options: Any) -> dict[str, Any]:
    (run,) = document(REVIEWS[name], status, **options)["runs"]
    return run  # type: ignore[no-any-return]


def results(name: str, **options: Any) -> dict[str, dict[str, Any]]:
    return {result["ruleId"]: result for result in the_run(name, **options)["results"]}


@pytest.mark.parametrize("name", REVIEWS)
def test_documents_follow_the_schema_and_the_samples(name: str) -> None:
    text = render(REVIEWS[name], 1)
    VALIDATOR.validate(json.loads(text))
    assert is_sample(f"{name}.sarif", text)


def test_the_schema_is_in_force() -> None:
    whole = json.loads(render(REVIEWS["calm"], 1))
    whole["runs"][0]["results"][0]["level"] = "caution"
    assert not VALIDATOR.is_valid(whole)


def test_severities_are_levels_and_what_is_possible_is_open() -> None:
    calm, studio = results("calm"), results("studio")
    caution = calm["acids.acid-off-retinoid-nights"]
    assert (caution["kind"], caution["level"]) == ("fail", "warning")
    assert calm["order.thin-before-thick"]["level"] == "note"
    assert studio["retinoids.not-in-pregnancy"]["level"] == "error"
    possible = studio["acids.acid-off-retinoid-nights"]
    assert (possible["kind"], possible["level"]) == ("open", "none")
    assert possible["properties"]["severity"] == "caution"
    assert "Possibly: toner-x" in possible["message"]["text"]
    assert "This depends on the strength of glycolic-acid in toner-x and the pH of toner-x." in possible["message"]["text"]


def test_a_kind_other_than_fail_has_no_level() -> None:
    """SARIF 2.1.0, section 3.27.9."""
    for name in REVIEWS:
        for result in the_run(name)["results"]:
            assert (result["kind"] == "fail") == (result["level"] != "none")


def test_where_possible_findings_fail_the_run_they_fail_here() -> None:
    possible = results("studio", possible_fails=True)["acids.acid-off-retinoid-nights"]
    assert (possible["kind"], possible["level"]) == ("fail", "warning")


def test_suppressions() -> None:
    found = {rule: result["suppressions"] for rule, result in results("studio").items()}
    assert found["retinoids.not-in-pregnancy"] == []  # known to be none, section 3.27.23
    (waived,) = found["sun.sunscreen-after-acid"]
    assert (waived["kind"], waived["status"]) == ("inSource", "accepted")
    assert waived["justification"] == "Prescriber's written plan. Accepted by prescriber. Until 2026-09-30."
    (suspended,) = found["acids.daily-acid"]
    assert (suspended["kind"], suspended["status"]) == ("external", "accepted")
    assert "acids.weak-toners" in suspended["justification"]


def test_every_rule_is_described_and_found_by_its_number() -> None:
    for name in REVIEWS:
        run = the_run(name)
        rules = run["tool"]["driver"]["rules"]
        assert [rule["id"] for rule in rules] == sorted({result["ruleId"] for result in run["results"]})
        assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in run["results"])
        for rule in rules:
            assert rule["help"]["text"].endswith(CARE)
            assert rule["fullDescription"]["text"]
    (rule,) = (rule for rule in the_run("calm")["tool"]["driver"]["rules"] if rule["id"] == "acids.acid-off-retinoid-nights")
    for part in ("Why: Two irritant", "What to do: Use the acid", "Other view: Some sources", "Sources: Dermatology teaching"):
        assert part in rule["help"]["text"]
    assert rule["properties"]["tags"] == ["separation", "acids"]


def test_a_region_is_in_characters_and_ends_behind_the_last() -> None:
    run = the_run("wide")
    assert run["columnKind"] == "unicodeCodePoints"
    (result,) = run["results"]
    line = built.WIDE.splitlines()[4]
    region = result["locations"][0]["physicalLocation"]["region"]
    assert (region["startLine"], region["endLine"]) == (5, 5)
    assert line[region["startColumn"] - 1 : region["endColumn"] - 1] == "夜用クリーム"
    notes = [related.get("message", {}).get("text") for related in result["relatedLocations"]]
    assert notes == ["軽いクリーム", None]


def test_every_file_spoken_of_is_an_artifact() -> None:
    run = the_run("studio")
    names = [artifact["location"]["uri"] for artifact in run["artifacts"]]
    assert names == ["course/two.regimen.yaml", "broken.regimen.yaml", "course/products.yaml", "house/house-rules.rules"]
    (related,) = results("studio")["acids.acid-off-retinoid-nights"]["relatedLocations"]
    place = related["physicalLocation"]
    assert names[place["artifactLocation"]["index"]] == place["artifactLocation"]["uri"] == "course/products.yaml"
    assert place["region"]["startLine"] == 2


@pytest.mark.parametrize(
    ("path", "shown"),
    [
        ("my plan #1.regimen.yaml", "my%20plan%20%231.regimen.yaml"),
        ("100 %.regimen.yaml", "100%20%25.regimen.yaml"),
        ("two\nlines?.regimen.yaml", "two%0Alines%3F.regimen.yaml"),
        ("a:b.regimen.yaml", "a%3Ab.regimen.yaml"),
        ("./here/./x.regimen.yaml", "here/x.regimen.yaml"),
        ("../up/夜.regimen.yaml", "../up/%E5%A4%9C.regimen.yaml"),
        ("no-utf8-\udcff.regimen.yaml", "no-utf8-%FF.regimen.yaml"),
        ("half-\ud800.regimen.yaml", "half-%EF%BF%BD.regimen.yaml"),
        ("/plans/a b.regimen.yaml", "file:///plans/a%20b.regimen.yaml"),
    ],
)
def test_file_names_are_uris(path: str, shown: str) -> None:
    assert uri(path) == shown
    file = built.file_result(path=path, findings=(built.finding(Place(0, 7)),))
    whole = document(built.review(file), 1)
    VALIDATOR.validate(whole)
    (result,) = whole["runs"][0]["results"]
    assert result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == shown


def test_fingerprints_tell_findings_apart_and_stay() -> None:
    finding = built.finding(Place(0, 7))
    moved = built.finding(Place(9, 12), message="other words")
    one, other = (built.file_result(path=path, findings=(finding,)) for path in ("a.regimen.yaml", "b.regimen.yaml"))
    again = built.file_result(path="a.regimen.yaml", findings=(moved,))
    prints = [
        result["fingerprints"]
        for result in document(built.review(one, other, again), 1)["runs"][0]["results"]
    ]
    assert prints[0] == {"dermalintFinding/v1": "a1b2c3d4:a.regimen.yaml"} == prints[2]
    assert prints[1] != prints[0]


@pytest.mark.parametrize(("status", "well"), [(0, True), (1, True), (2, False), (3, False)])
def test_the_invocation_says_how_the_run_ended(status: int, well: bool) -> None:
    (invocation,) = the_run("studio", status)["invocations"]
    assert (invocation["exitCode"], invocation["executionSuccessful"]) == (status, well)
    assert invocation["exitCodeDescription"]


def test_problems_are_notifications() -> None:
    run = the_run("studio", 2)
    (invocation,) = run["invocations"]
    execution = invocation["toolExecutionNotifications"]
    told = [(one["descriptor"]["id"], one["level"]) for one in execution]
    assert told == [("hint-on-file", "note"), ("mistake-in-file", "error"), ("mistake-in-file", "error")]
    assert execution[1]["message"]["text"] == "The product night-creme is not declared. Did you mean night-cream?"
    assert execution[1]["locations"][0]["physicalLocation"]["region"]["startLine"] == 11
    unreadable = execution[2]["locations"][0]["physicalLocation"]
    assert unreadable == {"artifactLocation": {"uri": "broken.regimen.yaml", "index": 1}}
    (pack,) = invocation["toolConfigurationNotifications"]
    assert (pack["descriptor"]["id"], pack["properties"]) == ("mistake-in-pack", {"pack": "house-rules"})
    described = [descriptor["id"] for descriptor in run["tool"]["driver"]["notifications"]]
    assert all(described[one["descriptor"]["index"]] == one["descriptor"]["id"] for one in (*execution, pack))


def test_a_problem_that_several_people_share_is_said_once_but_not_one_of_two_files() -> None:
    problem = Problem(ERROR, "The date 2026-02-30 does not exist.", None, Place(0, 7))
    files = [
        built.file_result(path=path, person=person, problems=(problem,))
        for path, person in (("a.regimen.yaml", "Ana"), ("a.regimen.yaml", "Bo"), ("b.regimen.yaml", None))
    ]
    (invocation,) = document(built.review(*files), 2)["runs"][0]["invocations"]
    places = [
        one["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for one in invocation["toolExecutionNotifications"]
    ]
    assert places == ["a.regimen.yaml", "b.regimen.yaml"]


def test_people_and_packs_are_named() -> None:
    run = the_run("studio")
    assert all(result["message"]["text"].startswith(("For Ana: ", "For Bo: ")) for result in run["results"])
    assert run["tool"]["extensions"][0] == {"name": "acids", "version": "1.0.0"}


def test_a_mend_with_edits_is_a_fix_in_bytes() -> None:
    (fix,) = results("calm")["acids.acid-off-retinoid-nights"]["fixes"]
    (change,) = fix["artifactChanges"]
    assert change["replacements"] == [
        {"deletedRegion": {"byteOffset": 430, "byteLength": 20}, "insertedContent": {"text": ""}}
    ]
    in_words = built.file_result(findings=(built.finding(Place(0, 7), mends=(Mend("Ask."),)),))
    (result,) = document(built.review(in_words), 1)["runs"][0]["results"]
    assert "fixes" not in result
    assert result["properties"]["toMend"] == ["Ask."]


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("take [this](https) twice", "take \\[this\\](https) twice"),
        ("steps {0} and {1}", "steps {{0}} and {{1}}"),
        ("steps: [foam-wash] {a: 1}", "steps: [foam-wash] {a: 1}"),
    ],
)
def test_no_text_becomes_a_link_or_a_placeholder(text: str, shown: str) -> None:
    file = built.file_result(findings=(built.finding(Place(0, 7), message=text, occurs=()),))
    (result,) = document(built.review(file), 1)["runs"][0]["results"]
    assert result["message"]["text"] == shown


@settings(deadline=None, max_examples=40)
@given(texts, texts, st.integers(-2, 70), st.integers(-2, 70))
def test_no_text_breaks_a_document(words: str, other: str, start: int, end: int) -> None:
    text = render(odd_review(words, other, start, end), 2)
    VALIDATOR.validate(json.loads(text.encode("utf-8")))


def test_what_repeats_is_written_once() -> None:
    mend = Mend("Move it.", (Edit(3, 4, "x"), Edit(9, 9, "y")))
    finding = built.finding(Place(0, 7), mends=(mend, mend), waived=Waived("a", None, None))
    file = built.file_result(findings=(finding,), sources={"calm.regimen.yaml": SourceText("calm.regimen.yaml", "")})
    whole = document(built.review(file, problems=(built.bad_pack(),), packs=built.review().packs * 2), 2)
    VALIDATOR.validate(whole)
    assert len(whole["runs"][0]["results"][0]["fixes"]) == 1
