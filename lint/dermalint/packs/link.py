"""Linking packs: from the texts of rule files to one world and the rules whose every name is known.

What is at fault is left out with an explained problem, never read as something that matches nothing:

- a file that cannot be read, or has no head: the whole pack, and the packs that use it;
- a sentence that was not understood, a declaration or rule with an unknown name: that one, and what speaks of it;
- two packs of one name: the later one.  A pack given by the user stands in for an installed one of its name.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from dermalint.packs.declare import declare
from dermalint.packs.ledger import Ledger, ReadPack
from dermalint.packs.misplaced import misplaced
from dermalint.packs.model import GIVEN, LinkedRule, LoadedPack, PackFile, PackSet
from dermalint.packs.references import Reference, references
from dermalint.packs.scope import Scope
from dermalint.packs.triggers import has_substance, rule_triggers
from dermalint.packs.units import measure_mistakes, measures_asked
from dermalint.regimen.model import ERROR, HINT, Problem
from dermalint.spans import Place, SourceText
from dermalint.vocabulary.hierarchy import find_cycles, reachable
from dermalint.vocabulary.world import TOPICS, World, nearest
from dermalint_grammar import nodes
from dermalint_grammar.mistakes import Mistake
from dermalint_grammar.parse import parse_pack


def link_files(files: Sequence[tuple[PackFile, bytes]]) -> PackSet:
    """Parse and link rule files."""
    ledger = Ledger()
    read: list[ReadPack] = []
    sources: dict[str, SourceText] = {}
    for file, data in files:
        source = decode(file.shown, data)
        if isinstance(source, Problem):
            ledger.problems.append(source)
            continue
        sources[file.shown] = source
        pack = _parse(file, source, ledger)
        if pack is not None:
            read.append(pack)
    return link_packs(read, ledger, sources)


def link_packs(read: Sequence[ReadPack], ledger: Ledger, sources: Mapping[str, SourceText]) -> PackSet:
    """Link packs that were read; ``ledger`` holds the problems of reading them."""
    packs = _usable(_one_of_each_name(read, ledger), ledger)
    uses = {pack.name: {used.name.text for used in pack.pack.uses} for pack in packs}
    scope = Scope({name: reachable(name, uses) for name in uses}, {pack.name: pack.unread for pack in packs})
    ordered = sorted(packs, key=lambda pack: (_depth(pack.name, uses), pack.name))
    world = declare(ordered, scope, ledger)
    rules = _link_rules(sorted(packs, key=lambda pack: pack.name), scope, world, ledger)
    problems = ledger.close()
    told = {problem.place.path for problem in problems if problem.place is not None}
    return PackSet(
        world=world,
        packs=tuple(
            LoadedPack(
                name=pack.name,
                version=pack.pack.version,
                title=pack.pack.title,
                about=pack.pack.about,
                path=pack.file.shown,
                file=pack.file.path,
                origin=pack.file.origin,
                uses=tuple(used.name.text for used in pack.pack.uses),
            )
            for pack in sorted(packs, key=lambda pack: pack.name)
        ),
        rules=tuple(rules),
        problems=problems,
        sources={shown: source for shown, source in sources.items() if shown in told},
    )


# --- reading -----------------------------------------------------------------------------------------------------------------


def decode(shown: str, data: bytes) -> SourceText | Problem:
    """The text of a rule file, or what is wrong with its bytes."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = f"{shown} is not UTF-8 text (line {line}), so none of it is used."
        return Problem(ERROR, message, "Save the file as UTF-8.")
    bom = text.startswith("\ufeff")
    return SourceText(shown, text.removeprefix("\ufeff"), bom)


def problem_of(mistake: Mistake, shown: str, pack: str | None = None) -> Problem:
    """A mistake of the language as a problem at its place in the file, with the example behind the message."""
    place = Place(mistake.span.start, mistake.span.end, "", shown)
    message = f"{mistake.message} For example: {mistake.example}" if mistake.example else mistake.message
    return Problem(ERROR, message, mistake.suggestion, place, pack)


def _parse(file: PackFile, source: SourceText, ledger: Ledger) -> ReadPack | None:
    parsed = parse_pack(source.text)
    pack = parsed.pack
    name = pack.name.text if pack is not None else None
    ledger.problems.extend(problem_of(mistake, file.shown, name) for mistake in parsed.mistakes)
    if pack is None:
        return None
    return ReadPack(file, source, pack, frozenset(name.text for name in parsed.unread))


