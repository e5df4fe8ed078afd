"""Whole rule files: heads, declarations, rules with all their notes, and where everything stands."""

from __future__ import annotations

import pickle
import subprocess
import sys
from typing import Any

import pytest
from grammar_trees import HERE, ONE, A, last, read_rule, strip_places

from dermalint_grammar.nodes import (
    AreaDecl,
    CasNumber,
    FamilyDecl,
    Figure,
    GroupDecl,
    MeasureDecl,
    Name,
    Named,
    Node,
    NotCondition,
    Pack,
    PersonIs,
    PlainDecl,
    Severity,
    Source,
    Span,
    Status,
    SubstanceDecl,
    Used,
)
from dermalint_grammar.parse import parse_pack
from dermalint_grammar.record import fields_of

ACIDS = """\
# Hydroxy acids.
pack acids 1.0.0
title "Exfoliating acids"
about "Spacing, order, strength and sun advice for hydroxy acids."
uses core, sun 1.2 or later

family alpha-hydroxy-acid "alpha hydroxy acids"

substance glycolic-acid
  inci "Glycolic Acid"
  cas 79-14-1
  also "hydroxyacetic acid"
  pka 3.83
  molar-mass 76.05
  in alpha-hydroxy-acid

group strong-acid means
  alpha-hydroxy-acid with strength at least 5 % or beta-hydroxy-acid with strength at least 1 %.

rule acid-off-retinoid-nights caution, avoid if strict
  separate strong-acid from retinoid except adapalene by routine
  unless person is tolerant-to-retinoids.
  topic separation
  why "Two irritant actives in one routine add up: more stinging, peeling and barrier damage."
  advise "Use the acid on a night without the retinoid."
  source practice "Dermatology teaching; no published interval."
  disputed "Some sources allow a low-strength acid with an established retinoid."
  review-by 2027-06-30
  breaks  evening: glycolic-acid 7 %, retinol 0.3 %
  holds   monday evening: glycolic-acid 7 %; tuesday evening: retinol 0.3 %
"""


def read(text: str) -> Pack:
    parsed = parse_pack(text)
    assert parsed.mistakes == ()
    assert parsed.pack is not None
    return parsed.pack


def read_declaration(text: str) -> Any:
    (declaration,) = read(f"pack p 1.0.0\n{text}").declarations
    return strip_places(declaration)


def name(text: str) -> Name:
    return Name(text, HERE)


def figure(value: float, source: Source | None = None) -> Figure:
    return Figure(round(value * ONE), source, HERE)


def test_the_head_of_a_file() -> None:
    pack = strip_places(read(ACIDS))
    assert (pack.name, pack.version, pack.title) == (name("acids"), "1.0.0", "Exfoliating acids")
    assert pack.about == "Spacing, order, strength and sun advice for hydroxy acids."
    assert pack.uses == (Used(name("core"), None), Used(name("sun"), "1.2"))


def test_a_pack_may_be_its_first_line_alone() -> None:
    assert strip_places(read("pack p 0.1.0")) == Pack(name("p"), "0.1.0", "", "", (), (), (), HERE)


def test_used_packs_on_several_lines() -> None:
    assert [used.name.text for used in read("pack p 1.0.0\nuses a, b 2.0.1 or later\nuses c").uses] == ["a", "b", "c"]
    ranges = read("pack p 1.0.0\nuses a 1.2 or later and below 2.0, b 1.0.0 or later and below 1.4.2, c").uses
    assert [(used.version, used.below) for used in ranges] == [("1.2", "2.0"), ("1.0.0", "1.4.2"), (None, None)]


