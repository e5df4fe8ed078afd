"""From declarations to the world: whose declaration counts, what joins what, and which contradict each other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from dermalint.packs.ledger import Ledger, ReadPack
from dermalint.packs.references import LABEL_NAME, MATTER, Reference, references, values
from dermalint.packs.scope import Scope
from dermalint.packs.triggers import has_substance
from dermalint.packs.units import measure_mistakes
from dermalint.vocabulary.hierarchy import area_masks, find_cycles, reachable
from dermalint.vocabulary.world import Family, Group, Measure, Substance, World, kebab_case, label_key
from dermalint_grammar import nodes
from dermalint_grammar.record import replace


def declare(packs: Sequence[ReadPack], scope: Scope, ledger: Ledger) -> World:
    """The world that the declarations of these packs make.

    ``packs`` come with used ones before their users: where two packs declare one name differently, the earlier one counts.
    A ``substance`` redeclared with nothing but ``in …`` joins further families.
    """
    table = _Table(scope, ledger)
    for pack, declaration in _declarations(packs):
        if not _only_joins(declaration):
            table.enter(pack, declaration)
    joins: dict[str, list[tuple[ReadPack, nodes.SubstanceDecl]]] = {}
    for pack, declaration in _declarations(packs):
        if isinstance(declaration, nodes.SubstanceDecl) and _only_joins(declaration):
            if table.joins(pack, declaration):
                joins.setdefault(declaration.name.text, []).append((pack, declaration))
            else:
                table.enter(pack, declaration)
    families = _families(table)
    substances = _substances(table, joins)
    labels = _labels(table, substances)
    scope.spellings = _spellings(labels)
    measures = {
        decl.name.text: Measure(decl.name.text, decl.unit, decl.adds) for decl in table.of("measure", nodes.MeasureDecl)
    }
    areas = _areas(table)
    edges: dict[str, set[str]] = {key: set(family.parents) for key, family in families.items()}
    for key, substance in substances.items():
        edges.setdefault(key, set()).update(substance.families)
    ancestors = {key: reachable(key, edges) for key in edges}
    members: dict[str, set[str]] = {key: set() for key in families}
    for key, above in ancestors.items():
        for family in above & families.keys():
            members[family].add(key)
    world = World(
        substances=substances,
        families=families,
        areas=areas,
        measures=measures,
        labels=labels,
        spellings=scope.spellings,
        ancestors=ancestors,
        members={key: frozenset(inside) for key, inside in members.items()},
        kinds=table.titles("kind"),
        bases=table.titles("base"),
        events=table.titles("event"),
        traits=table.titles("trait"),
        symptoms=table.titles("symptom"),
        allergies=table.titles("allergy"),
        reasons=table.titles("reason"),
        regions=table.titles("region"),
        slots=table.titles("slot"),
    )
    return replace(world, groups=_groups(table, world))


def _declarations(packs: Iterable[ReadPack]) -> Iterator[tuple[ReadPack, nodes.Declaration]]:
    for pack in packs:
        for declaration in pack.pack.declarations:
            yield pack, declaration


def sort_of(declaration: nodes.Declaration) -> str:
    """The word that a declaration begins with."""
    match declaration:
        case nodes.SubstanceDecl():
            return "substance"
        case nodes.FamilyDecl():
            return "family"
        case nodes.GroupDecl():
            return "group"
        case nodes.AreaDecl():
            return "area"
        case nodes.MeasureDecl():
            return "measure"
        case nodes.PlainDecl(sort=sort):
            return sort


def _only_joins(declaration: nodes.Declaration) -> bool:
    match declaration:
        case nodes.SubstanceDecl(inci=(), cas=(), also=(), pka=(), molar_mass=None, sources=()) as substance:
            return bool(substance.families)
        case _:
            return False


def _meaning(value: Any) -> Any:
    """A tree without its places, to compare what two declarations say."""
    if isinstance(value, nodes.Span):
        return None
    if isinstance(value, nodes.Node):
        return type(value).__name__, tuple(_meaning(each) for each in values(value))
    if isinstance(value, tuple):
        return tuple(_meaning(item) for item in value)
    return value


@dataclass(slots=True)
class _Table:
    """The declarations that count, by sort and name, in the order of packs and texts."""

    scope: Scope
    ledger: Ledger
    entries: dict[tuple[str, str], tuple[ReadPack, nodes.Declaration]] = field(default_factory=dict)

    def enter(self, pack: ReadPack, declaration: nodes.Declaration) -> None:
        """Take a declaration in, or say why it cannot count."""
        sort, name = sort_of(declaration), declaration.name.text
        other = self._rival(sort, name)
        if other is None:
            self.entries[sort, name] = (pack, declaration)
        else:
            by, standing = other
            if by.name == pack.name:
                same = "" if sort_of(standing) == sort else f", as a {sort_of(standing)}"
                self.ledger.tell(
                    pack,
                    declaration.name.span,
                    f"{name} is already declared in this pack{same}; this second declaration of it does not count.",
                    "Remove one of the two.",
                )
                return
            if _meaning(standing) != _meaning(declaration):
                self.scope.fail(pack.name, sort, name)
                self.ledger.tell(
                    pack,
                    declaration.name.span,
                    f"The pack {by.name} declares {name} too, and says something else; this declaration does not count.",
                    f"Add `uses {by.name}` and leave the declaration out, or choose another name.",
                )
                return
        self.scope.own(pack.name, sort, name)

    def _rival(self, sort: str, name: str) -> tuple[ReadPack, nodes.Declaration] | None:
        sorts: tuple[str, ...] = (sort,)
        if sort in MATTER:
            apart = {"substance": "family", "family": "substance"}.get(sort)  # a family may bear its member's name
            sorts = tuple(each for each in MATTER if each != apart)
        return next((self.entries[each, name] for each in sorts if (each, name) in self.entries), None)

    def joins(self, pack: ReadPack, declaration: nodes.SubstanceDecl) -> bool:
        """Whether a bare ``substance x in …`` speaks of a substance that another pack declares."""
        standing = self.entries.get(("substance", declaration.name.text))
        return standing is not None and standing[0].name != pack.name

    def of(self, sort: str, kind: type[Any]) -> Iterator[Any]:
        """The declarations of a sort that count."""
        for (each, name), (_, declaration) in list(self.entries.items()):
            if each == sort and isinstance(declaration, kind) and self.scope.owner(sort, name):
                yield declaration

    def by(self, sort: str, name: str) -> ReadPack:
        """The pack whose declaration counts."""
        return self.entries[sort, name][0]

    def titles(self, sort: str) -> dict[str, str]:
        """Names of a plain sort with their titles, by name."""
        return {decl.name.text: decl.title for decl in sorted(self.of(sort, nodes.PlainDecl), key=lambda decl: decl.name.text)}

    def drop_cycles(self, sort: str, edges: Callable[[], dict[str, set[str]]], say: Callable[[str], str]) -> None:
        """Fail every declaration that leads back to itself, until none does."""
        while cycles := find_cycles(edges()):
            for cycle in cycles:
                walk = " → ".join(cycle)
                for name in dict.fromkeys(cycle):
                    if (sort, name) not in self.entries:
                        continue
                    pack, declaration = self.entries[sort, name]
                    if name == cycle[0]:
                        self.ledger.tell(pack, declaration.name.span, say(walk), "Take one of these steps out.")
                    for owner in list(self.scope.owners.get((sort, name), ())):
                        self.scope.fail(owner, sort, name)
                    del self.entries[sort, name]


def _known(table: _Table, pack: ReadPack, names: Iterable[nodes.Name], sort: str, what: str, outcome: str) -> tuple[str, ...]:
    return tuple(
        name.text
        for name in names
        if table.ledger.check(pack, Reference((sort,), name.text, name.span), table.scope, what, outcome)
    )


def _families(table: _Table) -> dict[str, Family]:
    def edges() -> dict[str, set[str]]:
        return {decl.name.text: {name.text for name in decl.families} for decl in table.of("family", nodes.FamilyDecl)}

    table.drop_cycles("family", edges, lambda walk: f"These families are inside each other, which no family can be: {walk}.")
    families: dict[str, Family] = {}
    for decl in table.of("family", nodes.FamilyDecl):
        name = decl.name.text
        what = f"the family {name}"
        parents = _known(table, table.by("family", name), decl.families, "family", what, "is not put into it")
        families[name] = Family(name, decl.title, parents)
    return families


def _substances(table: _Table, joins: dict[str, list[tuple[ReadPack, nodes.SubstanceDecl]]]) -> dict[str, Substance]:
    substances: dict[str, Substance] = {}
    for decl in table.of("substance", nodes.SubstanceDecl):
        name = decl.name.text
        pack = table.by("substance", name)
        what = f"the substance {name}"
        into = list(_known(table, pack, decl.families, "family", what, "is not put into it"))
        for joining, also in joins.get(name, ()):
            if table.ledger.check(
                joining, Reference(("substance",), name, also.name.span), table.scope, what, "joins nothing more"
            ):
                into.extend(_known(table, joining, also.families, "family", what, "is not put into it"))
        if table.scope.owner("family", name):
            into.append(name)
        for cas in decl.cas:
            if not _check_digit_fits(cas.text):
                table.ledger.tell(
                    pack, cas.span, f"{cas.text} is no CAS number: its check digit does not fit.", "Look the number up again."
                )
        substances[name] = Substance(
            name,
            inci=decl.inci,
            also=decl.also,
            cas=tuple(cas.text for cas in decl.cas),
            pka=tuple(figure.value for figure in decl.pka),
            molar_mass=None if decl.molar_mass is None else decl.molar_mass.value,
            families=tuple(dict.fromkeys(into)),
        )
    return substances


def _check_digit_fits(cas: str) -> bool:
    """The last digit is the sum of the others, each times its place counted from the right, modulo ten (CAS)."""
    digits = [int(digit) for digit in cas if digit.isdigit()]
    return sum(place * digit for place, digit in enumerate(reversed(digits[:-1]), start=1)) % 10 == digits[-1]


def _labels(table: _Table, substances: dict[str, Substance]) -> dict[str, str]:
    labels: dict[str, str] = {}
    for name, substance in substances.items():
        for label in (*substance.inci, *substance.also):
            key = label_key(label)
            table.scope.own(table.entries["substance", name][0].name, LABEL_NAME, key)
            spelled = kebab_case(label)
            other = labels.setdefault(key, name)
            if other == name and spelled in substances:
                other = spelled
            if other != name:
                pack, declaration = table.entries["substance", name]
                table.ledger.tell(
                    pack,
                    declaration.name.span,
                    f'The substances {other} and {name} both claim the label name "{label}"; it is read as {labels[key]}.',
                    "Take the name out of one of the two.",
                )
    return labels


def _spellings(labels: dict[str, str]) -> dict[str, str]:
    spellings: dict[str, str] = {}
    for label, name in labels.items():
        spellings.setdefault(kebab_case(label), name)
    return spellings


def _areas(table: _Table) -> dict[str, int]:
    scope = table.scope

    def edges() -> dict[str, set[str]]:
        return {decl.name.text: {part.text for part in decl.contains} for decl in table.of("area", nodes.AreaDecl)}

    table.drop_cycles("area", edges, lambda walk: f"These areas contain each other, which no area can: {walk}.")
    contains: dict[str, tuple[str, ...]] = {}
    overlaps: list[tuple[str, str]] = []
    for decl in table.of("area", nodes.AreaDecl):
        pack = table.by("area", decl.name.text)
        for part in decl.contains:  # what an area contains is declared by being named there, unless it is another pack's
            if scope.owner("area", part.text) is None and not scope.at_fault(pack.name, "area", part.text):
                scope.own(pack.name, "area", part.text)
    for decl in table.of("area", nodes.AreaDecl):
        name = decl.name.text
        pack = table.by("area", name)
        what = f"for the area {name} it"
        contains[name] = _known(table, pack, decl.contains, "area", what, "does not count")
        overlaps += [(name, other) for other in _known(table, pack, decl.overlaps, "area", what, "does not count")]
    for parts in list(contains.values()):
        for part in parts:
            contains.setdefault(part, ())
    return area_masks(contains, overlaps)


def _groups(table: _Table, world: World) -> dict[str, Group]:
    scope, ledger = table.scope, table.ledger

    def edges() -> dict[str, set[str]]:
        declared = {decl.name.text: decl for decl in table.of("group", nodes.GroupDecl)}
        return {
            name: {ref.name for ref in references(decl.term) if "group" in ref.sorts and ref.name in declared}
            for name, decl in declared.items()
        }

    table.drop_cycles("group", edges, lambda walk: f"These groups are explained by each other, so none means anything: {walk}.")
    order: list[str] = []
    inside = edges()

    def place(name: str) -> None:  # a group after the groups it is explained by
        if name not in order:
            for other in sorted(inside[name]):
                place(other)
            order.append(name)

    for name in inside:
        place(name)
    groups: dict[str, Group] = {}
    matter = frozenset({*world.substances, *world.families})
    for name in order:
        pack, decl = table.entries["group", name]
        assert isinstance(decl, nodes.GroupDecl)
        what = f"the group {name}"
        sound = [ledger.check(pack, reference, scope, what) for reference in references(decl.term)]
        if all(sound):
            wrong = list(measure_mistakes(decl.term, world.measures, lambda term: has_substance(term, matter, groups)))
            for span, message, suggestion in wrong:
                ledger.tell(pack, span, f"{message}; {what} is left out.", suggestion)
            if not wrong:
                groups[name] = Group(name, decl.title, decl.term)
                continue
        for owner in list(scope.owners.get(("group", name), ())):
            scope.fail(owner, "group", name)
    return groups
