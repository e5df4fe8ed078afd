"""A long search for texts and rules that upset the language or the engine; far too long for the tests.

    python campaign/run.py [--packs 10000] [--texts 100000] [--regimens 2000] [--seed 1]

- Generated packs: written, read, laid out and read again are the same tree; laid out twice is laid out once.
- Damaged texts, from all shipped packs and the corpus: reading and laying out never fail and never hang, every mistake has
  its place and its example; what can still be read is laid out without changing a word.
- Generated rules on generated regimens: judging never fails and never hangs.

It stops at the first fault with what caused it, else it prints figures.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings

from dermalint.checks.asked import Asked
from dermalint.checks.judge import Bench, judge
from dermalint.packs.link import link_files
from dermalint.packs.model import GIVEN, PackFile
from dermalint.regimen.read import read_regimen
from dermalint.testing import WORDS, packs, regimen_texts
from dermalint_grammar.layout import layout_pack, read_words
from dermalint_grammar.nodes import Node, Pack, Span
from dermalint_grammar.parse import parse_pack
from dermalint_grammar.record import fields_of
from dermalint_grammar.write import write_pack
from mutate import Texts
from watch import Watch

Test = Callable[..., None]

PROJECT = Path(__file__).resolve().parents[1]
NOWHERE = Span(0, 0)
AS_OF = date(2026, 4, 1)
PER_TEXT = 2.0  # seconds of processor time that a short text may take, and so much for every character more
PER_CHARACTER = 0.0005
PER_JUDGING = 20.0


def rule_files() -> list[Path]:
    """All rule files of the project but those of the tests."""
    return sorted(path for room in ("grammar", "plugins", "rulesets") for path in (PROJECT / room).rglob("*.rules"))


def allowed(text: str) -> float:
    """The seconds of processor time that reading a text may take."""
    return PER_TEXT + PER_CHARACTER * len(text)


def placeless(node: Any) -> Any:
    """A tree with every place nowhere."""
    if isinstance(node, Span):
        return NOWHERE
    if isinstance(node, tuple):
        return tuple(placeless(one) for one in node)
    if isinstance(node, Node):
        return type(node)(*(placeless(getattr(node, name)) for name in fields_of(node)))
    return node


def examples(number: int, chosen: int) -> Callable[[Test], Test]:
    """How many examples Hypothesis makes, from which seed; nothing is kept."""
    usual = settings(
        max_examples=number, deadline=None, database=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck)
    )
    return lambda test: usual(seed(chosen)(test))


def search_packs(number: int, chosen: int) -> None:
    """Writing, reading and laying out generated packs."""
    watch = Watch()
    rules = characters = 0

    @examples(number, chosen)
    @given(packs(WORDS))
    def search(pack: Pack) -> None:
        nonlocal rules, characters
        written = write_pack(pack)
        with watch.bound(4 * allowed(written), f"{len(written):,} characters"):
            laid = layout_pack(written)
            assert laid.mistakes == (), laid.mistakes
            read = parse_pack(laid.text)
            assert read.mistakes == (), read.mistakes
            assert placeless(read.pack) == placeless(parse_pack(written).pack) == pack
            assert layout_pack(laid.text) == laid
        rules += len(pack.rules)
        characters += len(written)

    search()
    print(watch.tell("Generated packs"), f"- {rules:,} rules, {characters:,} characters", flush=True)


def search_texts(number: int, chosen: int) -> None:
    """Reading and laying out damaged texts."""
    texts = Texts(rule_files(), chosen)
    watch = Watch()
    whole = mistakes = 0
    for count in range(1, number + 1):
        text = texts.draw()
        try:
            with watch.bound(3 * allowed(text), f"{len(text):,} characters"):
                found = check_text(text)
        except BaseException:
            print(f"This text is at fault:\n{text!r}", file=sys.stderr)
            raise
        whole += found == 0
        mistakes += found
        if count % 10_000 == 0:
            print(watch.tell("… damaged texts"), flush=True)
    print(watch.tell("Damaged texts"), f"- {whole:,} still sound, {mistakes:,} mistakes told in the others", flush=True)


def check_text(text: str) -> int:
    """Read and lay out one text; how many mistakes it has."""
    parsed = parse_pack(text)
    assert parsed.pack is not None or parsed.mistakes
    for mistake in parsed.mistakes:
        assert 0 <= mistake.span.start <= mistake.span.end <= len(text), mistake
        assert mistake.message, mistake
        assert mistake.example, mistake
    if parsed.mistakes and len(text) % 8:
        return len(parsed.mistakes)  # the layout would only tell the same mistakes; now and then is enough
    laid = layout_pack(text)
    if not laid.mistakes:
        assert read_words(laid.text) == read_words(text)
        assert layout_pack(laid.text) == laid
    return len(parsed.mistakes)


def search_regimens(number: int, chosen: int) -> None:
    """Judging generated rules on generated regimens."""
    watch = Watch()
    told = 0

    @examples(number, chosen)
    @given(packs(), regimen_texts())
    def search(pack: Pack, text: str) -> None:
        nonlocal told
        linked = link_files([(PackFile("", "generated.rules", GIVEN), write_pack(pack).encode())])
        assert linked.problems == (), linked.problems
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "generated.regimen.yaml"
            path.write_text(text, encoding="utf-8")
            (regimen,) = read_regimen(path, shown=path.name, root=path.parent).regimens
        for stance in ("usual", "strict"):
            with watch.bound(PER_JUDGING, f"{len(linked.rules)} rules"):
                findings, _ = judge(Bench(linked.world, linked.rules), regimen, Asked(AS_OF, None, stance))
            told += len(findings)

    search()
    print(watch.tell("Judgings of generated regimens"), f"- {told:,} findings", flush=True)


def main() -> None:
    """Runs the whole campaign."""
    parser = argparse.ArgumentParser(description="Search long for what upsets dermalint.")
    parser.add_argument("--packs", type=int, default=10_000)
    parser.add_argument("--texts", type=int, default=100_000)
    parser.add_argument("--regimens", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    parse_pack("")  # builds the parser, which belongs to no text
    for search, number in ((search_packs, asked.packs), (search_regimens, asked.regimens), (search_texts, asked.texts)):
        if number:
            search(number, asked.seed)
    print("No fault was found.")


if __name__ == "__main__":
    main()
