"""Taking times: medians, because one slow run says nothing about the program."""

from __future__ import annotations

import os
import statistics
import subprocess
from collections.abc import Callable, Mapping, Sequence
from time import perf_counter


def median_of(runs: int, action: Callable[[], object]) -> float:
    """The median duration of an action in seconds."""
    durations = []
    for _ in range(runs):
        start = perf_counter()
        action()
        durations.append(perf_counter() - start)
    return statistics.median(durations)


def median_of_process(runs: int, command: Sequence[str], settings: Mapping[str, str]) -> float:
    """The median duration of a whole process in seconds, after one run that is not counted.

    Raises RuntimeError when the command ends with another status than 0: a crash is fast, and no result.
    """
    environment = os.environ | settings

    def run() -> None:
        done = subprocess.run(command, env=environment, capture_output=True, check=False)
        if done.returncode:
            raise RuntimeError(f"{' '.join(command)} ended with {done.returncode}: {done.stderr.decode(errors='replace')}")

    run()
    return median_of(runs, run)
