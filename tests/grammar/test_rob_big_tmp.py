"""Whatever is written, reading it ends, and says where it went wrong inside the text."""

from __future__ import annotations

import re

from grammar_trees import strip_places
from hypothesis import given, settings
from hypothesis import strategies as st
from test_packs import ACIDS
from test_requirements import SENTENCES

from dermalint_grammar.parse import parse_pack

RULES = "pack p 1.0.0\n" + "\n".join(f"rule r{number} avoid {sentence}." for number, (sentence, _) in enumerate(SENTENCES))
WORDS = sorted(
    set(re.findall(r"[a-z-]+|[^\sa-z]", RULES + ACIDS)) | {"“", "é", "_", "0,3", ">=", "\n", '"', "#", "\ufeff", "\0"}
)


def check(text: str) -> None:
    parsed = parse_pack(text)
    for mistake in parsed.mistakes:
        assert 0 <= mistake.span.start <= mistake.span.end <= len(text)
        assert mistake.message
        assert mistake.example
    assert parsed.pack is not None or parsed.mistakes


@settings(max_examples=3000, deadline=None)
@given(st.lists(st.sampled_from(WORDS), max_size=40), st.sampled_from([" ", "\n", ""]))
def test_words_in_any_order(words: list[str], between: str) -> None:
    check("pack p 1.0.0\n" + between.join(words))


@settings(max_examples=3000, deadline=None)
@given(st.text(max_size=60))
def test_any_text(text: str) -> None:
    check(text)


@settings(max_examples=3000, deadline=None)
@given(st.data())
def test_a_sound_text_with_a_piece_replaced(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from([ACIDS, RULES[:2000]]))
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(len(text), start + 12)))
    check(text[:start] + data.draw(st.sampled_from(["", *WORDS])) + text[end:])


@settings(max_examples=3000, deadline=None)
@given(
    st.integers(0, len(SENTENCES) - 1), st.sampled_from(["kind 3", "rule x avoid", 'rule x avoid never use a. why "', "rule"])
)
def test_a_mistake_changes_nothing_in_the_other_rules(place: int, wrong: str) -> None:
    lines = RULES.split("\n")
    parsed = parse_pack("\n".join([*lines[: place + 1], wrong, *lines[place + 1 :]]))
    whole = parse_pack(RULES).pack
    assert len(parsed.mistakes) == 1
    assert parsed.pack is not None
    assert whole is not None
    assert strip_places(parsed.pack.rules) == strip_places(whole.rules)
