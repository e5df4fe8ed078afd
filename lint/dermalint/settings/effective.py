"""The settings in force, one line a value, with where each comes from."""

from __future__ import annotations

from collections.abc import Iterator

from dermalint.settings.model import Part, Settings
from dermalint.verdict.findings import SEVERITIES
from dermalint_grammar.record import Record

BUILT_IN = "as usual"


class Row(Record):
    """A key (with the folder it holds for, None: everywhere), its value in words, and where that is set."""

    key: str
    folder: str | None
    value: str
    origin: str


def effective(settings: Settings | None) -> list[Row]:
    """All settings, those that no file sets with their usual value."""
    rows = list(_everywhere(settings or Settings("", "")))
    for folder in settings.folders if settings else ():
        origin = f"{settings.shown if settings else ''}, line {folder.line}"
        rows += [Row(key, folder.path, value, origin) for key, value, _ in _of_part(folder.part) if value is not None]
    return rows


def _everywhere(settings: Settings) -> Iterator[Row]:
    listed = (
        ("packs", ", ".join(settings.packs) or None, "those that are installed"),
        ("plugins", None if settings.plugins is None else ", ".join(settings.plugins) or "none", "all that are installed"),
        *_of_part(settings.everywhere),
        ("possible", settings.possible, "show"),
        ("exclude", ", ".join(settings.exclude) or None, "nothing"),
        ("known", settings.known, "nothing"),
    )
    for key, value, usual in listed:
        line = settings.lines.get(key)
        if value is None or line is None:
            yield Row(key, None, usual, BUILT_IN)
        else:
            yield Row(key, None, value, f"{settings.shown}, line {line}")


def _of_part(part: Part) -> tuple[tuple[str, str | None, str], ...]:
    severities = ", ".join(f"{name} {severity}" for name, severity in sorted(part.severities.items()))
    stated = part.day.stated if part.day else {}
    clocks = ", ".join(f"{slot} {minutes // 60:02}:{minutes % 60:02}" for slot, minutes in stated.items())
    return (
        ("region", part.region, "what each file says"),
        ("stance", part.stance, "what each file says, else usual"),
        ("fail-at", part.fail_at, SEVERITIES[1]),
        ("severities", severities or None, "each rule's own"),
        ("day", clocks or None, "what each file says, else morning 07:00, midday 12:30, afternoon 15:30, evening 21:30"),
    )
