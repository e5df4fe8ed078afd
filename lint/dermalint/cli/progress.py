"""A line on the terminal that says how far a long run is."""

from __future__ import annotations

import sys
from time import monotonic

_QUIET = 1.0  # seconds a run may last before anything is said
_APART = 0.1  # seconds between two states of the line


class Progress:
    """Called with how many files are done, of how many.

    ``wanted`` None means: on a terminal, once a run has lasted a second.  True: from the beginning, and a line a
    second where standard error is no terminal.
    """

    def __init__(self, wanted: bool | None) -> None:
        self._terminal = sys.stderr.isatty()
        self._line_each = not self._terminal
        self._next = monotonic() + (0.0 if wanted else _QUIET)
        self._shown = 0

    def __call__(self, done: int, files: int) -> None:
        now = monotonic()
        if now < self._next:
            return
        self._next = now + (1.0 if self._line_each else _APART)
        line = f"{done} of {files} files"
        if self._line_each:
            sys.stderr.write(line + "\n")
        else:
            sys.stderr.write("\r" + line.ljust(self._shown))
            self._shown = len(line)
        sys.stderr.flush()

    def clear(self) -> None:
        """Take the line away."""
        if self._shown:
            sys.stderr.write("\r" + " " * self._shown + "\r")
            sys.stderr.flush()
            self._shown = 0


def progress_wanted(wanted: bool | None) -> bool:
    """Whether a run is to have a line of progress."""
    return wanted if wanted is not None else sys.stderr.isatty()