# --- which packs -------------------------------------------------------------------------------------------------------------


def _one_of_each_name(read: Sequence[ReadPack], ledger: Ledger) -> list[ReadPack]:
    chosen: dict[str, ReadPack] = {}
    for pack in read:
        other = chosen.get(pack.name)
        if other is None:
            chosen[pack.name] = pack
        elif other.source.text == pack.source.text:
            continue
        elif pack.file.origin == GIVEN and other.file.origin != GIVEN:
            ledger.tell(
                pack,
                pack.pack.name.span,
                f"The pack {pack.name} is installed too ({other.file.shown}); the given file is used in its place.",
                level=HINT,
            )
            chosen[pack.name] = pack
        else:
            ledger.tell(
                pack,
                pack.pack.name.span,
                f"There is another pack called {pack.name} ({other.file.shown}), and one name stands for one pack; "
                "this one is left out.",
                "Give one of the two another name.",
            )
    return list(chosen.values())


def _usable(packs: Sequence[ReadPack], ledger: Ledger) -> list[ReadPack]:
    """The packs of which everything they use is there."""
    there = {pack.name: pack for pack in packs}
    for cycle in find_cycles({pack.name: {used.name.text for used in pack.pack.uses} for pack in packs}):
        walk = " → ".join(cycle)
        for name in dict.fromkeys(cycle):
            pack = there.pop(name)
            span = next(used.name.span for used in pack.pack.uses if used.name.text in cycle)
            ledger.tell(
                pack, span, f"These packs use each other in a circle: {walk}; {name} is left out.", "Take one `uses` out."
            )
    known = {pack.name for pack in packs}
    leaving = True
    while leaving:
        leaving = False
        for pack in list(there.values()):
            reason = next((why for used in pack.pack.uses if (why := _unusable(used, there, known))), None)
            if reason is not None:
                used, message, suggestion = reason
                ledger.tell(pack, used.name.span, f"{message}; the pack {pack.name} is left out.", suggestion)
                del there[pack.name]
                leaving = True
    return [pack for pack in packs if pack.name in there]


def _unusable(used: nodes.Used, there: Mapping[str, ReadPack], known: set[str]) -> tuple[nodes.Used, str, str | None] | None:
    name = used.name.text
    pack = there.get(name)
    if pack is None:
        if name in known:
            return used, f"The pack {name}, which it uses, is itself left out", None
        return used, f"There is no pack called {name} here", nearest(name, known) or f"Install the pack {name}."
    here = pack.pack.version
    if used.version is not None and _version(here) < _version(used.version):
        needed = f"{used.version} or later{f' and below {used.below}' if used.below else ''}"
        return used, f"The pack {name} is here in version {here}, and {needed} is needed", f"Install a later version of {name}."
    if used.below is not None and _version(here) >= _version(used.below):
        message = f"The pack {name} is here in version {here}, and one below {used.below} is needed"
        return used, message, f"Install an earlier version of {name}, or a later one of what uses it."
    return None


def _version(text: str) -> tuple[int, int, int]:
    numbers = [int(part) for part in text.split(".")][:3]
    return (*numbers, *(0,) * (3 - len(numbers)))  # type: ignore[return-value]  # three of them, counted above


def _depth(name: str, uses: Mapping[str, set[str]]) -> int:
    """How many packs a pack sees: always more than any pack that it uses."""
    return len(reachable(name, uses))


# --- rules -------------------------------------------------------------------------------------------------------------------


def _link_rules(packs: Sequence[ReadPack], scope: Scope, world: World, ledger: Ledger) -> list[LinkedRule]:
    declared: dict[str, str] = {}  # every rule written, sound or not, and its pack
    for pack in packs:
        declared.update((f"{pack.name}.{rule.name.text}", pack.name) for rule in pack.pack.rules)
    sound: dict[str, tuple[ReadPack, nodes.Rule]] = {}
    for pack in packs:
        for rule in pack.pack.rules:
            full = f"{pack.name}.{rule.name.text}"
            if full in sound:
                message = f"This pack already has a rule {rule.name.text}; this second one is left out."
                ledger.tell(pack, rule.name.span, message, "Give it a name of its own.")
            elif _is_sound(pack, rule, scope, world, declared, ledger):
                sound[full] = (pack, rule)
    _check_examples(sound, scope, ledger)
    suspends = _suspensions(sound, ledger)
    return [
        LinkedRule(
            id=full,
            pack=pack.name,
            path=pack.file.shown,
            triggers=rule_triggers(rule.requirement, world.groups),
            suspends=suspends[full],
            rule=rule,
            measures=measures_asked((rule.requirement, *rule.conditions), world.groups),
        )
        for full, (pack, rule) in sound.items()
    ]


