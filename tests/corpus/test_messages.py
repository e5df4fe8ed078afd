"""The corpus's messages: each mistake is answered at its place, in these words."""

from __future__ import annotations

from typing import Any

import pytest
from corpus_cases import read_entries

from dermalint_grammar.parse import parse_pack
from judging import VOCABULARY, link_texts

CASES = [
    (f"{stem}-{number}: {entry['text'].removeprefix('pack p 1.0.0')[:70]!r}", entry)
    for stem, number, entry in read_entries("messages")
]
WRITTEN = [case for case in CASES if "with" not in case[1]]
LINKED = [case for case in CASES if "with" in case[1]]


def place_of(text: str, start: int, end: int) -> dict[str, str]:
    """Line and column, from 1 and in characters, and what is marked there."""
    line, column = text.count("\n", 0, start) + 1, start - text.rfind("\n", 0, start)
    return {"at": f"{line}:{column}", "marked": text[start:end]}


def told(where: dict[str, str], message: str, example: str | None, suggestion: str | None) -> dict[str, str]:
    said = {**where, "message": message}
    if example is not None:
        said["example"] = example
    return {**said, "suggestion": suggestion} if suggestion else said


@pytest.mark.parametrize("entry", [entry for _, entry in WRITTEN], ids=[name for name, _ in WRITTEN])
def test_a_mistake_in_writing(entry: dict[str, Any]) -> None:
    text = entry["text"]
    assert set(entry) == {"text", "mistakes"}
    assert [
        told(place_of(text, *mistake.span), mistake.message, mistake.example, mistake.suggestion)
        for mistake in parse_pack(text).mistakes
    ] == entry["mistakes"]


@pytest.mark.parametrize("entry", [entry for _, entry in LINKED], ids=[name for name, _ in LINKED])
def test_a_name_or_unit_that_nothing_answers_to(entry: dict[str, Any]) -> None:
    text = entry["text"]
    assert set(entry) == {"with", "text", "mistakes"}
    assert entry["with"] == VOCABULARY.stem
    said = []
    for problem in link_texts(text).problems:
        assert problem.place is not None
        where = place_of(text, problem.place.start, problem.place.end)
        said.append(told(where, problem.message, None, problem.suggestion))
    assert said == entry["mistakes"]


def test_there_are_enough_messages() -> None:
    assert len(WRITTEN) >= 150
    assert len(LINKED) >= 25
    assert max(len(entry["mistakes"]) for _, entry in WRITTEN) >= 10
