"""A field given another value, or a new field, in each way a group of fields can be written."""

from __future__ import annotations

from dermalint.mend.lists import start_of
from dermalint.mend.splices import Refused, Splice, line_end, line_start, newline_of
from dermalint.mend.values import TOML, YAML, Value, written, written_key
from dermalint.regimen.tree import Mapping, Node, Scalar


def set_field(text: str, group: Mapping, name: str, value: Value, language: str, behind: str) -> Splice:
    """The splice that gives a group's field a value; a new field goes ``behind`` another one.

    Raises :class:`Refused` where the text does not allow it.
    """
    entry = group.entries.get(name)
    if entry is not None:
        return replace_value(text, entry.key, entry.value, value, language)
    neighbour = group.entries.get(behind)
    if neighbour is None:
        raise Refused(f"there is no `{behind}` behind which `{name}` could be written")
    if neighbour.value.start < neighbour.key.end and language != TOML:
        raise Refused(f"`{behind}` is written in another place (an alias)")
    sign = " = " if language == TOML else ": "
    field = f"{written_key(name, language)}{sign}{written(value, language)}"
    if text.startswith("{", start_of(text, group)):
        at = neighbour.value.end
        lead = text[start_of(text, group) + 1 : next(iter(group.entries.values())).key.start]
        between = f",{lead}" if "\n" in lead and not lead.strip() else ", "
        return Splice(at, at, between + field)
    at = line_end(text, max(neighbour.value.end - 1, neighbour.key.end))
    indent = text[line_start(text, neighbour.key.start) : neighbour.key.start]
    if language == YAML:
        indent = " " * len(indent)  # in front of the first field of an item stands a dash
    newline = newline_of(text)
    if at == len(text) and not text.endswith("\n"):
        return Splice(at, at, f"{newline}{indent}{field}")
    return Splice(at, at, f"{indent}{field}{newline}")


def put_first(text: str, group: Mapping, name: str, value: Value, language: str) -> Splice:
    """The splice that writes a new field in front of all others of a group."""
    at = next(iter(group.entries.values())).key.start
    sign = " = " if language == TOML else ": "
    field = f"{written_key(name, language)}{sign}{written(value, language)}"
    if text.startswith("{", start_of(text, group)):
        lead = text[start_of(text, group) + 1 : at]
        between = f",{lead}" if "\n" in lead and not lead.strip() else ", "
    else:  # in front of the first field of an item may stand a dash
        between = newline_of(text) + " " * (at - line_start(text, at))
    return Splice(at, at, field + between)


def replace_value(text: str, key: Scalar, old: Node, value: Value, language: str) -> Splice:
    """The splice that puts another value behind a field's name."""
    put = written(value, language)
    if old.start < key.end:
        raise Refused(f"`{key.text}` stands for a value that is written in another place (an alias)")
    if text[old.start : old.start + 1] in ("&", "!") or start_of(text, old) != old.start:
        raise Refused(f"the value of `{key.text}` has an anchor")
    between = text[key.end : old.start]
    if "\n" in between and language == YAML:
        if "#" in between or "#" in text[old.start : old.end]:
            raise Refused(f"a comment stands inside the value of `{key.text}`")
        return Splice(key.end, old.end, f": {put}")
    if "#" in text[old.start : old.end] and not isinstance(old, Scalar):
        raise Refused(f"a comment stands inside the value of `{key.text}`")
    if old.start == old.end and not between.endswith((" ", "\t")):
        put = f" {put}"
    return Splice(old.start, old.end, put)
