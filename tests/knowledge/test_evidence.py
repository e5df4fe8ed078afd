"""What every rule must say and must not: reasons, sources with their status, examples that hold, and words of care."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from practice import AS_OF, bench, shipped

from dermalint.checks.examples import try_examples
from dermalint.packs.model import LinkedRule
from dermalint_grammar import nodes
from dermalint_grammar.nodes import Severity, Status

RULES = shipped().rules
IDS = [linked.id for linked in RULES]
FILES = {pack.name: Path(pack.file) for pack in shipped().packs}

every_rule = pytest.mark.parametrize("linked", RULES, ids=IDS)


def texts(rule: nodes.Rule) -> str:
    return " ".join([rule.why, rule.advise, rule.disputed, *(source.text for source in rule.sources)])


@every_rule
def test_a_rule_says_why_what_to_do_and_where_from(linked: LinkedRule) -> None:
    rule = linked.rule
    assert rule.why
    assert rule.advise
    assert rule.sources
    for text in (rule.why, rule.advise, *(source.text for source in rule.sources)):
        assert text[0].isupper() or text[0].isdigit(), text
        assert text.rstrip().endswith((".", "?")), text
    assert {example.breaks for example in rule.examples} == {True, False}


@every_rule
def test_examples_do_what_they_say(linked: LinkedRule) -> None:
    results = try_examples(bench(), linked, FILES[linked.pack].parent)
    assert [(result.example.breaks, result.problem) for result in results if not result.kept] == []


@every_rule
def test_what_is_to_be_avoided_rests_on_a_text_that_was_read(linked: LinkedRule) -> None:
    if Severity.AVOID in (linked.rule.severity, linked.rule.strict):
        assert Status.VERIFIED in {source.status for source in linked.rule.sources}


@every_rule
def test_common_practice_and_memory_say_so(linked: LinkedRule) -> None:
    """A source that is no publication names none: no section, volume or page that would look like one."""
    for source in linked.rule.sources:
        if source.status is Status.PRACTICE:
            assert not re.search(r"CFR \d|\d;\d|Regulation \(E", source.text), source.text
        if source.status is Status.VERIFIED:
            assert re.search(r"\d", source.text) or re.search(r"[A-Z]{2}|[A-Z]\w+ [A-Z]", source.text), source.text


CLAIMS = re.compile(
    r"\b(is|are|be|completely|totally|perfectly|always) (safe|harmless|risk-free)\b|\bsafely\b|\bno risk\b|\bguarantee", re.I
)
STOPPING = re.compile(r"\b(stop|discontinue|quit|drop|omit)\b", re.I)


@every_rule
def test_nothing_is_called_safe(linked: LinkedRule) -> None:
    assert CLAIMS.search(texts(linked.rule)) is None


@every_rule
def test_nobody_is_told_to_stop_a_prescribed_medicine(linked: LinkedRule) -> None:
    """Advice that asks to stop or pause, where a prescribed product may be meant, sends to the prescriber."""
    advice = linked.rule.advise
    assert STOPPING.search(advice) is None, advice
    about_medicines = re.search(
        r"retinoid|tretinoin|hydroquinone|isotretinoin|sulfone|calcineurin|minoxidil", str(linked.rule.requirement)
    )
    if re.search(r"\b(pause|wait until it has healed)\b", advice, re.I) and about_medicines:
        assert re.search(r"prescriber|doctor|pharmacist|clinic|midwife", advice, re.I), advice


@every_rule
def test_what_concerns_a_person_or_a_medicine_names_somebody_to_ask(linked: LinkedRule) -> None:
    rule = linked.rule
    if linked.pack == "people" and rule.severity is Severity.AVOID and "isotretinoin" not in linked.id:
        assert re.search(r"ask|talk", rule.advise, re.I), rule.advise


@every_rule
def test_a_review_date_lies_ahead(linked: LinkedRule) -> None:
    if linked.rule.review_by:
        assert date.fromisoformat(linked.rule.review_by) > AS_OF


@every_rule
def test_no_trade_marks(linked: LinkedRule) -> None:
    assert not re.search(r"[®™]|\(R\)|\(TM\)", texts(linked.rule))


def test_names_of_rules_say_one_thing_each() -> None:
    assert len(set(IDS)) == len(IDS) >= 200
    sentences: dict[str, str] = {}
    for linked in RULES:
        text = FILES[linked.pack].read_text("utf-8")[linked.rule.sentence.start : linked.rule.sentence.end]
        sentence = " ".join(text.split())
        assert sentences.setdefault(f"{linked.pack}: {sentence}", linked.id) == linked.id, sentence


def test_titles_of_groups_read_within_a_message() -> None:
    """A message says `serum (active that often irritates at first)`: titles are in the singular and without a full stop."""
    world = shipped().world
    for group in world.groups.values():
        assert group.title, group.key
        assert not group.title.endswith("."), group.title
        assert not re.match(r"(products|actives|acids|substances|medicines)\b", group.title), group.title
