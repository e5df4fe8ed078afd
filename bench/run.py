"""Measures start-up, packs, reading, checking and growth, and prints one line a figure.

    python bench/run.py [--runs N]

Figures belong to the machine and the moment; compare only what was measured together.  The cache of compiled packs is
one of this run's own, so that the user's is neither used nor filled.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import tempfile
from datetime import date
from pathlib import Path

from clock import median_of, medians_of_processes
from dermalint.checks.case import Asked as AskedOfCase
from dermalint.checks.judge import judge
from dermalint.packs.load import load_packs
from dermalint.regimen.read import read_regimen
from dermalint.review import Asked, choose_rules, review_paths
from dermalint_grammar.layout import layout_pack
from dermalint_grammar.parse import parse_pack
from installed import measure_discovery
from subjects import count_rules, long_pack, shipped_packs, write_packs, write_regimens

PROJECT = Path(__file__).resolve().parents[1]
AS_OF = date(2026, 3, 2)
APPLICATIONS = 28  # a week, in a regimen of subjects.REGIMEN
COMMAND = (sys.executable, "-c", "import sys; from dermalint.cli.main import run; sys.exit(run())")
SIZES = (100, 200, 400)
LENGTHS = (64, 128, 256, 512, 1024)  # of rule files, in KiB


def tell(what: str, seconds: float, note: str = "") -> None:
    """Prints a figure in milliseconds."""
    print(f"  {what:<58} {seconds * 1000:>10.2f} ms  {note}".rstrip())


def measure_start(runs: int, folder: Path, cache: str) -> None:
    """Whole processes, from the call to the exit."""
    print("Start-up (a process each, by the clock)")
    (path,) = write_regimens(folder / "one", 1)
    review = (*COMMAND, "review", "--fail-at", "never", str(path))
    warm = "dermalint review, one file, packs cached"
    libraries = 'python -c "import click, yaml"'
    commands = {
        "python -c pass": (sys.executable, "-c", "pass"),
        libraries: (sys.executable, "-c", "import click, yaml"),
        warm: review,
    }
    taken = medians_of_processes(runs, commands, {"DERMALINT_CACHE": cache})
    for name, seconds in taken.items():
        tell(name, seconds, f"{seconds / taken[libraries]:.2f} × the libraries alone" if name == warm else "")
    anew = {"dermalint review, one file, packs compiled anew": review}
    for name, seconds in medians_of_processes(3, anew, {"DERMALINT_CACHE": ""}).items():
        tell(name, seconds)


def measure_packs(folder: Path) -> None:
    """Parsing and linking, with the shipped rules repeated under new names until there are over a thousand more."""
    print("Packs (processor time, as all below)")
    shipped = shipped_packs(PROJECT)
    rules = count_rules(shipped)
    copies = -(-1000 // rules)
    base = write_packs(shipped, folder / "base", 0)
    grown = write_packs(shipped, folder / "grown", copies)
    added = count_rules(grown) - rules

    def parse(paths: list[Path]) -> None:
        for path in paths:
            parse_pack(path.read_text(encoding="utf-8"))

    def load(where: str) -> None:
        load_packs([folder / where], cache=False, installed=False)

    for where in ("base", "grown"):
        errors = [problem.message for problem in load_packs([folder / where], cache=False, installed=False).problems]
        if errors:
            raise RuntimeError(f"The packs in {where} have mistakes: {errors[:3]}")
    parse(base)  # the first parse builds the parser
    parsing = median_of(3, lambda: parse(grown)) - median_of(3, lambda: parse(base))
    loading = median_of(3, lambda: load("grown")) - median_of(3, lambda: load("base"))
    note = f"measured on {added} copies of the {rules} shipped"
    tell("parsing, per 1,000 rules", parsing / added * 1000, note)
    tell("parsing and linking, per 1,000 rules", loading / added * 1000, note)
    load_packs()
    tell("shipped packs from the cache", median_of(20, load_packs), f"{rules} rules")


def measure_lengths() -> None:
    """Parsing and laying out a rule file that is twice as long should take twice the time."""
    print("Rule files by length (the shipped packs behind one another, as often as needed)")
    shipped = shipped_packs(PROJECT)
    times = []
    for length in LENGTHS:
        text = long_pack(shipped, length * 1024)
        runs = 3 if length < LENGTHS[-1] else 1
        parsing = median_of(runs, lambda text=text: parse_pack(text))
        laying = median_of(runs, lambda text=text: layout_pack(text))
        kibibytes = len(text.encode()) / 1024
        tell(f"parsing {kibibytes:,.0f} KiB", parsing, f"{parsing / kibibytes * 1000:.2f} ms a KiB")
        tell(f"laying out {kibibytes:,.0f} KiB", laying, f"{laying / kibibytes * 1000:.2f} ms a KiB")
        times.append(parsing)
    print(f"  {LENGTHS[-1] // LENGTHS[0]} × the length took {times[-1] / times[0]:.1f} × the time to parse")


def measure_regimens(runs: int, folder: Path) -> None:
    """Reading and checking apart, in this process, all packs in force."""
    print(f"Regimens ({APPLICATIONS} applications a week, all packs)")
    paths = write_regimens(folder / "many", 50)
    rules = choose_rules(load_packs(), Asked())
    readings = [read_regimen(path, shown=path.name) for path in paths]
    regimens = [regimen for reading in readings for regimen in reading.regimens]
    asked = AskedOfCase(AS_OF, None, "usual")

    def read() -> None:
        for path in paths:
            read_regimen(path, shown=path.name)

    def check() -> None:
        for regimen in regimens:
            judge(rules, regimen, asked)

    check()  # the first check builds each rule once
    repeats = max(3, runs // 4)
    tell("reading, per regimen", median_of(repeats, read) / len(paths))
    tell("checking, per regimen", median_of(repeats, check) / len(regimens), f"{len(rules.rules)} rules in force")


def measure_growth(folder: Path) -> None:
    """Twice the files should take twice the time."""
    print("Growth (reading and checking, one process)")
    asked = Asked(as_of=AS_OF)
    times = []
    for size in SIZES:
        paths = [str(path) for path in write_regimens(folder / f"files-{size}", size)]
        times.append(median_of(3, lambda paths=paths: review_paths(paths, asked)))
        tell(f"{size} files", times[-1], f"{times[-1] / size * 1000:.2f} ms a file")
    growth = times[-1] / times[0]
    print(f"  {SIZES[-1] // SIZES[0]} × the files took {growth:.2f} × the time")


def main() -> None:
    """Runs all measurements."""
    parser = argparse.ArgumentParser(description="Measure dermalint on this machine.")
    parser.add_argument("--runs", type=int, default=20, help="how often each process is started (20)")
    runs = parser.parse_args().runs
    print(f"Python {platform.python_version()} on {platform.system()} {platform.machine()}; medians of {runs} runs")
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        cache = os.environ["DERMALINT_CACHE"] = str(folder / "cache")
        measure_start(runs, folder, cache)
        measure_packs(folder / "packs")
        measure_lengths()
        measure_regimens(runs, folder)
        measure_growth(folder)
        measure_discovery(folder / "installed", tell)


if __name__ == "__main__":
    main()
