"""The language reference and the tutorial: what their blocks say happens, and nothing of the language is left out.

How a block is marked, and what it promises, is told in the first section of the reference.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest

import dermalint_grammar
from dermalint.checks.asked import Asked
from dermalint.checks.examples import try_examples
from dermalint.checks.judge import Bench, judge
from dermalint.packs.find import find_packs
from dermalint.packs.link import link_files
from dermalint.packs.model import PackFile, PackSet
from dermalint_grammar import nodes
from dermalint_grammar.parse import build_parser, parse_pack
from judging import VOCABULARY, read_file

PROJECT = Path(__file__).resolve().parents[2]
REFERENCE = Path(dermalint_grammar.__file__).with_name("reference.md")
TUTORIAL = PROJECT / "docs" / "tutorial.md"
AS_OF = date(2026, 3, 2)
POSSIBLY = re.compile(r"#\s*possibly\s*$")

_PIECE = re.compile(
    r"^(?P<heading>##+ [^\n]*)$|<!-- (?P<sort>construct|clause): (?P<name>\w+) -->|^```(?P<mark>[a-z ]*)\n(?P<body>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block of a page."""

    page: Path
    line: int
    mark: str
    text: str

    @property
    def id(self) -> str:
        return f"{self.page.name}:{self.line}"


@dataclass(slots=True)
class Section:
    """What stands under one heading: the construct it is about, and its blocks."""

    heading: str
    sort: str = ""
    name: str = ""
    blocks: list[Block] = field(default_factory=list)


@cache
def sections(page: Path) -> tuple[Section, ...]:
    text = page.read_text(encoding="utf-8")
    found = [Section("")]
    for piece in _PIECE.finditer(text):
        if piece["heading"]:
            found.append(Section(piece["heading"]))
        elif piece["sort"]:
            found[-1].sort, found[-1].name = piece["sort"], piece["name"]
        else:
            found[-1].blocks.append(Block(page, text[: piece.start()].count("\n") + 1, piece["mark"].strip(), piece["body"]))
    return tuple(found)


def blocks(page: Path, mark: str) -> list[Block]:
    return [block for section in sections(page) for block in section.blocks if block.mark == mark]


@cache
def link(text: str) -> PackSet:
    """A block's rules, linked beside the corpus's vocabulary, or beside the shipped packs where it is a whole pack."""
    if text.startswith("pack "):
        files = [(file, Path(file.path).read_bytes()) for file in find_packs().files]
    else:
        files = [(PackFile(str(VOCABULARY), VOCABULARY.name, "given"), VOCABULARY.read_bytes())]
        text = f"pack example 1.0.0\nuses vocabulary\n{text}"
    return link_files([*files, (PackFile("example.rules", "example.rules", "given"), text.encode())])


def own_rules(block: Block) -> tuple[Bench, list[Any]]:
    packs = link(block.text)
    told = [problem.message for problem in packs.problems if problem.pack in (None, packs_name(block))]
    assert not told
    return Bench(packs.world, packs.rules), [rule for rule in packs.rules if rule.pack == packs_name(block)]


def packs_name(block: Block) -> str:
    found = re.match(r"pack (\S+)", block.text)
    return found[1] if found else "example"


RULES = [*blocks(REFERENCE, "rules"), *blocks(TUTORIAL, "rules")]


@pytest.mark.parametrize("block", RULES, ids=[block.id for block in RULES])
def test_examples_do_what_they_say(block: Block) -> None:
    bench, rules = own_rules(block)
    assert rules
    pack = block.text if block.text.startswith("pack ") else f"pack example 1.0.0\nuses vocabulary\n{block.text}"
    for linked in rules:
        results = try_examples(bench, linked, block.page.parent)
        assert results
        for result in results:
            span = result.example.span
            written = pack[span.start : pack.find("\n", span.end)]
            assert result.kept, f"{written}: {[finding.message for finding in result.findings]}"
            if result.example.breaks:
                certainties = {finding.certainty for finding in result.findings}
                assert certainties == {"possible"} if POSSIBLY.search(written) else "certain" in certainties, written


def with_regimens() -> Iterator[tuple[Block, Block]]:
    """Each regimen of the reference, with the rules it is judged by."""
    for section in sections(REFERENCE):
        rules: Block | None = None
        for block in section.blocks:
            if block.mark == "rules":
                rules = block
            elif block.mark.startswith("regimen "):
                assert rules is not None, block.id
                yield rules, block


REGIMENS = list(with_regimens())


@pytest.mark.parametrize(("rules", "block"), REGIMENS, ids=[block.id for _, block in REGIMENS])
def test_regimens_do_what_they_say(rules: Block, block: Block) -> None:
    bench, own = own_rules(rules)
    reading, lines = read_file(block.text)
    assert not lines, [problem.message for problem in reading.problems]
    findings, _ = judge(Bench(bench.world, tuple(own)), reading.regimens[0], Asked(AS_OF, None, "usual"))
    certainties = {finding.certainty for finding in findings}
    expected: dict[str, bool] = {
        "regimen breaks": "certain" in certainties,
        "regimen possibly": certainties == {"possible"},
        "regimen holds": not certainties,
    }
    assert expected[block.mark], [finding.message for finding in findings]


