"""A long trial of mends; far too long for the tests.

    python campaign/mend.py [--folder PATH] [--files 5000] [--all-packs 300] [--kills 1000] [--small 500] [--seed 1] [--jobs 1]

- Every regimen file of a folder, and generated ones: what had a proposal is mended, nothing is new, a second mend changes
  nothing, no byte outside the edits changes.
- Small regimens: no change that moves fewer applications would do, by exhaustive search.
- Kills: a process that writes is killed at random moments; the file is wholly the old or wholly the new one.

It stops at the first fault with what caused it, else it prints figures.  Several jobs draw different files.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import tempfile
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from time import perf_counter, process_time, sleep
from typing import TypeVar

from dermalint.mend.document import read_document
from dermalint.mend.judging import Judges, keyed
from dermalint.mend.mender import search
from dermalint.mend.whole import mend_document
from dermalint.regimen.search import ENDINGS, find_files
from dermalint.review import Asked, open_desk
from mend_checks import AS_OF, Tally, TooMany, check_file, smaller, trial_judges
from regimen_files import SUFFIXES, Files

MOST_STATES = 3_000  # of one small regimen's exhaustive search
Found = TypeVar("Found")


def all_packs() -> Judges:
    """The engine with every installed pack."""
    desk, _ = open_desk(Asked(as_of=AS_OF))
    return Judges(desk)


def mend_folder(folder: Path) -> None:
    """Every regimen file of a folder, by all packs."""
    judges, tally, start = all_packs(), Tally(), perf_counter()
    for path in find_files([str(folder)], ENDINGS):
        try:
            check_file(judges, read_document(Path(path), path, Path(path).read_bytes()), tally)
        except BaseException:
            print(f"This file is at fault: {path}", file=sys.stderr)
            raise
    print(f"Files of {folder}: {tally.tell()} ({perf_counter() - start:,.0f} s)", flush=True)


def mend_generated(number: int, seed: str, every_pack: bool) -> Tally:
    """Generated files, by the trial rules or by all packs."""
    judges = all_packs() if every_pack else trial_judges()
    files, tally = Files(seed), Tally()
    for count in range(1, number + 1):
        written = files.draw()
        shown = f"generated{SUFFIXES[written.language]}"
        try:
            check_file(judges, read_document(Path(shown), shown, written.data), tally)
        except BaseException:
            print(f"This file is at fault:\n{written.data.decode('utf-8')}", file=sys.stderr)
            raise
        if count % 500 == 0:
            print(f"… {tally.tell()} ({process_time():,.0f} s of processor)", flush=True)
    return tally


def search_smaller(number: int, seed: str) -> tuple[int, int, int]:
    """Small files, each of whose mends is compared with all smaller ones; how many were, were drawn, were too large."""
    judges, files = trial_judges(), Files(seed, small=True)
    compared = skipped = looked = 0
    while compared < number:
        written = files.draw()
        shown = f"generated{SUFFIXES[written.language]}"
        document = read_document(Path(shown), shown, written.data)
        if not document.sound:
            continue
        before = judges.verdict(document.reading)
        looked += 1
        mended = False
        for key, finding in keyed(before.results):
            proven = search(judges, document, before, key, 1).proven
            if not proven:
                continue
            try:
                better = smaller(judges, document, before, key, proven[0].gone, MOST_STATES)
            except TooMany:
                skipped += 1
                continue
            if better is not None:
                text = written.data.decode("utf-8")
                raise AssertionError(f"{finding.rule}: {proven[0].mend.say} But: {better}.\n{text}")
            mended = True
        judges.kept.clear()
        compared += mended
        if mended and compared % 50 == 0:
            print(f"… {compared} small files compared ({process_time():,.0f} s of processor)", flush=True)
    return compared, looked, skipped


def in_jobs(trial: Callable[..., Found], number: int, seed: int, jobs: int, *more: bool) -> tuple[list[Found], float]:
    """A trial divided among processes, each with files of its own: what each found, and the seconds that it took."""
    parts = [number // jobs + (part < number % jobs) for part in range(jobs)]
    start = perf_counter()
    if jobs == 1:
        return [trial(number, f"{seed}.0", *more)], perf_counter() - start
    with ProcessPoolExecutor(jobs) as pool:
        asked = [pool.submit(trial, part, f"{seed}.{count}", *more) for count, part in enumerate(parts)]
        return [one.result() for one in asked], perf_counter() - start


def tell_generated(number: int, seed: int, jobs: int, *, every_pack: bool) -> None:
    """Mends generated files and prints the figures."""
    tallies, seconds = in_jobs(mend_generated, number, seed, jobs, every_pack)
    tally = Tally()
    for one in tallies:
        tally.add(one)
    print(f"Generated files, {'all packs' if every_pack else 'trial rules'}: {tally.tell()} ({seconds:,.0f} s)", flush=True)
    for rule, times in tally.tied.most_common(6):
        print(f"  {times} times not together with another's mend: {rule}", flush=True)
    for reason, times in tally.refused.most_common(6):
        print(f"  refused {times} times: {reason}", flush=True)


def tell_smaller(number: int, seed: int, jobs: int) -> None:
    """Compares small files with every smaller mend and prints the figures."""
    found, seconds = in_jobs(search_smaller, number, seed, jobs)
    compared, looked, skipped = (sum(figures) for figures in zip(*found, strict=True))
    print(
        f"Small files: {compared:,} of {looked:,} with a mend, none of which could be smaller; {skipped} findings too large to "
        f"compare ({seconds:,.0f} s)",
        flush=True,
    )


def kill_writers(number: int, seed: int) -> None:
    """Processes that write, killed at random moments."""
    from dermalint.cli.main import run

    chance = random.Random(seed)
    text = (
        "regimen: Two in one evening\nproducts:\n  gel: {kind: treatment, base: gel, contains: {benzoyl-peroxide: 5 %}}\n"
        "  cream: {kind: treatment, base: emulsion, contains: {tretinoin: 0.05 %}, prescribed: true}\n"
        "  wash: {kind: cleanser, base: water, contact: rinsed}\n  shield: {kind: sunscreen, base: emulsion, spf: 50}\n"
        "routines:\n  - slot: morning\n    steps: [wash, shield]\n  - slot: evening\n    steps:\n      - wash\n"
        f"      - gel\n      - cream\n{'# a long file is written longer' * 1000}\n"
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "scratch.regimen.yaml"
        old = text.encode()
        document = read_document(path, path.name, old)
        new = mend_document(all_packs(), document).result.data
        assert new != old
        times = {"old": 0, "new": 0}
        whole = 0.1
        while_writing = 0
        for count in range(number):
            path.write_bytes(old)
            start = perf_counter()
            child = os.fork()
            if child == 0:
                sys.stdout = open(os.devnull, "w")  # noqa: PTH123, SIM115
                os._exit(run(["mend", str(path), "--write", "--as-of", AS_OF.isoformat()]) or 0)
            if count >= 5:  # the first ones say how long a run takes
                sleep(max(chance.uniform(0.5, 1.05) * whole, 0.001))
                os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            if count < 5:
                whole = perf_counter() - start
            data = path.read_bytes()
            assert data in (old, new), "a file is neither the old nor the new one"
            times["new" if data == new else "old"] += 1
            for rest in Path(folder).glob(".*.new"):
                while_writing += 1
                rest.unlink()
    print(
        f"Kills: {number:,}; {times['old']} files were the old ones, {times['new']} the new ones, none anything else; "
        f"{while_writing} processes died while they wrote",
        flush=True,
    )


def main() -> None:
    """Runs the whole trial."""
    parser = argparse.ArgumentParser(description="Try mends on very many regimens.")
    parser.add_argument("--folder", type=Path, action="append", default=[])
    parser.add_argument("--files", type=int, default=5_000)
    parser.add_argument("--all-packs", type=int, default=300)
    parser.add_argument("--kills", type=int, default=1_000)
    parser.add_argument("--small", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    asked = parser.parse_args()
    for folder in asked.folder:
        mend_folder(folder)
    if asked.files:
        tell_generated(asked.files, asked.seed, asked.jobs, every_pack=False)
    if asked.all_packs:
        tell_generated(asked.all_packs, asked.seed + 1, asked.jobs, every_pack=True)
    if asked.small:
        tell_smaller(asked.small, asked.seed + 2, asked.jobs)
    if asked.kills:
        kill_writers(asked.kills, asked.seed + 3)
    print("No fault was found.")


if __name__ == "__main__":
    main()
