"""Packs and their rules for reading: a list of sentences, or one rule with its reason, sources and examples."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dermalint.checks.tell import tell_source
from dermalint.checks.topics import topic_of
from dermalint.packs.model import LinkedRule, LoadedPack, PackSet
from dermalint.report.days import date_in_words
from dermalint.report.json_report import problem_as_data
from dermalint.report.page import Page, wrap
from dermalint.report.text_report import care, problem_note, ruled
from dermalint_grammar.nodes import Example, Severity, Span

FORMAT = "dermalint-rules/1"

_TEXT_OR_COMMENT = re.compile(r'("(?:[^"\\]|\\.)*")|#[^\r\n]*')


@dataclass(frozen=True, slots=True)
class PackCard:
    """A pack and those of its rules that are to be shown; ``text`` is its rule file, empty when it is gone."""

    pack: LoadedPack
    text: str
    rules: tuple[LinkedRule, ...]


def cards(packs: PackSet, wanted: Sequence[str] = ()) -> list[PackCard]:
    """Every pack with its rules, or only the packs and rules whose full names are ``wanted``."""
    found = []
    for pack in packs.packs:
        rules = tuple(
            rule for rule in packs.rules if rule.pack == pack.name and (not wanted or rule.id in wanted or pack.name in wanted)
        )
        if rules or not wanted or pack.name in wanted:
            found.append(PackCard(pack, _read(pack.file), rules))
    return found


def as_json(packs: PackSet, shown: Sequence[PackCard], version: str) -> str:
    """One document, ``dermalint-rules/1``."""
    document = {
        "format": FORMAT,
        "tool": {"version": version},
        "problems": [problem_as_data(problem, packs.sources, "") for problem in packs.problems],
        "packs": [
            {
                "name": card.pack.name,
                "version": card.pack.version,
                "title": card.pack.title,
                "about": card.pack.about,
                "rules": [_rule_as_json(rule, card.text) for rule in card.rules],
            }
            for card in shown
        ],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def as_text(page: Page, packs: PackSet, shown: Sequence[PackCard], whole: bool) -> str:
    """A list of rules, or with ``whole`` everything that each of them says."""
    lines: list[str] = []
    for problem in packs.problems:
        lines += [*problem_note(page, problem, packs.sources, ""), ""]
    for card in shown:
        if whole:
            for rule in card.rules:
                lines += [*_whole_rule(page, rule, card), ""]
        else:
            lines += [*_list(page, card), ""]
    number = sum(len(card.rules) for card in shown)
    if not whole:
        lines += [f"{number} rule{'' if number == 1 else 's'}. To read one whole: dermalint rules NAME", ""]
    lines += care(page)
    return page.finish(lines)


def _list(page: Page, card: PackCard) -> Iterator[str]:
    yield page.paint(f"{card.pack.name} {card.pack.version}", "title")
    yield from ruled(page, ". ".join(part.rstrip(".") for part in (card.pack.title, card.pack.about) if part))
    for rule in card.rules:
        severity = rule.rule.severity
        shown = severity or rule.rule.strict or Severity.ADVICE
        sentence = sentence_of(card.text, rule.rule.sentence)
        label = shown.capitalize() if severity else "if strict"
        yield from page.note(label, f"{rule.id}: {sentence}" if sentence else rule.id, shown)
    if not card.rules:
        yield from page.note("", "No rules, only names that other packs use.")


def _whole_rule(page: Page, linked: LinkedRule, card: PackCard) -> Iterator[str]:
    rule = linked.rule
    yield from (page.paint(line, "title") for line in wrap(linked.id, page.width))
    yield from ruled(page, f"pack {card.pack.name} {card.pack.version}" + (f" · {card.pack.title}" if card.pack.title else ""))
    sentence, clauses = _parts(linked, card.text)
    yield from page.note("says", sentence, body="title") if sentence else ()
    yield from page.note("where", clauses, body="title") if clauses else ()
    usual, strict = rule.severity or "silent", rule.strict or rule.severity
    stances = f"{usual} in both stances" if usual == strict else f"{usual} in the usual stance, {strict} in the strict one"
    yield from page.note("severity", stances)
    for label, text in (
        ("topic", topic_of(rule)),
        ("suspends", ", ".join(linked.suspends)),
        ("unknown", f"what is not known is taken as if the rule {rule.unknown}" if rule.unknown else ""),
        ("why", rule.why),
        ("what to do", rule.advise),
        ("other view", rule.disputed),
        ("review by", date_in_words(rule.review_by or "")),
    ):
        yield from page.note(label, text) if text else ()
    for number, source in enumerate(rule.sources):
        yield from page.note("" if number else "source", tell_source(source), body="faint")
    for example in rule.examples:
        yield from page.note("breaks" if example.breaks else "holds", example_text(example, card.text))


def _rule_as_json(linked: LinkedRule, text: str) -> dict[str, Any]:
    rule = linked.rule
    sentence, clauses = _parts(linked, text)
    return {
        "rule": linked.id,
        "severity": {"usual": rule.severity, "strict": rule.strict or rule.severity},
        "sentence": sentence_of(text, rule.sentence),
        "requirement": sentence,
        "clauses": clauses,
        "topic": topic_of(rule),
        "suspends": list(linked.suspends),
        "unknown": rule.unknown,
        "why": rule.why,
        "advise": rule.advise,
        "sources": [{"status": source.status, "text": source.text} for source in rule.sources],
        "disputed": rule.disputed or None,
        "review_by": rule.review_by,
        "examples": [{"breaks": example.breaks, "text": example_text(example, text)} for example in rule.examples],
    }


def _parts(linked: LinkedRule, text: str) -> tuple[str, str]:
    """The requirement and the clauses behind it, as they are written."""
    rule = linked.rule
    end = rule.requirement.span.end
    return sentence_of(text, Span(rule.sentence.start, end)), sentence_of(text, Span(end, rule.sentence.end)).rstrip(". ")


def sentence_of(text: str, span: Span) -> str:
    """What stands in a rule file at a span, in one line and without comments."""
    return " ".join(_TEXT_OR_COMMENT.sub(lambda found: found[1] or " ", text[span.start : span.end]).split())


def example_text(example: Example, text: str) -> str:
    """An example as written, without the word that it begins with."""
    if example.file:
        return f"the regimen in {example.file}"
    written = sentence_of(text, example.span)
    for word in ("breaks ", "holds "):
        written = written.removeprefix(word)
    return written


def _read(file: str) -> str:
    try:
        return Path(file).read_bytes().decode("utf-8-sig", "replace")
    except OSError:
        return ""
