"""Asks of many generated regimens whether their calendar says, day by day, what the timeline says.

    python campaign/handout.py [--regimens 1000] [--days 400] [--seed 1]

The regimens start in March, so that the days on which the clocks change lie within.  An expander that knows nothing of
regimens reads the calendar.  Prints each that differs, then one line; the exit status is 1 where one differs.  Another
seed gives other regimens, so that two of these can run beside each other.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings

from dermalint.regimen.read import read_regimen
from dermalint.testing.regimens import regimen_texts

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))
from handout.calendars import difference, has_routines


def main() -> int:
    """Compares, and tells."""
    parser = argparse.ArgumentParser(description="Compare calendars with timelines.")
    parser.add_argument("--regimens", type=int, default=1000, help="how many regimens to compare (1000)")
    parser.add_argument("--days", type=int, default=400, help="how many days of each (400)")
    parser.add_argument("--seed", type=int, default=1, help="which regimens; each number gives others (1)")
    asked = parser.parse_args()
    compared: set[str] = set()
    wrong: list[str] = []
    begun = time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.regimen.yaml"

        def compare(text: str) -> None:
            if len(compared) >= asked.regimens or text in compared or "starts:" not in text:
                return
            path.write_text(text, encoding="utf-8")
            reading = read_regimen(path, shown=path.name)
            if not reading.regimens or not has_routines(reading.regimens[0]):
                return
            compared.add(text)
            found = difference(reading.regimens[0], asked.days)
            if found:
                wrong.append(text)
                print(text, *found[:5], sep="\n")

        turn = 0
        while len(compared) < asked.regimens and turn < 20:
            # About half of what is generated has a first day.
            ask = settings(
                max_examples=2 * (asked.regimens - len(compared)) + 10,
                deadline=None,
                database=None,
                phases=[Phase.generate],
                suppress_health_check=list(HealthCheck),
            )
            seed(1000 * asked.seed + turn)(ask(given(text=regimen_texts())(compare)))()
            turn += 1
    seconds = time.process_time() - begun
    told = f"{len(compared)} calendars over {asked.days} days, {len(wrong)} differ from the timeline"
    print(f"{told}, {seconds:.0f} s of processor")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
