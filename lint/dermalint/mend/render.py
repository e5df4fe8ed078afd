"""A changed plan as splices of the original text."""

from __future__ import annotations

from collections.abc import Sequence

from dermalint.mend.document import Document, node_at, parent_of
from dermalint.mend.fields import put_first, set_field
from dermalint.mend.lists import Keep, Piece, Put, block_text, dash_column, in_one_line, indented, is_flow, is_sound, rewrite
from dermalint.mend.plan import Plan, Row, days_for
from dermalint.mend.splices import Refused, Splice, in_order
from dermalint.mend.tables import is_tables, rewrite_tables
from dermalint.mend.values import JSON, TOML, YAML, Value, written
from dermalint.mend.words import span
from dermalint.regimen.days import WEEKDAYS
from dermalint.regimen.model import ApplyStep, Days, Step, WaitStep
from dermalint.regimen.tree import Mapping, Scalar
from dermalint.regimen.tree import Sequence as ListNode


def render(document: Document, before: Plan, after: Plan) -> tuple[Splice, ...]:
    """The splices that make the document say what the plan ``after`` says.

    Raises :class:`Refused` where its text does not allow it.
    """
    writer = _Writer(document, before, after)
    splices: list[Splice] = []
    for home in dict.fromkeys(row.home for row in before.rows):
        splices += writer.routines(home)
    for phase, (old, new) in enumerate(zip(before.cycles, after.cycles, strict=True)):
        if old != new:
            splices.append(writer.field(phase, "cycle", f"{new} days"))
    for phase, end in enumerate(after.spans):
        if end is not None and end != before.spans[phase]:
            splices.append(writer.field(phase, "for", span(end)))
    return tuple(in_order(dict.fromkeys(splices)))


