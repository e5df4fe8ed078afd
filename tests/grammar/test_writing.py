"""Trees as text: what is written is read back as it was, before and after the layout."""

from __future__ import annotations

from pathlib import Path

import pytest
from grammar_trees import HERE, strip_places
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dermalint.testing import WORDS, conditions, examples, packs, terms
from dermalint_grammar.breaking import WIDTH
from dermalint_grammar.layout import layout_pack, read_words
from dermalint_grammar.nodes import Condition, Example, ExampleRoutine, ExampleStep, GroupDecl, Name, Pack, PlainDecl, Term
from dermalint_grammar.parse import parse_condition, parse_example, parse_pack, parse_term
from dermalint_grammar.record import replace
from dermalint_grammar.write import write_condition, write_example, write_pack, write_term

PROJECT = Path(__file__).resolve().parents[2]
RULE_FILES = sorted(path for room in ("grammar", "plugins", "rulesets") for path in (PROJECT / room).rglob("*.rules"))
many = settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))


def read(text: str) -> Pack:
    parsed = parse_pack(text)
    assert parsed.mistakes == ()
    pack: Pack = strip_places(parsed.pack)
    return pack


@many
@given(terms(most=12))
def test_a_term_is_read_as_it_was_written(term: Term) -> None:
    assert strip_places(parse_term(write_term(term))) == term


@many
@given(conditions(most=8))
def test_a_condition_is_read_as_it_was_written(condition: Condition) -> None:
    assert strip_places(parse_condition(write_condition(condition))) == condition


@many
@given(examples())
def test_an_example_is_read_as_it_was_written(example: Example) -> None:
    assert strip_places(parse_example(write_example(example))) == replace(example, breaks=True)


@many
@given(packs(WORDS, most=3))
def test_a_pack_is_read_as_it_was_written_and_laid_out(pack: Pack) -> None:
    written = write_pack(pack)
    assert read(written) == pack
    laid = layout_pack(written)
    assert laid.mistakes == ()
    assert read(laid.text) == pack
    assert layout_pack(laid.text) == laid


@many
@given(terms(most=40), st.sampled_from(["", "# between\n"]))
def test_a_long_term_is_laid_out_within_the_width(term: Term, between: str) -> None:
    declared = GroupDecl(Name("long", HERE), "", term, HERE)
    laid = layout_pack(between + write_pack(Pack(Name("p", HERE), "1.0.0", "", "", (), (declared,), (), HERE))).text
    assert layout_pack(laid).text == laid
    for line in laid.splitlines():
        assert len(line) <= WIDTH or '"' in line
        assert line == line.rstrip() or line.endswith('"')


@pytest.mark.parametrize("path", RULE_FILES, ids=lambda path: path.name)
def test_a_shipped_pack_is_written_whole(path: Path) -> None:
    pack = read(path.read_text(encoding="utf-8"))
    assert read(write_pack(pack)) == pack


@pytest.mark.parametrize("path", RULE_FILES, ids=lambda path: path.name)
def test_a_shipped_pack_is_laid_out(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    laid = layout_pack(text)
    assert laid.mistakes == ()
    assert laid.text == text, "dermalint layout would change it"


def test_the_words_of_a_text_are_told_without_comments() -> None:
    assert read_words('pack p 1.0.0 # note\nkind x "a b"') == ["pack", "p", "1.0.0", "kind", "x", '"a b"']
    assert read_words("pack p") == []


@pytest.mark.parametrize("text", ['say "so"', "two\nlines"])
def test_what_no_text_can_say_is_refused(text: str) -> None:
    declared = PlainDecl("kind", Name("x", HERE), text, HERE)
    with pytest.raises(ValueError, match="quotation mark"):
        write_pack(Pack(Name("p", HERE), "1.0.0", "", "", (), (declared,), (), HERE))


def test_a_step_that_names_nothing_is_refused() -> None:
    routine = ExampleRoutine(None, False, "evening", (ExampleStep(None, None, (), None, HERE),), HERE)
    with pytest.raises(ValueError, match="names what is put on"):
        write_example(Example(True, (), (routine,), None, HERE))
