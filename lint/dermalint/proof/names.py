"""Names that are unknown (as loading the packs found) and names that are declared and never used."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.packs.model import LoadedPack
from dermalint.packs.references import references
from dermalint.proof.flaws import FAULT, Answer, Flaw
from dermalint.proof.ground import Ground, parts
from dermalint.regimen.model import ERROR
from dermalint.spans import Place
from dermalint_grammar import nodes

# What only rules speak of: of no use where no rule does.  Substances, families, kinds, bases and areas are also for regimens.
_FOR_RULES = ("event", "trait", "symptom", "allergy", "reason", "region", "slot")


def trees(ground: Ground) -> list[tuple[LoadedPack, nodes.Pack]]:
    """Packs with their trees, read anew, once: those with rules that are proven or used, others for their figures.

    A pack whose file is gone or has no head is left out.
    """
    kept = ground.__dict__.get("_trees")
    if kept is None:
        from dermalint_grammar.parse import parse_pack

        with_rules = {linked.pack for linked in ground.rules}
        brings = {pack.name: set(pack.uses) for pack in ground.packs.packs}
        spoken_of = set[str]().union(*(_with_all(name, brings) for name in ground.names))
        read = [
            (pack, parse_pack(ground.text_of(pack.name)).pack)
            for pack in ground.packs.packs
            if (pack.name in with_rules and pack.name in spoken_of)
            or (pack.name in ground.names and _may_matter(ground, pack.name))
        ]
        kept = ground.__dict__["_trees"] = [(pack, tree) for pack, tree in read if tree is not None]
    return kept


def _may_matter(ground: Ground, pack: str) -> bool:
    text = ground.text_of(pack)
    return " memory " in text or "means" in text


def declared_in(ground: Ground) -> Iterator[tuple[LoadedPack, nodes.Declaration]]:
    """The declarations of the packs to be proven."""
    for pack, tree in trees(ground):
        if pack.name in ground.names:
            for declaration in tree.declarations:
                yield pack, declaration


def prove_names(ground: Ground) -> Answer:
    """Mistakes that loading found in the packs to be proven, names for rules that nothing uses, and idle `uses`."""
    flaws = list(_mistakes(ground))
    used = _used(ground)
    for pack, declaration in declared_in(ground):
        if pack.name in _vocabularies(ground):
            continue  # a pack of names alone is there for others
        sort, name = _for_rules(declaration)
        if sort and name not in used:
            place = Place(declaration.span.start, declaration.span.end, "", pack.path)
            message = f"The {sort} {name} is declared in the pack {pack.name}, and no rule or group speaks of it."
            flaws.append(Flaw("unused", FAULT, message, (), place, suggestion="Use it in a rule, or take it out."))
    flaws += _idle_uses(ground)
    return Answer(tuple(flaws))


def _mistakes(ground: Ground) -> Iterator[Flaw]:
    for problem in ground.packs.problems:
        if problem.level != ERROR or (problem.pack is not None and problem.pack not in ground.names):
            continue
        place = problem.place or Place(0, 0)
        yield Flaw("mistake", FAULT, problem.message, (), place, suggestion=problem.suggestion or "")


def _vocabularies(ground: Ground) -> frozenset[str]:
    """Packs without rules."""
    return ground.names - {linked.pack for linked in ground.proven}


def _for_rules(declaration: nodes.Declaration) -> tuple[str, str]:
    if isinstance(declaration, nodes.GroupDecl):
        return "group", declaration.name.text
    if isinstance(declaration, nodes.PlainDecl) and declaration.sort in _FOR_RULES:
        return declaration.sort, declaration.name.text
    return "", ""


def _used(ground: Ground) -> frozenset[str]:
    """All names that a rule or a group of any pack speaks of."""
    used: set[str] = set()
    for group in ground.world.groups.values():
        used.update(reference.name for reference in references(group.term))
    for linked in ground.rules:
        for part in (linked.rule.requirement, *linked.rule.conditions):
            used.update(reference.name for reference in references(part))
        used.update(area.text for area in linked.rule.one_area)
    return frozenset(used)


def _idle_uses(ground: Ground) -> Iterator[Flaw]:
    """`uses` of a pack of which, and of whose own packs, no name is used."""
    owners: dict[str, set[str]] = {}
    names: dict[str, set[str]] = {}
    for pack, tree in trees(ground):
        names[pack.name] = {_name_of(declaration) for declaration in tree.declarations} | {
            area.text for one in tree.declarations if isinstance(one, nodes.AreaDecl) for area in one.contains
        }
        names[pack.name] |= {f"{pack.name}.{rule.name.text}" for rule in tree.rules}
        for label in (
            text for one in tree.declarations if isinstance(one, nodes.SubstanceDecl) for text in (*one.inci, *one.also)
        ):
            names[pack.name].add(" ".join(label.casefold().split()))
        for name in names[pack.name]:
            owners.setdefault(name, set()).add(pack.name)
    with_rules = {linked.pack for linked in ground.rules}
    brings = {pack.name: set(pack.uses) for pack in ground.packs.packs}
    for pack, tree in trees(ground):
        if pack.name not in ground.names:
            continue
        spoken = {name.text for name in parts((tree.declarations, tree.rules)) if isinstance(name, nodes.Name)}
        for part in (*tree.declarations, *tree.rules):
            spoken |= {reference.name for reference in references(part)}
        for used in tree.uses:
            if used.name.text not in with_rules:
                continue  # packs of names alone bring more than what is spoken of
            others = [_with_all(other.name.text, brings) for other in tree.uses if other is not used]
            with_its_own = _with_all(used.name.text, brings).difference(*others)
            if any(names.get(one, set()) & spoken for one in with_its_own):
                continue
            place = Place(used.name.span.start, used.name.span.end, "", pack.path)
            message = f"The pack {pack.name} uses {used.name.text}, and speaks of nothing that it declares."
            yield Flaw("unused", FAULT, message, (), place, suggestion=f"Take {used.name.text} out of `uses`.")


def _with_all(pack: str, brings: dict[str, set[str]]) -> set[str]:
    found = {pack}
    waiting = [pack]
    while waiting:
        for other in brings.get(waiting.pop(), set()) - found:
            found.add(other)
            waiting.append(other)
    return found


def _name_of(declaration: nodes.Declaration) -> str:
    return declaration.name.text
