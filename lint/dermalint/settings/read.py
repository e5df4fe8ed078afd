"""Reading a settings file: every key is checked, and what is wrong is told at its place with the nearest that would do."""

from __future__ import annotations

import os
import posixpath
from collections.abc import Sequence
from pathlib import Path

from dermalint.regimen.decode import decoded
from dermalint.regimen.model import ERROR, DayClock, Problem
from dermalint.regimen.notes import Notes, excerpt
from dermalint.regimen.shapes import Group, group_of, items_of
from dermalint.regimen.surroundings import CLOCKS
from dermalint.regimen.toml_text import read_toml
from dermalint.regimen.tree import Mapping, Node, Scalar, TextError
from dermalint.regimen.tree import Sequence as Items
from dermalint.regimen.values import read_clock, read_text, read_word
from dermalint.settings.locate import SHARED_FILE, locate_settings
from dermalint.settings.model import OFF, Folder, Part, Settings, SettingsError
from dermalint.spans import SourceText
from dermalint.verdict.findings import SEVERITIES

STANCES = ("usual", "strict")
FAIL_AT = (*SEVERITIES, "never")
POSSIBLE = ("show", "hide", "fail")
PART_KEYS = ("region", "stance", "fail-at", "severities", "day")
KEYS = ("packs", "plugins", *PART_KEYS, "possible", "exclude", "known", "folder")
_EXAMPLE = 'region = "eu"'


def find_settings(paths: Sequence[str]) -> Settings | None:
    """The settings in force for a run on these paths, None without a settings file.

    Raises :class:`SettingsError` for a settings file that cannot be followed.
    """
    found = locate_settings(paths)
    return None if found is None else read_settings(found)


def read_settings(path: str) -> Settings:
    """Read a settings file.  Raises :class:`SettingsError` with all that is wrong with it."""
    shown = _shown(path)
    source = _source(path, shown)
    notes = Notes(shown)
    try:
        root = read_toml(source.text) if source.text.strip() else Mapping({}, 0, 0, "")
    except TextError as stopped:
        notes.stop(stopped)
        raise SettingsError(shown, tuple(notes.problems), source) from None
    if os.path.basename(path) == SHARED_FILE:  # noqa: PTH119
        root = _below(root, ("tool", "dermalint"))
    settings = _settings(notes, root, path, shown, source)
    if notes.problems:
        raise SettingsError(shown, tuple(notes.problems), source)
    return settings


def _shown(path: str) -> str:
    """The file as a command of the working directory would name it, where it lies below; else its whole path."""
    inside = os.path.relpath(path)
    return path if inside.startswith(os.pardir + os.sep) else inside


def _source(path: str, shown: str) -> SourceText:
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        message = f"{shown} cannot be read: {error.strerror or error}."
        raise SettingsError(shown, (Problem(ERROR, message, "Ask for the right to read it."),), None) from None
    source, wrong = decoded(data, shown)
    if wrong is not None:
        notes = Notes(shown)
        notes.stop(wrong)
        raise SettingsError(shown, tuple(notes.problems), source)
    return source


def _below(root: Node, names: tuple[str, ...]) -> Node:
    for name in names:
        root = root.entries[name].value if isinstance(root, Mapping) and name in root.entries else Mapping({}, 0, 0, "")
    return root


def _settings(notes: Notes, root: Node, path: str, shown: str, source: SourceText) -> Settings:
    folder = os.path.dirname(path)  # noqa: PTH120
    beside = os.path.dirname(shown)  # noqa: PTH120
    group = group_of(notes, root, "A settings file", KEYS, _EXAMPLE)
    if group is None:
        return Settings(shown, folder)

    def there(name: str) -> str:
        return os.path.join(beside, name)  # noqa: PTH118

    known = group.text("known", '"known.json"')
    plugins = group.value("plugins")
    folders = group.value("folder")
    return Settings(
        shown=shown,
        folder=folder,
        everywhere=_part(notes, group),
        packs=tuple(there(name) for name in _texts(notes, group.value("packs"), "packs", 'packs = ["house-rules"]')),
        plugins=None if plugins is None else _texts(notes, plugins, "plugins", 'plugins = ["dermalint"]'),
        possible=group.word("possible", POSSIBLE),
        exclude=_patterns(notes, group.value("exclude")),
        known=None if known is None else there(known),
        folders=() if folders is None else _folders(notes, folders, source),
        lines={name: source.position(entry.key.start).line for name, entry in group.entries.items()},
        source=source,
    )


