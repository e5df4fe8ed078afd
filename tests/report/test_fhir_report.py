"""FHIR: that bundles are well-formed R4 resources (R4B models), and what stands in them."""

from __future__ import annotations

import json
import re
from typing import Any
from uuid import UUID
from xml.etree import ElementTree

import pytest
from fhir.resources.R4B.bundle import Bundle
from hypothesis import given, settings
from hypothesis import strategies as st
from odd_review import odd_review, texts
from samples import REVIEWS, is_sample

from dermalint.report.fhir_report import document, render
from dermalint.report.remarks import CARE

# HL7 FHIR R4, value sets detectedissue-severity and observation-status; the models do not check codes.
SEVERITIES = {"high", "moderate", "low"}
STATUSES = {"registered", "preliminary", "final", "amended", "corrected", "cancelled", "entered-in-error", "unknown"}
ISSUE_LEVELS = {"fatal", "error", "warning", "information"}
ISSUE_TYPES = {"invalid", "processing", "exception", "informational"}  # those of the value set issue-type that are used


def check(text: str) -> list[dict[str, Any]]:
    """The resources of a bundle that is well-formed in all that the models and the codes above can tell."""
    whole = json.loads(text)
    assert json.loads(Bundle.model_validate(whole).model_dump_json()) == whole  # nothing lost, nothing unknown
    entries = whole["entry"]
    assert len({entry["fullUrl"] for entry in entries}) == len(entries)
    resources = [entry["resource"] for entry in entries]
    for entry, resource in zip(entries, resources, strict=True):
        assert entry["fullUrl"] == f"urn:uuid:{UUID(resource['id'])}"
    for issue in of_kind(resources, "DetectedIssue"):
        assert issue["severity"] in SEVERITIES
        assert issue["status"] in STATUSES
        assert issue["author"]["reference"] in {entry["fullUrl"] for entry in entries}
        div = ElementTree.fromstring(issue["text"]["div"])
        assert div.tag == "{http://www.w3.org/1999/xhtml}div"
        assert {part.tag for part in div} == {"{http://www.w3.org/1999/xhtml}p"}
        assert div[-1].text == CARE
    for outcome in of_kind(resources, "OperationOutcome"):
        assert all(issue["severity"] in ISSUE_LEVELS and issue["code"] in ISSUE_TYPES for issue in outcome["issue"])
    for string in strings(whole):
        assert re.fullmatch(r"[ \r\n\t\S]+", string)  # the datatype string of R4
        assert not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff]", string)
    return resources


def of_kind(resources: list[dict[str, Any]], kind: str) -> list[dict[str, Any]]:
    return [resource for resource in resources if resource["resourceType"] == kind]


def strings(data: Any) -> list[str]:
    if isinstance(data, dict):
        return [string for value in data.values() for string in strings(value)]
    if isinstance(data, list):
        return [string for value in data for string in strings(value)]
    return [data] if isinstance(data, str) else []


def issues(name: str) -> dict[str, dict[str, Any]]:
    """The issues of a sample by their rule."""
    resources = [entry["resource"] for entry in document(REVIEWS[name])["entry"]]
    return {issue["reference"].removeprefix("urn:x-dermalint:rule:"): issue for issue in of_kind(resources, "DetectedIssue")}


@pytest.mark.parametrize("name", REVIEWS)
def test_bundles_are_well_formed_and_follow_the_samples(name: str) -> None:
    text = render(REVIEWS[name])
    check(text)
    assert is_sample(f"{name}.fhir.json", text)


def test_severity_and_status() -> None:
    calm, studio = issues("calm"), issues("studio")
    assert {rule: issue["severity"] for rule, issue in calm.items()} == {
        "order.thin-before-thick": "low",
        "acids.acid-off-retinoid-nights": "moderate",
    }
    assert {rule: (issue["severity"], issue["status"]) for rule, issue in studio.items()} == {
        "retinoids.not-in-pregnancy": ("high", "final"),
        "acids.acid-off-retinoid-nights": ("moderate", "preliminary"),
        "sun.sunscreen-after-acid": ("moderate", "final"),
        "acids.daily-acid": ("moderate", "cancelled"),
        "acids.peel-rest-days": ("moderate", "final"),
    }


def test_an_issue_names_people_products_and_places_as_texts() -> None:
    issue = issues("studio")["retinoids.not-in-pregnancy"]
    assert issue["patient"] == {"display": "Ana"}
    assert issue["implicated"] == [{"display": "night-cream"}]
    assert issue["code"] == {"text": "person"}
    assert issue["meta"]["source"] == "course/two.regimen.yaml#/people/Ana/routines/0/steps/1"
    assert issue["identifier"] == [{"system": "urn:x-dermalint:finding", "value": "a1b2c3d4"}]
    for part in ("the person is pregnant.", "Every evening.", "Other view: Some reviews", "line 7."):
        assert part in issue["detail"]


def test_evidence_is_what_matched_was_measured_and_is_written() -> None:
    (evidence,) = issues("calm")["acids.acid-off-retinoid-nights"]["evidence"]
    assert [code["text"] for code in evidence["code"]] == [
        "lactic-lotion (lactic-acid 8 %) as strong-acid; night-cream (retinol 0.3 %) as retinoid",
        "Measured: gap 0 min; needed: another routine.",
    ]
    assert [detail["display"] for detail in evidence["detail"]] == [
        "Source: Dermatology teaching; no published interval. (common practice)"
    ]


def test_advice_is_only_suggested_and_a_waiver_is_accepted() -> None:
    (advice, mend) = issues("calm")["acids.acid-off-retinoid-nights"]["mitigation"]
    assert advice["action"]["text"] == "Suggested, not done: Use the acid on an evening without the retinoid."
    assert mend["action"]["text"] == "Suggested, not done: Move lactic-lotion to Tuesday evening."
    waived = issues("studio")["sun.sunscreen-after-acid"]["mitigation"][-1]
    assert waived["action"]["text"] == "Accepted as it is: Prescriber's written plan. Until 2026-09-30."
    assert waived["author"] == {"display": "prescriber"}


def test_problems_are_one_outcome() -> None:
    resources = check(render(REVIEWS["studio"]))
    (outcome,) = of_kind(resources, "OperationOutcome")
    told = [(issue["severity"], issue["code"], issue.get("diagnostics")) for issue in outcome["issue"]]
    assert told == [
        ("error", "processing", "pack house-rules; file house/house-rules.rules"),
        ("information", "informational", "file course/products.yaml, line 4, column 3"),
        ("error", "invalid", "file course/two.regimen.yaml, line 11, column 54"),
        ("error", "invalid", "file broken.regimen.yaml"),
    ]
    assert of_kind(check(render(REVIEWS["calm"])), "OperationOutcome") == []


def test_the_tool_is_a_device_with_its_packs() -> None:
    (device,) = of_kind(check(render(REVIEWS["calm"])), "Device")
    assert device["version"][0] == {"value": "0.1.0"}
    assert device["version"][1] == {"type": {"text": "rule pack acids"}, "value": "1.0.0"}
    assert device["note"][0]["text"].endswith(CARE)


@settings(deadline=None, max_examples=40)
@given(texts, texts, st.integers(-2, 70), st.integers(-2, 70))
def test_no_text_breaks_a_bundle(words: str, other: str, start: int, end: int) -> None:
    check(render(odd_review(words, other, start, end)))
