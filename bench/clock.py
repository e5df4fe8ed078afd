"""Taking times: medians, because one slow run says nothing about the program."""

from __future__ import annotations

import os
import statistics
import subprocess
from collections.abc import Callable, Mapping, Sequence
from time import perf_counter, process_time


def median_of(runs: int, action: Callable[[], object]) -> float:
    """The median of an action's processor time in this process, in seconds: others at work beside it do not count."""
    durations = []
    for _ in range(runs):
        start = process_time()
        action()
        durations.append(process_time() - start)
    return statistics.median(durations)


def medians_of_processes(runs: int, commands: Mapping[str, Sequence[str]], settings: Mapping[str, str]) -> dict[str, float]:
    """The median duration of whole processes by the clock, in seconds, after one run of each that is not counted.

    The commands take turns, so that a busy minute of the machine touches all of them.  Raises RuntimeError when one ends
    with another status than 0: a crash is fast, and no result.
    """
    environment = os.environ | settings
    # An installed command has its bytecode beside it; without this, some surroundings would compile it at every start.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    durations: dict[str, list[float]] = {name: [] for name in commands}
    for turn in range(runs + 1):
        for name, command in commands.items():
            start = perf_counter()
            done = subprocess.run(command, env=environment, capture_output=True, check=False)
            duration = perf_counter() - start
            if done.returncode:
                raise RuntimeError(f"{name} ended with {done.returncode}: {done.stderr.decode(errors='replace')}")
            if turn:
                durations[name].append(duration)
    return {name: statistics.median(taken) for name, taken in durations.items()}
