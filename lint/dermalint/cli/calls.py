"""Wrong calls: what is said about them, with the nearest spelling, and values that words of the command line stand for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Any

import click

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class WrongCall(click.UsageError):
    """A call that cannot be followed, with what to try instead."""

    def __init__(self, message: str, hint: str = "", ctx: click.Context | None = None) -> None:
        super().__init__(message, ctx)
        self.hint = hint


_Callback = Callable[[click.Context, click.Parameter, Any], Any]


def one_of(*words: str) -> _Callback:
    """An option's callback that lets only these words through."""

    def check(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
        if value is None or value in words:
            return value
        raise WrongCall(f"{param.opts[0]} takes {_either(words)}, not “{value}”.", nearest_of(value, words), ctx)

    return check


def calendar_date(ctx: click.Context, param: click.Parameter, value: str | None) -> date | None:
    """An option's callback that reads year-month-day."""
    if value is None:
        return None
    try:
        if _DATE.fullmatch(value):
            return date.fromisoformat(value)
    except ValueError:
        pass
    raise WrongCall(f"{param.opts[0]} takes a date, and “{value}” is none.", "Year, month, day: 2026-03-02", ctx)


def processes(ctx: click.Context, param: click.Parameter, value: str) -> int:
    """An option's callback that reads a number of processes; ``auto`` stands for one a processor that this run may use."""
    if value == "auto":
        import os

        allowed = getattr(os, "sched_getaffinity", None)
        return len(allowed(0)) if allowed else os.cpu_count() or 1
    if value.isascii() and value.isdigit() and len(value) <= 9 and int(value) >= 1:
        return int(value)
    raise WrongCall(f"{param.opts[0]} takes a whole number from 1 on, or auto, not “{value}”.", "", ctx)


def nearest_of(word: str, known: Iterable[str]) -> str:
    """``Did you mean …?``, or nothing when no known word is near."""
    from difflib import get_close_matches  # only a mistake pays for it

    close = get_close_matches(word.casefold(), sorted(known), n=1)
    return f"Did you mean {close[0]}?" if close else ""


def explain(wrong: click.UsageError, command: str) -> str:
    """A wrong call of a command in a few plain lines: what is wrong, the nearest that would do, where help is."""
    hint = ""
    message = wrong.format_message()
    if isinstance(wrong, WrongCall):
        hint = wrong.hint
    elif isinstance(wrong, click.NoSuchOption):
        message = f"There is no option {wrong.option_name}."
        known = [name for param in wrong.ctx.command.params for name in param.opts] if wrong.ctx else []
        hint = nearest_of(wrong.option_name, [name for name in [*known, "--help"] if name.startswith("-")])
    elif isinstance(wrong, click.BadOptionUsage):
        message = f"The option {wrong.option_name} needs a value behind it."
    return "\n".join(line for line in (message, hint, f"All about this command: {command} --help") if line)


def _either(words: Sequence[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
