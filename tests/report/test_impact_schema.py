"""The published schema of dermalint-impact/1, with that of findings which it refers to."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from samples import REVIEWS

from dermalint.report.impact_report import as_json
from dermalint.verdict.compare import compare
from dermalint.verdict.report_model import Review
from dermalint_grammar.record import replace


def read(name: str) -> dict[str, Any]:
    schema: dict[str, Any] = json.loads(files("dermalint.report").joinpath(name).read_text(encoding="utf-8"))
    return schema


FINDINGS, IMPACT = read("findings.schema.json"), read("impact.schema.json")
VALIDATOR = Draft202012Validator(IMPACT, registry=Registry().with_resource(FINDINGS["$id"], Resource.from_contents(FINDINGS)))


def without_findings(review: Review) -> Review:
    return replace(review, files=tuple(replace(file, findings=()) for file in review.files))


def milder(review: Review) -> Review:
    def mild(file: Any) -> Any:
        return replace(file, findings=tuple(replace(finding, severity="advice", occurs=()) for finding in file.findings))

    return replace(review, files=tuple(mild(file) for file in review.files))


def as_data(before: Review, after: Review) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(as_json(before, after, compare(before, after)))
    return document


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(IMPACT)


@pytest.mark.parametrize("name", REVIEWS)
def test_documents_follow_the_schema(name: str) -> None:
    review = REVIEWS[name]
    for before, after in (
        (without_findings(review), review), (review, without_findings(review)), (milder(review), review), (review, review),
    ):  # fmt: skip
        VALIDATOR.validate(as_data(before, after))


def test_all_that_can_become_of_findings_was_among_them() -> None:
    numbers = [
        as_data(before, after)["summary"]
        for review in REVIEWS.values()
        for before, after in ((without_findings(review), review), (review, without_findings(review)), (milder(review), review))
    ]
    assert all(any(number[fate] for number in numbers) for fate in ("gained", "lost", "changed"))


@pytest.mark.parametrize(
    ("path", "key"),
    [
        ((), "summary"), (("before",), "packs"), (("asked",), "stance"), (("summary",), "affected"), (("files", 0), "lost"),
        (("files", 0, "gained", 0), "severity"), (("files", 0, "gained", 0, "where"), "line"),
    ],
)  # fmt: skip
def test_the_schema_misses_what_is_left_out_and_what_is_added(path: tuple[str | int, ...], key: str) -> None:
    review = REVIEWS["calm"]
    whole = as_data(without_findings(review), review)
    part: Any = whole
    for step in path:
        part = part[step]
    kept = part.pop(key)
    assert not VALIDATOR.is_valid(whole)
    part[key] = kept
    assert VALIDATOR.is_valid(whole)
    part["more"] = 1
    assert not VALIDATOR.is_valid(whole)
