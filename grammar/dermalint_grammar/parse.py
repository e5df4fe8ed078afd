"""Reading rule files.  Lark is imported only when a text is parsed."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .mistakes import Mistake
from .nodes import Condition, Example, GroupDecl, Name, Node, Pack, Rule, Span, Term
from .record import fields_of

if TYPE_CHECKING:
    from lark import Lark, Token, Tree

DEEPEST = 60
"""How many terms or conditions may stand inside one another."""

_STARTS = ("file", "tail", "items", "only_term", "only_condition", "only_example")

_ITEM_WORDS = (
    *("rule", "substance", "family", "group", "kind", "base", "area", "event", "trait"),
    *("region", "slot", "measure", "symptom", "allergy", "reason"),
)

# Where a declaration or rule begins.  The words of the second line also begin lines inside sentences, so there they count in
# the first column only.  No string and no comment crosses the end of a line, so the start of a line is in neither.
_ITEM_START = re.compile(
    r"^(?:[ \t]*(?:rule|substance|family|group)"
    r"|(?:kind|base|area|event|trait|region|slot|measure|symptom|allergy|reason))(?![\w-])",
    re.MULTILINE,
)
_HEAD_START = re.compile(r"^[ \t]*(?:pack|title|about|uses)(?![\w-])", re.MULTILINE)
_FIRST_WORD = re.compile(r"^[^\W\d_][\w-]*", re.MULTILINE)
_NAME_BEHIND = re.compile(r"\s*[\w-]+\s+([a-z0-9-]+)")


@dataclass(frozen=True, slots=True)
class Parsed:
    """What a text says and what is wrong in it.

    ``pack`` holds what could be read: every declaration with a place for its name, and the rules without a mistake; it is
    None where the first line cannot be read.  ``unread`` are the names of declarations and rules that are not in ``pack``.
    """

    pack: Pack | None
    mistakes: tuple[Mistake, ...]
    unread: tuple[Name, ...] = ()


class _WholeWords:
    """Lets every kind of token be seen in every state, so that a slip is met as a whole word and never as half of one."""

    always_accept = ("NAME", "NUMBER", "STRING", "DATE", "VERSION", "CAS", "OPEN_STRING", "STRAY")

    def process(self, stream: Iterator[Token]) -> Iterator[Token]:
        return stream


@cache
def build_parser(strict: bool = False) -> Lark:
    """Build the parser of rules.lark; ``strict`` also proves it free of conflicts, which takes the package interegular."""
    from lark import Lark

    grammar = Path(__file__).with_name("rules.lark").read_text(encoding="utf-8")
    return Lark(
        grammar,
        parser="lalr",
        start=list(_STARTS),
        propagate_positions=True,
        strict=strict,
        cache=False,
        postlex=_WholeWords(),
    )


@dataclass(frozen=True, slots=True)
class _Slip:
    """Where the parsing of a piece stopped, in characters of the whole text, and whether the piece was whole before it."""

    position: int
    whole: bool


class _Reader:
    """Reads one text; what is wrong gathers in ``mistakes``."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.mistakes: list[Mistake] = []
        self.unread: list[Name] = []
        self._starts: list[int] = []

    def read_pack(self) -> Pack | None:
        """Read the whole text at once, and only where that fails piece by piece: every character at most three times."""
        from .reading.items import assemble_pack

        pieces = self.read_piece(0, len(self.text), "file")
        if isinstance(pieces, _Slip):
            self.mistakes.clear()
            pieces = self._read_pieces()
        self._starts = sorted(mistake.span.start for mistake in self.mistakes)
        sound = [piece for piece in pieces if not self._is_unsound(piece)]
        return assemble_pack(sound, len(self.text), self.mistakes)

    def read_piece(self, start: int, end: int, rule: str) -> Any:
        """Parse a piece of the text by one start rule: what it says, or a slip whose message is the last of the mistakes."""
        from .reading.items import ReadItems

        tree = self.parse_piece(start, end, rule, [])
        return tree if isinstance(tree, _Slip) else ReadItems(start, self.mistakes).transform(tree)

    def parse_piece(self, start: int, end: int, rule: str, tokens: list[Token]) -> Tree[Token] | _Slip:
        """Parse a piece into Lark's tree, and gather its tokens."""
        from lark import UnexpectedToken

        from .explain import Allowed, Met, explain_slip

        parser = build_parser().parse_interactive(self.text[start:end], start=rule)
        try:
            for token in parser.iter_parse():
                tokens.append(token)
            tree: Tree[Token] = parser.feed_eof(tokens[-1] if tokens else None)  # type: ignore[no-untyped-call]
        except UnexpectedToken as slip:
            position = end if slip.token.type == "$END" else start + (slip.token.start_pos or 0)
            accepted: set[str] = parser.accepts()  # type: ignore[no-untyped-call]
            words = _find_words()
            met = Met(slip.token.type, str(slip.token), position, Span(start, end))
            allowed = Allowed(
                tuple(sorted(words[kind] for kind in accepted & words.keys())), frozenset(accepted - words.keys())
            )
            self.mistakes.append(explain_slip(self.text, met, parser.parser_state.value_stack, allowed))
            return _Slip(position, "$END" in accepted)
        return tree

    def _read_pieces(self) -> list[Any]:
        """Read every declaration and rule by itself, so that a mistake in one leaves the others whole."""
        starts = [found.start() for found in _ITEM_START.finditer(self.text)]
        head_end = starts[0] if starts else len(self.text)
        head = [found.start() for found in _HEAD_START.finditer(self.text, 0, head_end)]
        bounds = [0, *head[1:], *starts, len(self.text)]
        nodes: list[Any] = []
        for number, (start, end) in enumerate(pairwise(bounds)):
            first = number == 0 or self.text[start:end].lstrip().startswith("pack")
            nodes += self._read_part(start, end, "items" if start >= head_end and number else "file" if first else "tail")
        return nodes

    def _read_part(self, start: int, end: int, rule: str) -> list[Any]:
        read = self.read_piece(start, end, rule)
        if not isinstance(read, _Slip):
            return list(read)
        stop = read.position
        if not (self._begins_line(stop) and self.mistakes[-1].suggestion in (None, *_ITEM_WORDS)):
            self._leave_unread(start, end)
            return []
        # A word in the first column that begins nothing we know: what stands before it may be whole, and is then kept.
        self._leave_unread(stop, end)
        for found in _FIRST_WORD.finditer(self.text, stop + 1, end):
            if found[0] not in _ITEM_WORDS and get_close_matches(found[0], _ITEM_WORDS, 1, 0.7):
                self.read_piece(found.start(), found.end(), "items")
                self._leave_unread(found.start(), end)
        return list(self.read_piece(start, stop, rule)) if read.whole else []

    def _begins_line(self, position: int) -> bool:
        return position < len(self.text) and self.text[position - 1 : position] in ("", "\n")

    def _leave_unread(self, start: int, end: int) -> None:
        """Note the name behind a piece's keyword, however wrong the rest is."""
        if found := _NAME_BEHIND.match(self.text, start, end):
            self.unread.append(Name(found[1], Span(*found.span(1))))

    def _is_unsound(self, node: Any) -> bool:
        """Whether a rule has a mistake, or anything is nested so deep that no one could read it (which is told of here)."""
        if not isinstance(node, Rule | GroupDecl):
            return False
        if _measure_depth(node) > DEEPEST:
            message = (
                f"Here more than {DEEPEST - 10} terms or conditions stand inside one another; name the inner ones with `group`."
            )
            self.mistakes.append(
                Mistake(node.name.span, message, "group strong-acid means glycolic-acid with strength at least 5 %.")
            )
        elif isinstance(node, GroupDecl) or not self._has_mistake(node.span):
            return False
        self.unread.append(node.name)
        return True

    def _has_mistake(self, span: Span) -> bool:
        return bisect_left(self._starts, span.start) < bisect_left(self._starts, span.end)


