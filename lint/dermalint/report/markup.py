"""HTML built so that no text can become markup: only :class:`Markup` goes in unescaped, and only :func:`element` makes it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape

from dermalint.report.page import tame
from dermalint.report.plain_data import clean

_VOID = frozenset({"meta", "link", "input", "br", "hr"})
_NOTHING: Mapping[str, str] = {}


class Markup(str):
    """HTML that is finished; anything else is text and is escaped where it goes in."""

    __slots__ = ()


def words(text: str) -> Markup:
    """A text as HTML: escaped, without signs that HTML forbids or that turn the direction of the line round."""
    if isinstance(text, Markup):
        return text
    return Markup(escape(clean(tame(text)).replace("\r", " ")))


def element(name: str, attributes: Mapping[str, str] = _NOTHING, *inner: str) -> Markup:
    """An element with its attributes and what is inside it.  An attribute with an empty value is written by its name alone."""
    given = "".join(f" {key}" if value == "" else f' {key}="{words(str(value))}"' for key, value in attributes.items())
    if name in _VOID:
        return Markup(f"<{name}{given}>")
    return Markup(f"<{name}{given}>{''.join(words(part) for part in inner)}</{name}>")


def raw(name: str, text: str) -> Markup:
    """A style or script element around a text of our own; raises ValueError where the text would end it."""
    if f"</{name}" in text.lower() or "<!--" in text:
        raise ValueError(f"the text would end its {name} element")
    return Markup(f"<{name}>{text}</{name}>")


def joined(parts: Iterable[str], between: str = "") -> Markup:
    """Parts in a row, each escaped unless it is markup."""
    return Markup(words(between).join(words(part) for part in parts))
