"""Write `docs/packs/`: a page for every shipped pack, made from the pack itself.  Run by `make docs`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from dermalint.checks.topics import topic_of
from dermalint.packs.load import load_packs
from dermalint.packs.model import LinkedRule, PackSet
from dermalint.report.days import date_in_words
from dermalint.report.rules_report import PackCard, cards, example_text, sentence_of
from dermalint.vocabulary.world import World, in_words
from dermalint_grammar.nodes import Source, Status

FOLDER = Path(__file__).resolve().parent / "packs"
PROJECT = FOLDER.parents[1]
MADE = "<!-- Made by docs/make_packs.py from the pack: change the pack and run `make docs`. -->"

READ = {
    Status.VERIFIED: "the text was read",
    Status.SECONDARY: "read in a text that reports it",
    Status.PRACTICE: "common practice",
    Status.MEMORY: "from memory, not looked up",
}


def pages() -> dict[str, str]:
    """The text of every page by its file name, of the packs that lie in this project."""
    packs = load_packs()
    assert not packs.problems, [problem.message for problem in packs.problems]
    shipped = [card for card in cards(packs) if Path(card.pack.file).resolve().is_relative_to(PROJECT)]
    texts = {f"{card.pack.name}.md": _page(card, packs) for card in shipped}
    return {"README.md": _index(shipped), **texts}


def _index(shipped: list[PackCard]) -> str:
    number = sum(len(card.rules) for card in shipped)
    lines = [
        MADE,
        "",
        "# The packs",
        "",
        f"{number} rules in {sum(1 for card in shipped if card.rules)} packs. A rule says what must hold in a regimen; a",
        "finding is a place where it does not. Nothing here is medical advice; what no rule speaks against is not",
        "thereby called harmless.",
        "",
        "| pack | rules | about |",
        "| --- | --- | --- |",
    ]
    for card in shipped:
        lines.append(f"| [{card.pack.name}]({card.pack.name}.md) | {len(card.rules) or ''} | {card.pack.about} |")
    return "\n".join(lines) + "\n"


def _page(card: PackCard, packs: PackSet) -> str:
    lines = [MADE, "", f"# {card.pack.title}", "", f"`{card.pack.name}` {card.pack.version}. {card.pack.about}"]
    for linked in card.rules:
        lines += ["", *_rule(linked, card.text)]
    if card.pack.name == "core":
        lines += ["", *_names(packs.world)]
    if card.pack.name == "substances":
        lines += ["", *_substances(packs.world)]
    return "\n".join(lines) + "\n"


def _rule(linked: LinkedRule, text: str) -> Iterator[str]:
    rule = linked.rule
    yield f"## {rule.name.text}"
    yield ""
    yield f"*{_severity(linked)} · {topic_of(rule)}*"
    yield ""
    yield f"> {sentence_of(text, rule.sentence)}"
    yield ""
    yield f"**Why.** {rule.why}"
    yield ""
    yield f"**What to do.** {rule.advise}"
    if rule.disputed:
        yield ""
        yield f"**The other view.** {rule.disputed}"
    if rule.review_by:
        yield ""
        yield f"**To be looked at again** by {date_in_words(rule.review_by)}."
    yield ""
    yield "**Sources**"
    yield ""
    yield from (f"- {source.text}{_status(source)}" for source in rule.sources)
    yield ""
    yield "**Examples**"
    yield ""
    for example in rule.examples:
        yield f"- {'breaks it' if example.breaks else 'keeps it'}: `{example_text(example, text)}`"


def _status(source: Source) -> str:
    """How the source is known; said once where its own words say it."""
    told = READ[source.status]
    return "" if source.text.lower().startswith(told) else f" ({told})"


def _severity(linked: LinkedRule) -> str:
    usual, strict = linked.rule.severity, linked.rule.strict
    if usual is None:
        return f"{strict} in the strict stance only"
    return f"{usual}, {strict} in the strict stance" if strict not in (None, usual) else str(usual)


def _names(world: World) -> Iterator[str]:
    for title, names in (
        ("Kinds of products", world.kinds),
        ("Vehicles", world.bases),
        ("Parts of the body", {name: in_words(name) for name in world.areas}),
        ("Events", world.events),
        ("Facts about the person", world.traits),
        ("Symptoms", world.symptoms),
        ("Allergies", world.allergies),
        ("What a regimen is for", world.reasons),
        ("Regions", world.regions),
    ):
        yield f"**{title}.** {', '.join(f'`{name}`' for name in names)}"
        yield ""


def _substances(world: World) -> Iterator[str]:
    yield "| name | label name | families |"
    yield "| --- | --- | --- |"
    for key, one in sorted(world.substances.items()):
        families = ", ".join(world.families[name].title or in_words(name) for name in one.families)
        yield f"| `{key}` | {' / '.join(one.inci) or key} | {families} |"


def main() -> None:
    """Write all pages, and remove those of packs that are gone."""
    made = pages()
    FOLDER.mkdir(exist_ok=True)
    for old in FOLDER.glob("*.md"):
        if old.name not in made:
            old.unlink()
    for name, text in made.items():
        (FOLDER / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
