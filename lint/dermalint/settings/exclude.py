"""Patterns of files that a search of folders leaves out, as ``.gitignore`` has them; only settings with patterns pay."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence

from pathspec import GitIgnoreSpec


def wrong_pattern(pattern: str) -> bool:
    """Whether a pattern is none."""
    try:
        GitIgnoreSpec.from_lines([pattern])
    except ValueError:
        return True
    return False


def excluder(folder: str, patterns: Sequence[str]) -> Callable[[str, bool], bool]:
    """Whether a path is left out, given also whether it is a folder.

    Patterns count from ``folder`` (absolute); what lies outside of it is never left out.
    """
    spec = GitIgnoreSpec.from_lines(patterns)

    def left_out(path: str, is_folder: bool) -> bool:
        inside = os.path.relpath(os.path.abspath(path), folder).replace(os.sep, "/")  # noqa: PTH100
        if inside == "." or inside.startswith("../"):
            return False
        return spec.match_file(inside + "/" if is_folder else inside)

    return left_out
