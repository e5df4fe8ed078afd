"""The JSON document: its shape, its order, and that no text can break it."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import build_review as built
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from dermalint.regimen.model import ERROR, Problem
from dermalint.report.json_report import document, render
from dermalint.report.tally import count, without_possible
from dermalint.spans import Place, SourceText
from dermalint.verdict.findings import Edit, Match, Measured, Mend, Occurrence, Related, Waived

SCHEMA: dict[str, Any] = json.loads(files("dermalint.report").joinpath("findings.schema.json").read_text(encoding="utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)

REVIEWS = {
    "calm": built.review(built.calm()),
    "studio": built.review(*built.studio(), built.unreadable(), problems=(built.bad_pack(),), region=None),
    "wide": built.review(built.wide(), stance="strict"),
    "empty": built.review(packs=()),
}


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", REVIEWS)
def test_documents_follow_the_schema(name: str) -> None:
    VALIDATOR.validate(json.loads(render(REVIEWS[name])))


def closed_objects(schema: Any, at: str = "") -> list[str]:
    """Objects of the schema that list properties and leave room for others."""
    open_ones = []
    if isinstance(schema, dict):
        if "properties" in schema and schema.get("additionalProperties") is not False:
            open_ones.append(at)
        for key, value in schema.items():
            open_ones += closed_objects(value, f"{at}/{key}")
    return open_ones


def test_the_schema_is_closed_everywhere() -> None:
    assert closed_objects(SCHEMA) == []


@pytest.mark.parametrize(
    ("path", "key"),
    [
        ((), "packs"),
        (("asked",), "as_of"),
        (("files", 0), "person"),
        (("files", 0, "findings", 0), "group"),
        (("files", 0, "findings", 0, "where"), "end_column"),
        (("files", 0, "findings", 0, "occurs", 0), "repeats"),
        (("summary",), "waived"),
    ],
)
def test_the_schema_misses_what_is_left_out_and_what_is_added(path: tuple[str | int, ...], key: str) -> None:
    whole = json.loads(render(REVIEWS["calm"]))
    part = whole
    for step in path:
        part = part[step]
    kept = part.pop(key)
    assert not VALIDATOR.is_valid(whole)
    part[key] = kept
    assert VALIDATOR.is_valid(whole)
    part["more"] = 1
    assert not VALIDATOR.is_valid(whole)


def test_a_finding_word_for_word() -> None:
    shown = document(built.review(built.calm()))["files"][0]["findings"][1]
    assert list(shown) == [
        "rule", "severity", "topic", "certainty", "unknown", "message", "why", "advise", "sources", "disputed", "products",
        "where", "related", "occurs", "matched", "measured", "mends", "id", "group", "waived", "suspended_by",
    ]  # fmt: skip
    assert shown["where"] == {"line": 17, "column": 9, "end_line": 17, "end_column": 22, "pointer": "/routines/1/steps/3"}
    assert shown["related"] == [
        {"line": 16, "column": 9, "end_line": 16, "end_column": 20, "pointer": "/routines/1/steps/2", "note": "the retinoid"}
    ]
    assert shown["occurs"][1] == {"phase": 1, "day": 4, "weekday": "thursday", "slot": "evening", "repeats": "7 days"}
    assert shown["matched"][1] == {"product": "night-cream", "as": "retinoid", "through": "retinol 0.3 %"}
    assert shown["measured"] == {"quantity": "gap", "value": 0, "unit": "min", "required": "another routine"}
    assert shown["mends"] == [
        {"say": "Move lactic-lotion to Tuesday evening.", "edits": [{"start": 430, "end": 450, "text": ""}]}
    ]
    assert shown["waived"] is None


def test_places_in_other_files_name_them() -> None:
    ana, bo = document(built.review(*built.studio()))["files"]
    related = ana["findings"][1]["related"][0]
    assert (related["path"], related["line"], related["column"]) == ("course/products.yaml", 2, 46)
    assert bo["problems"][0]["where"]["path"] == "course/products.yaml"
    assert "path" not in ana["findings"][1]["where"]


def test_problems_of_no_file_name_their_pack() -> None:
    (problem,) = document(built.review(problems=(built.bad_pack(),)))["problems"]
    assert problem == {
        "level": "error",
        "message": "The pack house-rules names a family that nobody declares: retinod.",
        "suggestion": "Did you mean retinoid?",
        "where": None,
        "pack": "house-rules",
    }


def test_a_dated_place_has_its_date_and_one_day_is_one_day() -> None:
    dated = Occurrence(1, 13, "saturday", "evening", None, "2026-03-14")
    daily = Occurrence(1, 1, None, None, 1)
    found = built.finding(Place(0, 7), occurs=(dated, daily))
    once, every = document(built.review(built.file_result(findings=(found,))))["files"][0]["findings"][0]["occurs"]
    assert once == {
        "phase": 1, "day": 13, "weekday": "saturday", "slot": "evening", "repeats": None, "date": "2026-03-14",
    }  # fmt: skip
    assert every == {"phase": 1, "day": 1, "weekday": None, "slot": None, "repeats": "1 day"}


def test_the_summary_counts_files_not_people_and_only_what_is_in_force() -> None:
    found = built.review(*built.studio(), built.unreadable())
    assert document(found)["summary"] == {
        "files": 2, "unreadable": 1, "avoid": 1, "caution": 1, "advice": 0, "possible": 1, "waived": 1,
    }  # fmt: skip


def test_what_is_hidden_is_still_counted() -> None:
    whole = built.review(*built.studio())
    shown = document(without_possible(whole), count(whole))
    assert [finding["certainty"] for file in shown["files"] for finding in file["findings"]] == ["certain"] * 4
    assert shown["summary"]["possible"] == 1


def test_layout_of_the_text() -> None:
    text = render(REVIEWS["wide"])
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")
    assert '  "files": [\n    {\n      "path": "wide.regimen.yaml"' in text
    assert "夜用クリーム" in text


def test_what_has_no_end_is_null() -> None:
    endless = built.finding(Place(0, 7), measured=Measured("course", float("inf"), "days", "at most 8 weeks"))
    shown = json.loads(render(built.review(built.file_result(findings=(endless,)))))
    assert shown["files"][0]["findings"][0]["measured"]["value"] is None


texts = st.text(st.characters(exclude_categories=()), max_size=12)
spots = st.integers(-3, 60)


@settings(deadline=None)
@given(texts, texts, texts, spots, spots)
def test_no_text_breaks_the_document(title: str, words: str, line: str, start: int, end: int) -> None:
    where = Place(start, end, words)
    found = built.finding(
        where,
        message=words,
        why=title,
        unknown=(words,),
        sources=(title,),
        disputed=words,
        products=(title,),
        related=(Related(where, words), Related(Place(0, 1, "", "gone.yaml"), words)),
        matched=(Match(title, words, line),),
        measured=Measured(words, 0.5, title, line),
        mends=(Mend(words, (Edit(0, 1, line),)),),
        waived=Waived(words, title, "2026-09-30"),
        group=words,
    )
    problem = Problem(ERROR, words, title, where, pack=title, plugin=words)
    result = built.file_result(
        f"{line}\n{words}", regimen=title, person=words, findings=(found,), problems=(problem,), sources={}
    )
    readable = built.file_result(
        regimen=title, findings=(found,), sources={"calm.regimen.yaml": SourceText("calm.regimen.yaml", f"{line}\n{words}")}
    )
    data = render(built.review(result, readable, problems=(problem,))).encode("utf-8", "backslashreplace")
    back = json.loads(data.decode("utf-8"))
    VALIDATOR.validate(back)
    assert back["files"][0]["regimen"] == title
    assert back["files"][1]["findings"][0]["message"] == words
