"""A bound on the processor time of one piece of work, so that a hang ends the campaign with what caused it."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from time import process_time
from types import FrameType


class TooLong(Exception):
    """A piece of work took more processor time than it may."""


@dataclass
class Watch:
    """How long pieces of work took, in seconds of this process."""

    pieces: int = 0
    seconds: float = 0.0
    slowest: float = 0.0
    of: str = ""

    @contextmanager
    def bound(self, seconds: float, what: str) -> Iterator[None]:
        """Watch one piece of work.  Raises TooLong beyond ``seconds`` of processor time."""
        signal.signal(signal.SIGVTALRM, _stop)
        signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
        start = process_time()
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        taken = process_time() - start
        self.pieces += 1
        self.seconds += taken
        if taken >= self.slowest:
            self.slowest, self.of = taken, what

    def tell(self, name: str) -> str:
        """The figures in one line."""
        each = self.seconds / self.pieces * 1000 if self.pieces else 0.0
        return (
            f"{name}: {self.pieces:,} in {self.seconds:,.0f} s of processor time, {each:.1f} ms each, "
            f"slowest {self.slowest * 1000:,.0f} ms ({self.of})"
        )


def _stop(_signal: int, _frame: FrameType | None) -> None:
    raise TooLong