def _part(notes: Notes, group: Group) -> Part:
    region = group.name("region", '"eu"')
    severities, day = group.value("severities"), group.value("day")
    return Part(
        region=region.name if region else None,
        stance=group.word("stance", STANCES),
        fail_at=group.word("fail-at", FAIL_AT),
        severities={} if severities is None else _severities(notes, severities),
        day=None if day is None else _day(notes, day),
    )


def _texts(notes: Notes, node: Node | None, field: str, example: str) -> tuple[str, ...]:
    if node is None or (isinstance(node, Items) and not node.items):
        return ()
    found = (read_text(notes, item, f"`{field}`", example) for item in items_of(notes, node, f"`{field}`", example))
    return tuple(text for text in found if text is not None)


def _patterns(notes: Notes, node: Node | None) -> tuple[str, ...]:
    patterns = _texts(notes, node, "exclude", 'exclude = ["drafts/"]')
    if patterns:
        from dermalint.settings.exclude import wrong_pattern

        assert isinstance(node, Items)
        for item, pattern in zip(node.items, patterns, strict=False):
            if wrong_pattern(pattern):
                notes.error(item, f"`{excerpt(pattern)}` is no pattern.", "Write it as in a .gitignore file: `drafts/`.")
    return patterns


def _severities(notes: Notes, node: Node) -> dict[str, str]:
    """Severities by rule or pack; ``acids.some-rule`` may stand in quotes or without (TOML then makes a group of it)."""
    example = '[severities] "acids.some-rule" = "advice"'
    if not isinstance(node, Mapping):
        notes.error(node, "`severities` is a group: a rule or a pack, and its severity.", f"Write it like `{example}`.")
        return {}
    found: dict[str, str] = {}
    for name, (_, value) in node.entries.items():
        inner = value.entries if isinstance(value, Mapping) else None
        each = {name: value} if inner is None else {f"{name}.{rule}": entry.value for rule, entry in inner.items()}
        for full, said in each.items():
            word = read_word(notes, said, full, (*SEVERITIES, OFF))
            if word is not None:
                found[full] = word
    return found


def _day(notes: Notes, node: Node) -> DayClock:
    group = group_of(notes, node, "`day`", CLOCKS, 'morning = "06:30"')
    if group is None:
        return DayClock()
    stated: dict[str, int] = {}
    for name in CLOCKS:
        value = group.value(name)
        clock = None if value is None else read_clock(notes, value, name)
        if clock is not None:
            stated[name] = clock
    return DayClock(stated)


def _folders(notes: Notes, node: Node, source: SourceText) -> tuple[Folder, ...]:
    found: list[Folder] = []
    for item in items_of(notes, node, "`folder`", '[[folder]] path = "archive"'):
        group = group_of(notes, item, "A folder", ("path", *PART_KEYS), 'path = "archive"')
        if group is None:
            continue
        if "path" not in group:
            notes.error(item, "This folder has no `path`.", 'Write it like `path = "archive"`, from this file\'s folder.')
            continue
        written = group.value("path")
        name = group.text("path", '"archive"')
        part = _part(notes, group)
        if name is None or not isinstance(written, Scalar):
            continue
        path = posixpath.normpath(name)
        if "\\" in name or posixpath.isabs(name) or path.startswith(".."):
            message = f"`{excerpt(name)}` is no folder below this file."
            notes.error(written, message, 'Write it with `/`, from this file\'s folder: `path = "courses/archive"`.')
            continue
        found.append(Folder(path, source.position(item.start).line, part))
    return tuple(found)
