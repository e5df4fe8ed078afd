"""The main job: regimen files in, findings out."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from dermalint import __version__
from dermalint.checks.asked import Asked as AskedOfCase
from dermalint.checks.judge import Bench, judge
from dermalint.packs.load import load_packs
from dermalint.packs.model import PackSet
from dermalint.plugins.catalogue import read_catalogue
from dermalint.plugins.faults import Fault, merge
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import ERROR, HINT, Problem, Reading, Regimen, Waiver
from dermalint.regimen.read import read_regimen
from dermalint.verdict.findings import Finding, Waived
from dermalint.verdict.report_model import FileResult, PackName, Review
from dermalint.vocabulary.regimen_names import check_names
from dermalint.vocabulary.world import nearest
from dermalint_grammar.record import Record, replace

if TYPE_CHECKING:
    from dermalint.timeline.plan import Plan

USUAL = "usual"
ENDINGS = (".regimen.yaml", ".regimen.yml", ".regimen.json", ".regimen.toml")
FILES_THAT_PAY_FOR_A_PROCESS = 64


class Asked(Record):
    """What a run is asked.

    ``packs`` are further pack files or folders; ``only`` and ``without`` name rules or packs; None for ``stance`` and
    ``region`` leaves them to each file, None for ``as_of`` means today (UTC); ``jobs`` is a number of processes;
    ``plan`` asks for each regimen laid out, for reports that draw it; ``plugins`` names the plugins in Python that may be
    used, by distribution or entry point (None: all that are installed).
    """

    packs: tuple[Path, ...] = ()
    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    stance: str | None = None
    region: str | None = None
    as_of: date | None = None
    jobs: int = 1
    plan: bool = False
    plugins: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class UnknownNameError(Exception):
    """``only`` or ``without`` names no rule and no pack; ``nearest`` is the likeliest meant."""

    name: str
    nearest: str | None


def review_paths(paths: Sequence[str], asked: Asked) -> Review:
    """Review regimen files and folders of them.

    Raises :class:`UnknownNameError` when ``only`` or ``without`` names nothing; whatever is wrong with a file or a pack is
    a problem in the review, never an exception.
    """
    as_of = asked.as_of or datetime.now(UTC).date()
    asked = replace(asked, as_of=as_of)
    plugins = find_plugins(asked)
    packs = load_packs(asked.packs, plugins=plugins)
    bench = choose_rules(packs, asked, plugins)
    files = find_files(paths, (*ENDINGS, *plugins.endings()))
    if asked.jobs > 1 and len(files) >= FILES_THAT_PAY_FOR_A_PROCESS:
        results, faults = _review_in_processes(files, asked)
    else:
        results = [result for path in files for result in review_file(path, bench, asked)]
        faults = plugins.take_faults()
    return Review(
        version=__version__,
        packs=tuple(PackName(pack.name, pack.version) for pack in packs.packs),
        region=asked.region,
        stance=asked.stance or USUAL,
        as_of=as_of.isoformat(),
        problems=(*packs.problems, *(merge(faults) if faults else ())),
        files=tuple(results),
        sources=packs.sources,
    )


def find_plugins(asked: Asked) -> Installed:
    """The installed plugins that the run may use."""
    return Installed(lambda: read_catalogue(asked.plugins))


def choose_rules(packs: PackSet, asked: Asked, plugins: Installed | None = None) -> Bench:
    """The rules that ``only`` and ``without`` leave in force.

    Raises :class:`UnknownNameError` for a name that is neither a rule's nor a pack's.
    """
    known = {pack.name for pack in packs.packs} | {linked.id for linked in packs.rules}
    for name in (*asked.only, *asked.without):
        if name not in known:
            raise UnknownNameError(name, nearest(name, known))
    rules = packs.rules
    if asked.only:
        rules = tuple(linked for linked in rules if linked.id in asked.only or linked.pack in asked.only)
    if asked.without:
        rules = tuple(linked for linked in rules if linked.id not in asked.without and linked.pack not in asked.without)
    return Bench(packs.world, rules, plugins or find_plugins(asked))


def find_files(paths: Sequence[str], endings: tuple[str, ...] = ENDINGS) -> list[str]:
    """The files to review, each once: files as given, folders searched for regimens in the order of their names."""
    found: dict[str, None] = {}
    for path in paths:
        if os.path.isdir(path):  # noqa: PTH112  (paths stay as the user wrote them)
            inside = list(_walk(path, set(), endings))
            found.update(dict.fromkeys(inside or [path]))
        else:
            found[path] = None
    return list(found)


def _walk(folder: str, seen: set[tuple[int, int]], endings: tuple[str, ...]) -> Iterable[str]:
    try:
        status = os.stat(folder)  # noqa: PTH116
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError:
        yield folder  # the reader says why it cannot be read
        return
    if (status.st_dev, status.st_ino) in seen:
        return
    seen.add((status.st_dev, status.st_ino))
    for entry in entries:
        if entry.is_dir():
            if not entry.name.startswith("."):
                yield from _walk(entry.path, seen, endings)
        elif entry.name.endswith(endings):
            yield entry.path


def review_file(path: str, bench: Bench, asked: Asked) -> list[FileResult]:
    """Review one file: one result a person, or one without findings when it cannot be read."""
    where, foreign = Path(path), bench.plugins.reads(Path(path))
    reading = bench.plugins.read_regimen(where, path) if foreign else read_regimen(where, shown=path)
    if not reading.regimens:
        return [FileResult(path, None, None, None, asked.stance or USUAL, reading.problems, (), reading.sources, False)]
    if foreign:
        return _review_foreign(reading, where, bench, asked)
    return [_review_regimen(reading, regimen, number, bench, asked) for number, regimen in enumerate(reading.regimens)]


def _review_foreign(reading: Reading, where: Path, bench: Bench, asked: Asked) -> list[FileResult]:
    """Review what a plugin read: a regimen that breaks the engine is the plugin's fault and costs that file only."""
    try:
        return [_review_regimen(reading, regimen, number, bench, asked) for number, regimen in enumerate(reading.regimens)]
    except Exception as fault:
        bench.plugins.blame_reader(where, reading.path, f"{type(fault).__name__}: {fault}")
        return [FileResult(reading.path, None, None, None, asked.stance or USUAL, reading.problems, (), reading.sources, False)]