def test_a_substance() -> None:
    assert read_declaration(
        """substance citric-acid
             inci "Citric Acid" also "E 330", "2-hydroxypropane-1,2,3-tricarboxylic acid"
             cas 77-92-9 verified "Registry, 2024"
             pka 3.13, 4.76, 6.40 secondary "Handbook"
             molar-mass 192.12 verified "RDKit"
             in alpha-hydroxy-acid, chelator
             source memory "In general."
        """
    ) == SubstanceDecl(
        name("citric-acid"),
        ("Citric Acid",),
        (CasNumber("77-92-9", Source(Status.VERIFIED, "Registry, 2024", HERE), HERE),),
        ("E 330", "2-hydroxypropane-1,2,3-tricarboxylic acid"),
        tuple(figure(value, Source(Status.SECONDARY, "Handbook", HERE)) for value in (3.13, 4.76, 6.40)),
        figure(192.12, Source(Status.VERIFIED, "RDKit", HERE)),
        (name("alpha-hydroxy-acid"), name("chelator")),
        (Source(Status.MEMORY, "In general.", HERE),),
        HERE,
    )


def test_a_substance_that_is_only_a_name() -> None:
    assert read_declaration("substance 4-hexyl-resorcinol") == SubstanceDecl(
        name("4-hexyl-resorcinol"), (), (), (), (), None, (), (), HERE
    )


@pytest.mark.parametrize(
    ("text", "declaration"),
    [
        ('family retinoid "retinoids"', FamilyDecl(name("retinoid"), "retinoids", (), HERE)),
        ('family aha "AHA" in acid, active', FamilyDecl(name("aha"), "AHA", (name("acid"), name("active")), HERE)),
        ("group strong means a.", GroupDecl(name("strong"), "", A, HERE)),
        ('group strong "strong acids" means a.', GroupDecl(name("strong"), "strong acids", A, HERE)),
        ("area face contains nose, chin.", AreaDecl(name("face"), (name("nose"), name("chin")), (), HERE)),
        ("area beard overlaps cheeks.", AreaDecl(name("beard"), (), (name("cheeks"),), HERE)),
        ("area face contains nose overlaps neck.", AreaDecl(name("face"), (name("nose"),), (name("neck"),), HERE)),
        ('measure free-acid "%" adds', MeasureDecl(name("free-acid"), "%", True, HERE)),
        ('measure ph ""', MeasureDecl(name("ph"), "", False, HERE)),
        ("kind kind", PlainDecl("kind", name("kind"), "", HERE)),
        ('symptom peeling "peeling"', PlainDecl("symptom", name("peeling"), "peeling", HERE)),
    ],
)
def test_the_other_declarations(text: str, declaration: Node) -> None:
    assert read_declaration(text) == declaration


@pytest.mark.parametrize("sort", ["kind", "base", "event", "trait", "symptom", "allergy", "reason", "region", "slot"])
def test_plain_declarations(sort: str) -> None:
    assert read_declaration(f'{sort} x "y"') == PlainDecl(sort, name("x"), "y", HERE)


def test_declarations_may_follow_each_other_without_line_breaks() -> None:
    pack = read('pack p 1.0.0 kind a base b "b" event c family d "d" area e. slot f')
    assert [one.name.text for one in pack.declarations] == [*"abcdef"]


def test_a_rule_with_all_its_notes() -> None:
    (rule,) = strip_places(read(ACIDS)).rules
    assert (rule.name, rule.severity, rule.strict) == (name("acid-off-retinoid-nights"), Severity.CAUTION, Severity.AVOID)
    assert rule.conditions == (NotCondition(PersonIs("tolerant-to-retinoids", "is", HERE), HERE),)
    assert (rule.topic, rule.review_by) == ("separation", "2027-06-30")
    assert rule.why.startswith("Two irritant actives")
    assert rule.advise == "Use the acid on a night without the retinoid."
    assert rule.sources == (Source(Status.PRACTICE, "Dermatology teaching; no published interval.", HERE),)
    assert rule.disputed.endswith("established retinoid.")
    assert [example.breaks for example in rule.examples] == [True, False]


@pytest.mark.parametrize(
    ("standing", "usual", "strict"),
    [
        ("avoid", Severity.AVOID, None),
        ("caution", Severity.CAUTION, None),
        ("advice", Severity.ADVICE, None),
        ("caution, avoid if strict", Severity.CAUTION, Severity.AVOID),
        ("advice if strict", None, Severity.ADVICE),
    ],
)
def test_how_strongly_a_rule_speaks(standing: str, usual: Severity | None, strict: Severity | None) -> None:
    (rule,) = read(f"pack p 1.0.0\nrule r {standing} never use a.").rules
    assert (rule.severity, rule.strict) == (usual, strict)


