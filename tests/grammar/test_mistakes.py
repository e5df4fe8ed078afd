"""How mistakes are answered, whatever they are; the corpus's messages say with which words."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

import dermalint_grammar
from dermalint_grammar.constructs import CONSTRUCTS
from dermalint_grammar.parse import build_parser, parse_pack

MESSAGES = Path(dermalint_grammar.__file__).with_name("corpus") / "messages"
CASES: list[Any] = [
    pytest.param(case, id=f"{path.stem}: {case['text'].removeprefix('pack p 1.0.0')[:70]!r}")
    for path in sorted(MESSAGES.glob("*.yaml"))
    for case in yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    if "with" not in case
]


@pytest.mark.parametrize("case", CASES)
def test_messages_speak_the_language_and_no_other(case: dict[str, Any]) -> None:
    kinds = {term.name for term in build_parser().terminals} - {"CAS"}
    for mistake in parse_pack(case["text"]).mistakes:
        said = f"{mistake.message} {mistake.example} {' '.join(mistake.expected)}"
        assert not kinds & set(re.findall(r"\b[A-Z_]{2,}\b", said))
        assert not re.search(r"None|Token|Tree|\$END|__|Error|\bNAME\b", said)
        assert mistake.message.endswith(".")
        assert mistake.example


# Where the example of a message may stand in a rule file.
FRAMES = (
    "{}",
    "pack p 1.0.0 {}",
    "pack p 1.0.0 {} never use a.",
    "pack p 1.0.0 rule r avoid {}.",
    "pack p 1.0.0 rule r avoid {}",
    "pack p 1.0.0 rule r avoid never use a {}.",
    "pack p 1.0.0 rule r avoid never use {}.",
    "pack p 1.0.0 rule r avoid never use a. {}",
    "pack p 1.0.0 rule r avoid use a {}.",
    "pack p 1.0.0 rule r avoid never use a with strength {}.",
    "pack p 1.0.0 rule r avoid separate a from b by {}.",
    "pack p 1.0.0 substance s {}",
)


def is_valid(example: str) -> bool:
    return any(not parse_pack(frame.format(example)).mistakes for frame in FRAMES)


@pytest.mark.parametrize("case", CASES)
def test_every_example_in_an_answer_is_right_itself(case: dict[str, Any]) -> None:
    for mistake in parse_pack(case["text"]).mistakes:
        if not mistake.message.startswith("Decimals"):  # there the example carries the reader's own number
            assert is_valid(mistake.example), mistake.example


EXAMPLES = sorted({construct.example for construct in CONSTRUCTS if "\\1" not in construct.example})


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_that_a_message_may_show_is_right_itself(example: str) -> None:
    assert is_valid(example)


def test_what_was_expected_is_listed_in_the_words_of_the_language() -> None:
    (mistake,) = parse_pack("pack p 1.0.0\nrule r avoid separate a from b by night.").mistakes
    assert mistake.expected == ("day", "routine", "a number")
