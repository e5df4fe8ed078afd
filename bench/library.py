"""Measures a library of 10,000 regimen files: files a second and peak memory, against reading the same YAML alone.

    python bench/library.py [--files N] [--jobs N] [--only WORDS]

Each line is a run of its own with a cache of this bench's own; `--only kept` measures the lines that have the word.  "Reading
alone" is PyYAML's loader in C, which gives dictionaries without places and checks nothing.  Processor time is that of all
processes together: unlike the time by the clock it says something on a machine that has other work to do.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

from subjects import write_regimens

REVIEW = "import sys; from dermalint.cli.main import run; sys.exit(run())"
READ = """
import sys, yaml
from pathlib import Path
for path in sorted(Path(sys.argv[1]).rglob("*.regimen.yaml")):
    yaml.load(path.read_bytes(), Loader=yaml.CSafeLoader)
"""
# Runs the rest of its arguments and tells the most memory that it, or one of its processes, held (kilobytes on Linux), and
# the processor time that they took together.
WATCH = """
import resource, subprocess, sys
status = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL).returncode
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(status, used.ru_maxrss, used.ru_utime + used.ru_stime)
"""


def measure(name: str, files: int, command: list[str], environment: dict[str, str]) -> None:
    """Runs a command once and prints its figures."""
    start = perf_counter()
    watched = [sys.executable, "-c", WATCH, *command]
    done = subprocess.run(watched, env=environment, capture_output=True, text=True, check=True)
    seconds = perf_counter() - start
    status, memory, processor = (float(word) for word in done.stdout.split())
    if status:
        raise RuntimeError(f"{name} ended with {status:.0f}: {done.stderr}")
    each = processor / files * 1000
    print(
        f"  {name:<44} {seconds:>8.1f} s {files / seconds:>9,.0f} files/s {each:>7.2f} ms of processor a file"
        f" {memory / 1024:>7.0f} MiB",
        flush=True,
    )


def main() -> None:
    """Runs all measurements."""
    parser = argparse.ArgumentParser(description="Measure dermalint on a large library.")
    parser.add_argument("--files", type=int, default=10_000)
    parser.add_argument("--jobs", default="2")
    parser.add_argument("--only", default="")
    wanted = parser.parse_args()
    print(f"{wanted.files:,} files, Python {platform.python_version()}, {os.cpu_count()} processors")
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary, "library")
        write_regimens(folder, wanted.files)
        environment = {**os.environ, "DERMALINT_CACHE": str(Path(temporary, "cache"))}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        review = [sys.executable, "-c", REVIEW, "review", "--fail-at", "never", "--as", "json", str(folder)]
        jobs, several = ["--jobs", wanted.jobs], f"{wanted.jobs} processes"
        for name, command in {
            "reading alone (PyYAML, loader in C)": [sys.executable, "-c", READ, str(folder)],
            "review, one process, nothing kept": [*review, "--no-cache"],
            f"review, {several}, nothing kept": [*review, "--no-cache", *jobs],
            f"review, {several}, results written": [*review, *jobs],
            "review, one process, results kept": review,
            f"review, {several}, results kept": [*review, *jobs],
        }.items():
            if wanted.only in name:
                measure(name, wanted.files, command, environment)


if __name__ == "__main__":
    main()