def _is_sound(
    pack: ReadPack, rule: nodes.Rule, scope: Scope, world: World, declared: Mapping[str, str], ledger: Ledger
) -> bool:
    what = f"the rule {rule.name.text}"
    sound = True
    for reference in _rule_references(rule):
        sound &= ledger.check(pack, reference, scope, what)
    for target in rule.suspends:
        owner = declared.get(_full(pack.name, target))
        if owner is not None and owner in scope.visible[pack.name]:
            continue
        sound = False
        if _is_unread(pack.name, target, scope):
            ledger.depend(pack, target.span, target.text, what)
            continue
        seen = {full for full, owner in declared.items() if owner in scope.visible[pack.name]}
        message, suggestion = f"There is no rule {target.text}", nearest(_full(pack.name, target), seen)
        if owner is not None:
            message = f"The rule {target.text} is in the pack {owner}: add `uses {owner}` at the top of this pack"
            suggestion = f"uses {owner}"
        ledger.tell(pack, target.span, f"{message}; {what} is left out.", suggestion)
    if rule.topic is not None and rule.topic not in TOPICS:
        sound = False
        message = f"{rule.topic} is not a topic (topics are {', '.join(TOPICS)}); {what} is left out."
        ledger.tell(pack, rule.span, message, nearest(rule.topic, set(TOPICS)))
    if sound:
        matter = frozenset({*world.substances, *world.families})
        parts: tuple[nodes.Node, ...] = (rule.requirement, *rule.conditions)
        for part in parts:
            for span, message, suggestion in measure_mistakes(
                part, world.measures, lambda term: has_substance(term, matter, world.groups)
            ):
                sound = False
                ledger.tell(pack, span, f"{message}; {what} is left out.", suggestion)
        for span, message, suggestion in misplaced(rule, world.groups):
            sound = False
            ledger.tell(pack, span, f"{message}; {what} is left out.", suggestion)
    return sound


def _rule_references(rule: nodes.Rule) -> Iterator[Reference]:
    yield from references(rule.requirement)
    for condition in rule.conditions:
        yield from references(condition)
    for area in rule.one_area:
        yield Reference(("area",), area.text, area.span)


def _check_examples(sound: Mapping[str, tuple[ReadPack, nodes.Rule]], scope: Scope, ledger: Ledger) -> None:
    """An example with an unknown name is told, and does not take its rule out of force."""
    for pack, rule in sound.values():
        for example in rule.examples:
            for reference in references(example):
                ledger.check(pack, reference, scope, f"an example of the rule {rule.name.text}", "cannot be checked")


def _full(pack: str, name: nodes.Name) -> str:
    return name.text if "." in name.text else f"{pack}.{name.text}"


def _is_unread(pack: str, target: nodes.Name, scope: Scope) -> bool:
    owner, _, rule = _full(pack, target).partition(".")
    return owner in scope.visible[pack] and rule in scope.unread.get(owner, ())


def _suspensions(sound: Mapping[str, tuple[ReadPack, nodes.Rule]], ledger: Ledger) -> dict[str, tuple[str, ...]]:
    """Which sound rules each rule suspends; rules that suspend each other in a circle suspend nothing."""
    suspends = {
        full: tuple(target for name in rule.suspends if (target := _full(pack.name, name)) in sound)
        for full, (pack, rule) in sound.items()
    }
    while cycles := find_cycles(suspends):
        for cycle in cycles:
            pack, rule = sound[cycle[0]]
            walk = " → ".join(cycle)
            message = f"These rules suspend each other in a circle: {walk}; they are all judged, and none suspends another."
            ledger.tell(pack, rule.suspends[0].span, message, "Take one `suspends` out.")
            for full in cycle:
                suspends[full] = tuple(target for target in suspends[full] if target not in cycle)
    return suspends
