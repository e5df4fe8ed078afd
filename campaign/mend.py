"""A long trial of mends; far too long for the tests.

    python campaign/mend.py [--folder PATH] [--files 5000] [--all-packs 300] [--kills 1000] [--small 500] [--seed 1]

- Every regimen file of a folder, and generated ones: what had a proposal is mended, nothing is new, a second mend changes
  nothing, no byte outside the edits changes.
- Small regimens: no change that moves fewer applications would do, by exhaustive search.
- Kills: a process that writes is killed at random moments; the file is wholly the old or wholly the new one.

It stops at the first fault with what caused it, else it prints figures.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import tempfile
from pathlib import Path
from time import perf_counter, sleep

from dermalint.mend.document import read_document
from dermalint.mend.judging import Judges, keyed
from dermalint.mend.mender import search
from dermalint.mend.whole import mend_document
from dermalint.regimen.search import ENDINGS, find_files
from dermalint.review import Asked, open_desk
from mend_checks import AS_OF, Tally, TooMany, check_file, smaller, trial_judges
from regimen_files import SUFFIXES, Files

MOST_STATES = 3_000  # of one small regimen's exhaustive search


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


def mend_generated(number: int, seed: int, judges: Judges, name: str) -> None:
    """Generated files."""
    files, tally, start = Files(seed), Tally(), perf_counter()
    for count in range(1, number + 1):
        written = files.draw()
        shown = f"generated{SUFFIXES[written.language]}"
        try:
            check_file(judges, read_document(Path(shown), shown, written.data), tally)
        except BaseException:
            print(f"This file is at fault:\n{written.data.decode('utf-8')}", file=sys.stderr)
            raise
        if count % 500 == 0:
            print(f"… {tally.tell()}", flush=True)
    print(f"Generated files, {name}: {tally.tell()} ({perf_counter() - start:,.0f} s)", flush=True)
    for reason, times in tally.refused.most_common(6):
        print(f"  refused {times} times: {reason}", flush=True)


def search_smaller(number: int, seed: int) -> None:
    """Small files, each of whose mends is compared with all smaller ones."""
    judges, files = trial_judges(), Files(seed, small=True)
    compared = skipped = looked = 0
    start = perf_counter()
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
            print(f"… {compared} small files compared ({perf_counter() - start:,.0f} s)", flush=True)
    print(
        f"Small files: {compared:,} of {looked:,} with a mend, none of which could be smaller; {skipped} findings too large to "
        f"compare ({perf_counter() - start:,.0f} s)",
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
    asked = parser.parse_args()
    for folder in asked.folder:
        mend_folder(folder)
    if asked.files:
        mend_generated(asked.files, asked.seed, trial_judges(), "trial rules")
    if asked.all_packs:
        mend_generated(asked.all_packs, asked.seed + 1, all_packs(), "all packs")
    if asked.small:
        search_smaller(asked.small, asked.seed + 2)
    if asked.kills:
        kill_writers(asked.kills, asked.seed + 3)
    print("No fault was found.")


if __name__ == "__main__":
    main()
