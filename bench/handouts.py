"""Measures hand-outs: reading, reviewing and writing a thousand pages, in as many processes as are asked for.

python bench/handouts.py [--count 1000] [--jobs 2]
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from pathlib import Path

from dermalint.handout.making import make
from dermalint.handout.preparing import prepare
from dermalint.regimen.read import read_regimen
from dermalint.review import Asked, open_desk, review_reading
from subjects import write_regimens

LANGUAGES = ("en", "nl", "de", "fr", "es")


def write_pages(paths: list[str]) -> int:
    """Writes the page of each file beside it, in one language after the other; gives the bytes."""
    desk, _ = open_desk(Asked(as_of=date(2026, 3, 2)))
    total = 0
    for number, path in enumerate(paths):
        reading = read_regimen(Path(path), shown=path)
        plan = prepare(reading.regimens[0], review_reading(reading, desk)[0], desk)
        page = make(plan, "html", LANGUAGES[number % len(LANGUAGES)])
        assert isinstance(page, str)
        Path(path).with_suffix(".html").write_text(page, encoding="utf-8")
        total += len(page.encode())
    return total


def main() -> None:
    """Measures, and tells."""
    parser = argparse.ArgumentParser(description="Measure hand-outs on this machine.")
    parser.add_argument("--count", type=int, default=1000, help="how many hand-outs (1000)")
    parser.add_argument("--jobs", type=int, default=2, help="how many processes (2)")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        paths = [str(path) for path in write_regimens(Path(folder), asked.count)]
        begun = time.perf_counter()
        with ProcessPoolExecutor(asked.jobs) as pool:
            size = sum(pool.map(write_pages, [paths[start :: asked.jobs] for start in range(asked.jobs)]))
        seconds = time.perf_counter() - begun
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(
        f"{asked.count} hand-outs in {asked.jobs} processes: {seconds:.1f} s by the clock, "
        f"{spent.ru_utime + spent.ru_stime:.1f} s of processors, {size / asked.count / 1024:.0f} KiB each"
    )


if __name__ == "__main__":
    main()
