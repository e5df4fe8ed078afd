"""Collecting what is wrong with a file, each thing at its place and with a suggestion."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from dermalint.regimen.model import ERROR, HINT, Problem
from dermalint.regimen.tree import Node, Scalar, TextError
from dermalint.spans import Place


@dataclass(slots=True)
class Notes:
    """The problems of one file; ``path`` names it when it is not the regimen's own."""

    path: str | None = None
    problems: list[Problem] = field(default_factory=list)

    def place(self, node: Node) -> Place:
        """Where a node stands."""
        return Place(node.start, node.end, node.pointer, self.path)

    def error(self, node: Node, message: str, suggestion: str) -> None:
        """Note something that keeps a value from being checked."""
        self.problems.append(Problem(ERROR, message, suggestion, self.place(node)))

    def hint(self, node: Node, message: str, suggestion: str) -> None:
        """Note something that is worth a look and changes nothing."""
        self.problems.append(Problem(HINT, message, suggestion, self.place(node)))

    def error_at(self, place: Place, message: str, suggestion: str) -> None:
        """Note an error at something that was read before."""
        self.problems.append(Problem(ERROR, message, suggestion, place))

    def hint_at(self, place: Place, message: str, suggestion: str) -> None:
        """Note a hint at something that was read before."""
        self.problems.append(Problem(HINT, message, suggestion, place))

    def twice(self, key: Scalar, text: str, first: int) -> None:
        """Note a field that is written a second time; ``first`` is where the one that counts stands."""
        line = text.count("\n", 0, first) + 1
        message = f"`{excerpt(key.text)}` is written twice; the first one, in line {line}, counts."
        self.error(key, message, "Delete one of the two, or join them.")

    def stop(self, error: TextError) -> None:
        """Note what kept the whole file from being read."""
        place = Place(error.start, error.end, error.pointer, self.path)
        self.problems.append(Problem(ERROR, error.message, error.suggestion, place))


_NEAR = 0.7  # how alike two names are, of 1, before one is offered for the other


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that a misspelt one most likely means, if any is near."""
    from difflib import get_close_matches

    plain = {candidate.lower(): candidate for candidate in known}
    found = get_close_matches(name.strip().lower().replace("_", "-").replace(" ", "-"), plain, n=1, cutoff=_NEAR)
    return plain[found[0]] if found else None


def listed(names: Iterable[str], last: str = "or") -> str:
    """Names as a sentence has them: `` `a`, `b` or `c` ``."""
    quoted = [f"`{name}`" for name in names]
    if len(quoted) < 2:
        return "".join(quoted)
    return f"{', '.join(quoted[:-1])} {last} {quoted[-1]}"


def meant(name: str, known: Iterable[str], otherwise: str) -> str:
    """The suggestion for a misspelt name: the nearest one, else what there is."""
    near = nearest(name, known)
    return f"Did you mean `{near}`?" if near else otherwise


def excerpt(text: str) -> str:
    """A value as a message quotes it: on one line, and not for ever."""
    text = " ".join(text.split())
    return text if len(text) <= 40 else text[:39] + "…"
