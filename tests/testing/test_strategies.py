"""The strategies for authors of packs: what they make can be written, read, linked and judged."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench, judge
from dermalint.packs.link import link_files
from dermalint.packs.model import GIVEN, PackFile, PackSet
from dermalint.regimen.model import Reading
from dermalint.regimen.read import read_regimen
from dermalint.testing import (
    WORDS,
    Words,
    conditions,
    declarations_of,
    packs,
    regimen_texts,
    regimens,
    requirements,
    terms,
    words_of,
)
from dermalint.testing.words import NOWHERE, named
from dermalint.vocabulary.regimen_names import check_names
from dermalint.vocabulary.world import World
from dermalint_grammar.nodes import Condition, Node, Pack, Requirement, Term
from dermalint_grammar.record import fields_of
from dermalint_grammar.write import write_pack

SHIPPED = Path(__file__).resolve().parents[2] / "rulesets" / "dermalint_rulesets"
AS_OF = date(2026, 4, 1)
some = settings(max_examples=50, deadline=None, suppress_health_check=list(HealthCheck))


def link(*texts: str) -> PackSet:
    return link_files([(PackFile("", f"{number}.rules", GIVEN), text.encode()) for number, text in enumerate(texts)])


@cache
def shipped() -> tuple[tuple[str, ...], Words]:
    """The texts of the shipped vocabulary, and its words."""
    texts = tuple((SHIPPED / name).read_text(encoding="utf-8") for name in ("core.rules", "substances.rules"))
    return texts, words_of(link(*texts).world)


def read(text: str, ending: str = "yaml") -> Reading:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"generated.regimen.{ending}"
        path.write_text(text, encoding="utf-8")
        return read_regimen(path, shown="generated", root=Path(folder))


@some
@given(packs())
def test_a_pack_declares_what_it_needs_and_links_without_a_mistake(pack: Pack) -> None:
    linked = link(write_pack(pack))
    assert linked.problems == ()
    assert len(linked.rules) == len(pack.rules)
    assert set(words_of(linked.world).matter) >= set(WORDS.matter)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_a_pack_over_other_words_links_with_the_packs_that_declare_them(data: st.DataObject) -> None:
    texts, words = shipped()
    pack = data.draw(packs(words, uses=["core", "substances"]))
    linked = link(*texts, write_pack(pack))
    assert linked.problems == ()
    assert len(linked.rules) == len(pack.rules)


@some
@given(regimen_texts())
def test_a_regimen_is_read_without_a_mistake_and_its_names_are_known(text: str) -> None:
    reading = read(text)
    assert [problem for problem in reading.problems if problem.level == "error"] == []
    (regimen,) = reading.regimens
    assert check_names(regimen, own_world()) == ()


@cache
def own_world() -> World:
    return link(write_pack(Pack(named("own"), "1.0.0", "", "", (), declarations_of(WORDS), (), NOWHERE))).world


@some
@given(regimens())
def test_a_regimen_is_plain_data(document: dict[str, Any]) -> None:
    as_json, as_yaml = read(json.dumps(document), "json"), read(yaml.safe_dump(document))
    assert [regimen.title for regimen in as_json.regimens] == [regimen.title for regimen in as_yaml.regimens]
    assert set(as_json.regimens[0].products) == set(document["products"])


@some
@given(packs(), regimen_texts())
def test_any_rule_can_be_judged_on_any_regimen_and_twice_alike(pack: Pack, text: str) -> None:
    linked = link(write_pack(pack))
    (regimen,) = read(text).regimens
    for stance in ("usual", "strict"):
        once, again = (judge(Bench(linked.world, linked.rules), regimen, Asked(AS_OF, None, stance)) for _ in range(2))
        assert once == again
        assert {finding.rule for finding in once[0]} <= {rule.id for rule in linked.rules}


def sorts_of(strategy: st.SearchStrategy[Any]) -> set[type[Any]]:
    """The sorts of nodes that a strategy makes, inner ones too."""
    found: set[type[Any]] = set()

    @settings(max_examples=600, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(strategy)
    def gather(node: Any) -> None:
        waiting = [node]
        while waiting:
            one = waiting.pop()
            if isinstance(one, Node):
                found.add(type(one))
                waiting.extend(getattr(one, name) for name in fields_of(one))
            elif isinstance(one, tuple):
                waiting.extend(one)

    gather()
    return found


@pytest.mark.parametrize(
    ("strategy", "sorts"),
    [(terms(), get_args(Term)), (conditions(), get_args(Condition)), (requirements(), get_args(Requirement))],
    ids=["terms", "conditions", "requirements"],
)
def test_every_sort_of_sentence_comes_up(strategy: st.SearchStrategy[Any], sorts: tuple[type[Any], ...]) -> None:
    assert set(sorts) <= sorts_of(strategy)


def test_without_hypothesis_a_plain_message_says_what_to_install() -> None:
    program = "import sys; sys.modules['hypothesis'] = None; import dermalint.testing"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, encoding="utf-8", check=False)
    assert "pip install hypothesis" in done.stderr
    assert done.returncode == 1