def _review_regimen(reading: Reading, regimen: Regimen, number: int, bench: Bench, asked: Asked) -> FileResult:
    region = asked.region or (regimen.region.name if regimen.region else None)
    stance = asked.stance or regimen.stance or USUAL
    as_of = asked.as_of
    assert as_of is not None
    names = check_names(regimen, bench.world)
    findings, hints = judge(bench, regimen, AskedOfCase(as_of, region, stance))
    findings = tuple(_waive(finding, regimen.waivers, as_of) for finding in findings)
    own = reading.problems if number == 0 else ()  # the file's own problems are told once
    return FileResult(
        path=reading.path,
        regimen=regimen.title,
        person=regimen.person_name,
        region=region,
        stance=stance,
        problems=_in_order((*own, *names, *hints, *_check_waivers(regimen, bench, as_of))),
        findings=findings,
        sources=reading.sources,
        plan=_plan(regimen) if asked.plan else None,
    )


def _plan(regimen: Regimen) -> Plan:
    from dermalint.timeline.plan import draw_plan  # only pages that draw the regimen pay for it

    return draw_plan(regimen)


def _in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    def key(problem: Problem) -> tuple[int, str, int, str]:
        place = problem.place
        start, path = (place.start, place.path or "") if place else (-1, "")
        return (0 if problem.level == ERROR else 1, path, start, problem.message)

    return tuple(sorted(problems, key=key))


def _waive(finding: Finding, waivers: tuple[Waiver, ...], as_of: date) -> Finding:
    for waiver in waivers:
        if waiver.until is not None and waiver.until < as_of:
            continue
        named = {mention.name for mention in waiver.products}
        ruled = waiver.rule is None or waiver.rule == finding.rule
        topical = not waiver.topics or finding.topic in waiver.topics
        if ruled and topical and (waiver.rule or waiver.topics) and (not named or named & set(finding.products)):
            until = waiver.until.isoformat() if waiver.until else None
            return replace(finding, waived=Waived(waiver.reason, waiver.by, until))
    return finding


def _check_waivers(regimen: Regimen, bench: Bench, as_of: date) -> list[Problem]:
    rules = {linked.id for linked in bench.rules}
    problems: list[Problem] = []
    for waiver in regimen.waivers:
        if waiver.until is not None and waiver.until < as_of:
            message = f"This waiver was valid until {waiver.until.isoformat()} and is no longer applied."
            problems.append(Problem(HINT, message, "Renew it with a new reason and date, or remove it.", waiver.place))
        elif waiver.rule is not None and waiver.rule not in rules:
            close = nearest(waiver.rule, rules)
            suggestion = f"Did you mean `{close}`?" if close else "`dermalint rules` lists all rules."
            problems.append(Problem(HINT, f"No rule in force is called `{waiver.rule}`.", suggestion, waiver.place))
    return problems


@dataclass(slots=True)
class _Worker:
    """What a worker process keeps between files."""

    bench: Bench | None = None
    asked: Asked = field(default_factory=Asked)


_worker = _Worker()


def _start_worker(asked: Asked) -> None:
    _worker.asked = asked
    plugins = find_plugins(asked)
    _worker.bench = choose_rules(load_packs(asked.packs, plugins=plugins), asked, plugins)


def _review_chunk(paths: list[str]) -> tuple[list[FileResult], tuple[Fault, ...]]:
    bench = _worker.bench
    assert bench is not None
    results = [result for path in paths for result in review_file(path, bench, _worker.asked)]
    return results, bench.plugins.take_faults()


def _review_in_processes(files: list[str], asked: Asked) -> tuple[list[FileResult], tuple[Fault, ...]]:
    from concurrent.futures import ProcessPoolExecutor  # only many files pay for it

    size = max(1, min(64, len(files) // (asked.jobs * 4)))
    chunks = [files[start : start + size] for start in range(0, len(files), size)]
    with ProcessPoolExecutor(asked.jobs, initializer=_start_worker, initargs=(asked,)) as pool:
        parts = list(pool.map(_review_chunk, chunks))
    return [result for results, _ in parts for result in results], tuple(fault for _, faults in parts for fault in faults)