@cache
def _find_words() -> dict[str, str]:
    """The words and signs of the language by the parser's names for them."""
    return {term.name: term.pattern.value for term in build_parser().terminals if term.pattern.type == "str"}


def _measure_depth(node: Node) -> int:
    """How deep a tree goes, in nodes, counted without recursion."""
    deepest = 0
    waiting: list[tuple[Any, int]] = [(node, 1)]
    while waiting:
        one, depth = waiting.pop()
        if isinstance(one, Node):
            deepest = max(deepest, depth)
            waiting.extend((getattr(one, name), depth + 1) for name in fields_of(one))
        elif isinstance(one, tuple):
            waiting.extend((inner, depth) for inner in one)
    return deepest


def parse_pack(text: str) -> Parsed:
    """Parse a rule file.  Never raises: what is wrong is in ``mistakes``, in the order of the text."""
    reader = _Reader(_blank_mark(text))
    pack = reader.read_pack()
    return Parsed(pack, tuple(sorted(reader.mistakes, key=lambda mistake: mistake.span)), tuple(reader.unread))


def read_tree(text: str) -> tuple[Tree[Token] | None, list[Token], tuple[Mistake, ...]]:
    """Parse a rule file into Lark's tree and its tokens, for the layout; no tree, and the mistakes, where that fails."""
    tokens: list[Token] = []
    tree = _Reader(_blank_mark(text)).parse_piece(0, len(text), "file", tokens)
    if isinstance(tree, _Slip):
        return None, [], parse_pack(text).mistakes
    return tree, tokens, ()


def _blank_mark(text: str) -> str:
    """A byte order mark at the beginning says nothing; a blank takes its place, so that all others keep theirs."""
    return f" {text[1:]}" if text.startswith("\ufeff") else text


class Unreadable(ValueError):
    """A term, condition or example that stands alone cannot be read; ``mistakes`` say why."""

    def __init__(self, mistakes: tuple[Mistake, ...]) -> None:
        super().__init__(" ".join(mistake.message for mistake in mistakes))
        self.mistakes = mistakes


def _parse_alone(text: str, rule: str) -> Any:
    reader = _Reader(text)
    node = reader.read_piece(0, len(text), rule)
    if reader.mistakes:
        raise Unreadable(tuple(reader.mistakes))
    return node


def parse_term(text: str) -> Term:
    """Parse one term, such as ``retinoid with strength at least 0.3 %``; raises Unreadable."""
    term: Term = _parse_alone(text, "only_term")
    return term


def parse_condition(text: str) -> Condition:
    """Parse one condition, such as ``person is pregnant``; raises Unreadable."""
    condition: Condition = _parse_alone(text, "only_condition")
    return condition


def parse_example(text: str) -> Example:
    """Parse one example without the word before it; it counts as one that breaks; raises Unreadable."""
    example: Example = _parse_alone(text, "only_example")
    return example