REFUSED = blocks(REFERENCE, "refused")


@pytest.mark.parametrize("block", REFUSED, ids=[block.id for block in REFUSED])
def test_what_is_refused_is_answered_so(block: Block) -> None:
    answer = block.text.rstrip().splitlines()[-1].removeprefix("# ")
    told = [problem for problem in link(block.text).problems if answer in problem.message]
    assert told, [problem.message for problem in link(block.text).problems]
    assert told[0].level == "error"


def kinds_in(value: Any) -> set[type]:
    if isinstance(value, tuple):
        return {kind for part in value for kind in kinds_in(part)}
    if isinstance(value, nodes.Node):
        inside = (getattr(value, name) for name in type(value).__match_args__)  # type: ignore[attr-defined]
        return {type(value)}.union(*(kinds_in(part) for part in inside))
    return set()


def shown(section: Section) -> Iterator[tuple[nodes.Rule, int, int]]:
    """Each rule of a section with how many of its examples and regimens break and hold."""
    for block in section.blocks:
        if block.mark == "rules":
            for linked in own_rules(block)[1]:
                examples = linked.rule.examples
                more = [other.mark for rules, other in REGIMENS if rules == block]
                yield (
                    linked.rule,
                    sum(example.breaks for example in examples) + more.count("regimen breaks"),
                    sum(not example.breaks for example in examples) + more.count("regimen holds"),
                )


CONSTRUCTS = [
    kind
    for union in (nodes.Declaration, nodes.Requirement, nodes.Term, nodes.Condition)
    for kind in get_args(union)
]


@pytest.mark.parametrize("kind", CONSTRUCTS, ids=[kind.__name__ for kind in CONSTRUCTS])
def test_every_construct_has_a_section_that_shows_it(kind: type) -> None:
    (section,) = [one for one in sections(REFERENCE) if (one.sort, one.name) == ("construct", kind.__name__)]
    rules = list(shown(section))
    if kind in get_args(nodes.Declaration):
        declared = {
            type(declaration)
            for block in section.blocks
            if block.mark == "rules"
            for declaration in declarations(block)
        } | ({nodes.MeasureDecl} if kind is nodes.MeasureDecl else set())
        assert kind in declared
        rules = [(rule, breaks, holds) for rule, breaks, holds in rules if breaks >= 2 and holds >= 2]
    else:
        rules = [one for one in rules if kind in kinds_in((one[0].requirement, one[0].conditions))]
    assert any(breaks >= 2 and holds >= 2 for _, breaks, holds in rules), section.heading


def declarations(block: Block) -> tuple[nodes.Declaration, ...]:
    parsed = parse_pack(f"pack example 1.0.0\n{block.text}")
    assert parsed.pack is not None
    return parsed.pack.declarations


@pytest.mark.parametrize("clause", ["suspends", "unknown", "pauses", "one_area"])
def test_every_clause_has_a_section_that_shows_it(clause: str) -> None:
    (section,) = [one for one in sections(REFERENCE) if (one.sort, one.name) == ("clause", clause)]
    assert any(breaks >= 2 and holds >= 2 for rule, breaks, holds in shown(section) if getattr(rule, clause)), section.heading


def test_no_section_is_about_what_the_language_does_not_have() -> None:
    named = [section.name for section in sections(REFERENCE) if section.sort == "construct"]
    assert sorted(named) == sorted(kind.__name__ for kind in CONSTRUCTS)


def test_every_word_of_the_language_is_in_the_reference() -> None:
    text = REFERENCE.read_text(encoding="utf-8")
    words = {term.pattern.value for term in build_parser().terminals if term.pattern.type == "str"}
    assert len(words) > 100
    missing = {word for word in words if word[0].isalpha() and not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text)}
    assert missing == set()


@pytest.mark.parametrize("page", [REFERENCE, TUTORIAL], ids=["reference", "tutorial"])
def test_every_block_is_marked(page: Path) -> None:
    marks = {"rules", "refused", "regimen breaks", "regimen possibly", "regimen holds", "yaml", "text"}
    assert {block.mark for section in sections(page) for block in section.blocks} <= marks


def test_links_inside_the_reference_lead_somewhere() -> None:
    text = REFERENCE.read_text(encoding="utf-8")
    headings = [line.removeprefix("## ").lower() for line in text.splitlines() if line.startswith("## ")]
    anchors = {re.sub(r"[^\w\- ]", "", heading).replace(" ", "-") for heading in headings}
    linked = set(re.findall(r"\]\(#([^)]+)\)", text))
    assert len(linked) > 10
    assert linked <= anchors