class _Writer:
    """Writes one document's routines."""

    def __init__(self, document: Document, before: Plan, after: Plan) -> None:
        self.document = document
        self.text = document.source.text
        self.language = document.language
        self.before = before
        self.after = after
        self.steps: dict[str, Step] = {step.place.pointer: step for row in before.rows for step in row.steps}

    def list_at(self, pointer: str) -> ListNode:
        node = node_at(self.document.tree, pointer)
        if not isinstance(node, ListNode):
            raise Refused("its routines are not written as a list")
        return node

    def group_at(self, pointer: str) -> Mapping:
        node = node_at(self.document.tree, pointer)
        if not isinstance(node, Mapping):
            raise Refused("a routine is not written as a group of fields")
        return node

    def routines(self, home: str) -> list[Splice]:
        """The splices for one list of routines."""
        node = self.list_at(home)
        pieces: list[Piece] = []
        splices: list[Splice] = []
        started: set[str] = set()
        unchanged = True
        for row in self.after.rows:
            if row.home != home:
                continue
            if row.origin is None:
                pieces.append(self.new_routine(row, node))
                continue
            index = int(parent_of(row.origin)[1])
            inner = self.routine(row)
            if row.origin in started:
                pieces.append(Put(home=node, number=index, splices=tuple(inner), copied=True))
            else:
                started.add(row.origin)
                pieces.append(Keep(index))
                splices += inner
        kept = [piece.number for piece in pieces if isinstance(piece, Keep)]
        unchanged = kept == list(range(len(node.items))) and len(kept) == len(pieces)
        if unchanged and not splices:
            return []
        if not is_sound(node) and not is_tables(self.text, node):
            raise Refused("a routine is written in another place (an alias)")
        if unchanged:
            return splices
        if is_tables(self.text, node):
            return splices + rewrite_tables(self.text, node, pieces)
        return splices + rewrite(self.text, node, pieces, self.language)

    def routine(self, row: Row) -> list[Splice]:
        """What changes inside a routine, or inside the copy of it that a row needs."""
        assert row.origin is not None
        splices: list[Splice] = []
        if (days := days_for(self.after, row)) != row.routine.days:
            group = self.group_at(row.origin)
            splices.append(set_field(self.text, group, "days", _days(days), self.language, "slot"))
        if row.steps != row.routine.steps:
            node = self.list_at(f"{row.origin}/steps")
            splices += rewrite(self.text, node, [self.piece(step, row, splices) for step in row.steps], self.language)
        return splices

    def piece(self, step: Step, row: Row, splices: list[Splice]) -> Piece:
        """A step of a row; what changes inside one that keeps its place goes to ``splices``."""
        pointer = step.place.pointer
        if not pointer:
            return Put(value=_step(step))
        above, last = parent_of(pointer)
        changes = self.altered(step, pointer)
        if above == f"{row.origin}/steps":
            splices += changes
            return Keep(int(last))
        return Put(home=self.list_at(above), number=int(last), splices=tuple(changes), copied=self.stays(pointer))

    def stays(self, pointer: str) -> bool:
        return any(
            step.place.pointer == pointer and f"{row.origin}/steps" == parent_of(pointer)[0]
            for row in self.after.rows
            for step in row.steps
        )

    def altered(self, step: Step, pointer: str) -> list[Splice]:
        """What changes inside a step."""
        old = self.steps[pointer]
        if step == old:
            return []
        if not is_sound(self.list_at(parent_of(pointer)[0])):
            raise Refused("a step is written in another place (an alias)")
        node = node_at(self.document.tree, pointer)
        assert node is not None
        fields = _changed_fields(old, step)
        if isinstance(node, Scalar):
            return [Splice(node.start, node.end, written({"product": node.text, **fields}, self.language))]
        assert isinstance(node, Mapping)
        behind = "product" if "product" in node.entries else "mix" if "mix" in node.entries else "wait"
        return [set_field(self.text, node, name, value, self.language, behind) for name, value in fields.items()]

    def new_routine(self, row: Row, node: ListNode) -> Put:
        """A routine that the file does not have yet."""
        fields: dict[str, Value] = {"slot": row.slot}
        if (days := days_for(self.after, row)) != Days():
            fields["days"] = _days(days)
        if row.routine.at is not None:
            fields["at"] = clock(row.routine.at)
        pieces = [self.piece(step, row, []) for step in row.steps]
        puts = [piece for piece in pieces if isinstance(piece, Put)]
        if is_tables(self.text, node):
            lines = [f"[[{self.table_name(node)}]]"]
            lines += [f"{name} = {written(value, TOML)}" for name, value in fields.items()]
            return Put(lines="\n".join([*lines, f"steps = [{', '.join(self.one_line(puts))}]"]))
        if self.language != YAML or is_flow(self.text, node):
            sign = " = " if self.language == TOML else ": "
            inner = written(fields, self.language)[:-1]
            name = written("steps", JSON) if self.language == JSON else "steps"
            return Put(raw=f"{inner}, {name}{sign}[{', '.join(self.one_line(puts))}]}}")
        (first, value), *rest = fields.items()
        lines = [f"- {first}: {written(value, YAML)}", *(f"  {name}: {written(value, YAML)}" for name, value in rest)]
        return Put(lines="\n".join([*lines, "  steps:", *self.several_lines(puts)]))

    def one_line(self, puts: Sequence[Put]) -> list[str]:
        return [in_one_line(self.text, piece, self.language) for piece in puts]

    def several_lines(self, puts: Sequence[Put]) -> list[str]:
        lines: list[str] = []
        for piece in puts:
            if piece.home is None or is_flow(self.text, piece.home):
                lines.append(f"    - {in_one_line(self.text, piece, self.language)}")
            else:
                shifted = indented(block_text(self.text, piece), 4 - dash_column(self.text, piece.home), "\n")
                lines += shifted.replace("\r\n", "\n").removesuffix("\n").split("\n")
        return lines

    def table_name(self, node: ListNode) -> str:
        start = node.items[0].start
        return self.text[start + 2 : self.text.index("]]", start)]

    def field(self, phase: int, name: str, value: str) -> Splice:
        """The splice that gives a phase another cycle or an end."""
        home = next(row.home for row in self.before.rows if row.phase == phase)
        group = self.group_at(parent_of(home)[0])
        names = [other for other, entry in group.entries.items() if isinstance(entry.value, Scalar) and other != name]
        if not names:
            return put_first(self.text, group, name, value, self.language)
        behind = next((other for other in ("for", "starts", "about", "regimen") if other in names), names[0])
        return set_field(self.text, group, name, value, self.language, behind)


def _days(days: Days) -> Value:
    if days.weekdays:
        return [WEEKDAYS[number - 1] for number in days.weekdays]
    return list(days.numbers) or "every"


def _step(step: Step) -> Value:
    """A new step as a value."""
    if isinstance(step, WaitStep):
        return {"wait": f"{step.minutes} min"}
    fields = _changed_fields(replace_products(step), step)
    return {"product": step.products[0].name, **fields} if fields else step.products[0].name


def clock(minutes: int) -> str:
    """Minutes after midnight as a clock shows them."""
    return f"{minutes // 60 % 24:02}:{minutes % 60:02}"


def replace_products(step: ApplyStep) -> ApplyStep:
    """A step of the same products that says nothing else."""
    return ApplyStep(step.products, step.place)


def _changed_fields(old: Step, new: Step) -> dict[str, Value]:
    """The fields that differ, as far as mends change any."""
    if isinstance(new, WaitStep):
        return {"wait": f"{new.minutes} min"}
    assert isinstance(old, ApplyStep)
    fields: dict[str, Value] = {}
    if new.areas != old.areas:
        fields["areas"] = [area.name for area in new.areas]
    if new.without != old.without:
        fields["except"] = [area.name for area in new.without]
    if new.repeat_minutes != old.repeat_minutes and new.repeat_minutes is not None:
        minutes = new.repeat_minutes
        fields["repeat"] = f"every {minutes // 60} hours" if minutes % 60 == 0 else f"every {minutes} min"
    if new.repeat_until != old.repeat_until and new.repeat_until is not None:
        fields["until"] = clock(new.repeat_until)
    return fields