def test_every_clause() -> None:
    rule = read_rule(
        "use a for at most 8 weeks if person is pregnant unless person has peeling from 2025-11-01 "
        "suspends acids.one, core.two suspends sun.three assume unknown breaks allowing pauses of 10 days "
        "counting face, neck as one area"
    )
    assert rule.conditions[0] == PersonIs("pregnant", "is", HERE)
    assert rule.conditions[1] == NotCondition(PersonIs("peeling", "has", HERE), HERE)
    assert len(rule.conditions) == 3
    assert rule.suspends == (name("acids.one"), name("core.two"), name("sun.three"))
    assert (rule.unknown, rule.pauses) == ("breaks", last(10, "day"))
    assert rule.one_area == (name("face"), name("neck"))


@pytest.mark.parametrize(
    "topic", ["separation", "order", "timing", "frequency", "strength", "sun", "person", "companion", "shelf"]
)
def test_topics(topic: str) -> None:
    assert read_rule("never use a", f"topic {topic}").topic == topic


def find(node: Any, kind: type) -> list[Any]:
    """All nodes of a kind in a tree, in its order."""
    if isinstance(node, kind):
        return [node]
    if isinstance(node, tuple) and not isinstance(node, Span):
        return [found for one in node for found in find(one, kind)]
    if isinstance(node, Node):
        return [found for one in fields_of(node) for found in find(getattr(node, one), kind)]
    return []


def test_places_point_at_what_they_name() -> None:
    pack = read(ACIDS)
    names = find(pack, Name)
    assert len(names) == 12
    assert all(ACIDS[one.span.start : one.span.end] == one.text for one in names)
    terms = find(pack.rules[0].requirement, Named)
    assert [ACIDS[one.span.start : one.span.end] for one in terms] == ["strong-acid", "retinoid", "adapalene"]


def test_places_of_larger_parts() -> None:
    pack = read(ACIDS)
    (rule,) = pack.rules
    at = {key: ACIDS[span.start : span.end] for key, span in {"rule": rule.span, "sentence": rule.sentence}.items()}
    assert at["sentence"].startswith("separate strong-acid")
    assert at["sentence"].endswith("tolerant-to-retinoids.")
    assert at["rule"].startswith("rule acid-off")
    assert at["rule"].endswith("retinol 0.3 %")
    assert ACIDS[slice(*rule.requirement.span)].endswith("by routine")  # type: ignore[misc]
    assert ACIDS[slice(*pack.declarations[1].span)].startswith("substance glycolic-acid\n")
    assert ACIDS[slice(*rule.examples[0].span)] == "breaks  evening: glycolic-acid 7 %, retinol 0.3 %"
    assert ACIDS[slice(*rule.examples[0].parts[0].span)] == "evening: glycolic-acid 7 %, retinol 0.3 %"


def test_places_count_characters_not_bytes() -> None:
    text = 'pack p 1.0.0\n# é 漢字 e\u0301\nkind crème-less "Crème 漢字"\nkind b'
    parsed = parse_pack(text)
    (mistake,) = parsed.mistakes
    assert text[slice(*mistake.span)] == "crème-less"
    assert parsed.pack is not None
    assert text[slice(*parsed.pack.declarations[0].name.span)] == "b"


def test_a_byte_order_mark_and_carriage_returns_are_no_matter() -> None:
    windows = "\ufeff" + ACIDS.replace("\n", "\r\n")
    assert strip_places(read(windows)) == strip_places(read(ACIDS))


def test_a_tree_survives_pickling() -> None:
    pack = read(ACIDS)
    assert pickle.loads(pickle.dumps(pack)) == pack


def test_lark_is_imported_only_when_a_text_is_parsed() -> None:
    code = "import sys, dermalint_grammar.layout, dermalint_grammar.parse; print('lark' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
