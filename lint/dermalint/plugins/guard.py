"""Calling what a plugin wrote: whatever it does, the call comes back.

How the limit of time is enforced: the call runs in a thread of its own and is waited for; a call that does not come back in
time is given up and the run goes on without it.  Its thread cannot be stopped (Python has no way to); it ends with the
process, and what it prints meanwhile is dropped.  Not caught: code that holds the interpreter's lock without end, that ends the
process from below (``os._exit``), and output that goes past ``sys.stdout``.  A plugin is code and runs with the user's rights;
``--without-plugins`` runs none.
"""

from __future__ import annotations

import io
import os
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

SECONDS = 5.0
SECONDS_VARIABLE = "DERMALINT_PLUGIN_SECONDS"


@dataclass(slots=True)
class Outcome:
    """What came of a call: ``value``, or ``fault`` in words; ``printed`` is what it wrote to standard output."""

    value: Any = None
    fault: str | None = None
    printed: str = ""
    late: bool = False


def time_limit() -> float:
    """Seconds that one call may take: ``DERMALINT_PLUGIN_SECONDS``, or five."""
    try:
        seconds = float(os.environ.get(SECONDS_VARIABLE, ""))
    except ValueError:
        return SECONDS
    return seconds if 0 < seconds < 3600 else SECONDS


def call_guarded(function: Callable[[], Any], seconds: float) -> Outcome:
    """Call a function, for at most so many seconds, with standard output kept apart."""
    outcome = Outcome()

    def work() -> None:
        try:
            outcome.value = function()
        except BaseException as fault:  # a plugin that wants to leave (SystemExit) must not take the run with it
            outcome.fault = f"raised {tell_fault(fault)}"

    thread = threading.Thread(target=work, name="dermalint plugin", daemon=True)
    kept = sys.stdout
    apart = io.TextIOWrapper(io.BytesIO(), "utf-8", "backslashreplace", newline="", write_through=True)
    sys.stdout = apart
    try:
        thread.start()
        thread.join(seconds)
    finally:
        sys.stdout = kept
    printed = "" if apart.closed else apart.buffer.getvalue().decode("utf-8", "replace")
    if thread.is_alive():
        _bar(thread)
        return Outcome(fault=f"did not come back within {seconds:g} seconds", printed=printed, late=True)
    outcome.printed = printed
    return outcome


def tell_fault(fault: BaseException) -> str:
    """A fault in one line."""
    try:
        text = " ".join(str(fault).split())
    except Exception:  # a plugin's own exception may fail even here
        text = ""
    text = text if len(text) <= 200 else f"{text[:200]}…"
    return f"{type(fault).__name__}: {text}" if text else type(fault).__name__


@dataclass(slots=True)
class _Shield:
    """Standard output for all threads but the barred ones, whose words go nowhere."""

    stream: Any
    barred: list[threading.Thread] = field(default_factory=list)

    def __getattr__(self, name: str) -> Any:
        return getattr(io.StringIO() if threading.current_thread() in self.barred else self.stream, name)


def _bar(thread: threading.Thread) -> None:
    if not isinstance(sys.stdout, _Shield):
        sys.stdout = _Shield(sys.stdout)
    sys.stdout.barred.append(thread)
