"""The main job: regimen files in, findings out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
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
from dermalint.regimen.model import ERROR, Problem, Reading, Regimen
from dermalint.regimen.read import read_regimen
from dermalint.regimen.search import ENDINGS, find_files
from dermalint.results import KeptResults, kept_results, read_bytes
from dermalint.settings.model import NOTHING_SET, OFF, Part, Settings
from dermalint.spans import Place
from dermalint.verdict.findings import Finding
from dermalint.verdict.report_model import FileResult, PackName, Review
from dermalint.verdict.stored import StoredResults, packed, unpacked
from dermalint.verdict.waivers import check_waivers, waive
from dermalint.vocabulary.regimen_names import check_names
from dermalint.vocabulary.world import nearest
from dermalint_grammar.record import Record, replace

if TYPE_CHECKING:
    from dermalint.timeline.plan import Plan

USUAL = "usual"
FILES_THAT_PAY_FOR_A_PROCESS = 64
FILES_KEPT_ON_THE_DISK = 1000  # from so many on, results do not stay in memory


class Asked(Record):
    """What a run is asked.

    ``packs`` are further pack files or folders; ``only`` and ``without`` name rules or packs; None for ``stance`` and
    ``region`` leaves them to each file, None for ``as_of`` means today (UTC); ``jobs`` is a number of processes;
    ``plan`` asks for each regimen laid out, for reports that draw it; ``plugins`` names the plugins in Python that may be
    used, by distribution or entry point (None: all that are installed); of ``settings`` count here what they say for regimens
    and which files they exclude, as the rest was weighed against the command line before; ``cache`` lets results be kept.
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
    settings: Settings | None = None
    cache: bool = True


@dataclass(frozen=True, slots=True)
class UnknownNameError(Exception):
    """``only`` or ``without`` names no rule and no pack; ``nearest`` is the likeliest meant."""

    name: str
    nearest: str | None


def review_paths(paths: Sequence[str], asked: Asked, progress: Callable[[int, int], None] | None = None) -> Review:
    """Review regimen files and folders of them.

    ``progress`` is called with how many files are done, of how many.  Raises :class:`UnknownNameError` when ``only`` or
    ``without`` names nothing, :class:`~dermalint.settings.model.SettingsError` when the settings do; whatever is wrong with a
    file or a pack is a problem in the review, never an exception.
    """
    as_of = asked.as_of or datetime.now(UTC).date()
    asked = replace(asked, as_of=as_of)
    desk, packs = _lay_out(asked)
    files = find_files(paths, (*ENDINGS, *desk.bench.plugins.endings()), _left_out(asked.settings))
    results: list[FileResult] = []
    stored = StoredResults() if len(files) >= FILES_KEPT_ON_THE_DISK and not asked.plan else None
    faults: list[Fault] = []
    done = 0
    for number, part, found in _review_files(files, desk, asked):
        for result in part:
            if stored is not None:
                stored.append_packed(result if isinstance(result, bytes) else packed(result))
            else:
                results.append(unpacked(result) if isinstance(result, bytes) else result)
        faults += found
        done += number
        if progress is not None:
            progress(done, len(files))
    if desk.kept is not None:
        desk.kept.forget_oldest(surely=asked.jobs > 1 and len(files) >= FILES_THAT_PAY_FOR_A_PROCESS)
    return Review(
        version=__version__,
        packs=tuple(PackName(pack.name, pack.version) for pack in packs.packs),
        region=asked.region,
        stance=asked.stance or USUAL,
        as_of=as_of.isoformat(),
        problems=(*packs.problems, *(merge(faults) if faults else ())),
        files=tuple(results) if stored is None else stored,
        sources=packs.sources,
    )


@dataclass(slots=True)
class Desk:
    """What is at hand for every file of a run: the rules in force, all that the packs have, and results of earlier runs."""

    bench: Bench
    asked: Asked
    known_rules: frozenset[str]
    kept: KeptResults | None = None


def _lay_out(asked: Asked) -> tuple[Desk, PackSet]:
    plugins = find_plugins(asked)
    packs = load_packs(asked.packs, plugins=plugins)
    if asked.settings is not None:
        from dermalint.settings.names import check_names as check_settings

        check_settings(asked.settings, packs)
    bench = choose_rules(packs, asked, plugins)
    kept = None
    if asked.cache and not asked.plan:
        wish = f"{asked.only} {asked.without} {asked.stance} {asked.region} {asked.as_of} {asked.plugins}"
        kept = kept_results(packs.key, wish, plugins.catalogue.offers)
    return Desk(bench, asked, frozenset(linked.id for linked in packs.rules), kept), packs


def open_desk(asked: Asked) -> tuple[Desk, PackSet]:
    """What every file of a run needs, for whoever reviews texts that are not on the disk.

    Raises what :func:`review_paths` does; ``as_of`` None becomes today (UTC).
    """
    return _lay_out(replace(asked, as_of=asked.as_of or datetime.now(UTC).date(), cache=False))


def own_files(paths: Sequence[str], settings: Settings | None) -> list[str]:
    """The regimen files that no plugin reads, without those that settings exclude."""
    return list(find_files(paths, ENDINGS, _left_out(settings)))


def review_reading(reading: Reading, desk: Desk) -> list[FileResult]:
    """Review what was read: one result a person.  ``reading`` must hold at least one regimen."""
    return _review_reading(reading, desk)


def _left_out(settings: Settings | None) -> Callable[[str, bool], bool] | None:
    if settings is None or not settings.exclude:
        return None
    from dermalint.settings.exclude import excluder

    return excluder(settings.folder, settings.exclude)


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


def review_file(path: str, bench: Bench, asked: Asked) -> list[FileResult]:
    """Review one file: one result a person, or one without findings when it cannot be read."""
    return _review_file(path, Desk(bench, asked, frozenset(linked.id for linked in bench.rules)))


def _review_file(path: str, desk: Desk) -> list[FileResult]:
    asked, plugins = desk.asked, desk.bench.plugins
    where, foreign = Path(path), plugins.reads(Path(path))
    reading = plugins.read_regimen(where, path) if foreign else read_regimen(where, shown=path)
    if not reading.regimens:
        return [FileResult(path, None, None, None, asked.stance or USUAL, reading.problems, (), reading.sources, False)]
    if foreign:
        return _review_foreign(reading, where, desk)
    return _review_reading(reading, desk)


def _review_foreign(reading: Reading, where: Path, desk: Desk) -> list[FileResult]:
    """Review what a plugin read: a regimen that breaks the engine is the plugin's fault and costs that file only."""
    try:
        return _review_reading(reading, desk)
    except Exception as fault:
        desk.bench.plugins.blame_reader(where, reading.path, f"{type(fault).__name__}: {fault}")
        stance = desk.asked.stance or USUAL
        return [FileResult(reading.path, None, None, None, stance, reading.problems, (), reading.sources, False)]


def _review_reading(reading: Reading, desk: Desk) -> list[FileResult]:
    settings, as_of = desk.asked.settings, desk.asked.as_of
    part = settings.part_for(reading.path) if settings else NOTHING_SET
    results: list[FileResult] = []
    useful: set[Place] = set()
    for number, regimen in enumerate(reading.regimens):
        own = reading.problems if number == 0 else ()  # the file's own problems are told once
        result, accepting = _review_regimen(reading, regimen, own, part, desk)
        results.append(result)
        useful |= accepting
    if not any(regimen.waivers for regimen in reading.regimens):
        return results
    assert as_of is not None
    in_force = frozenset(linked.id for linked in desk.bench.rules)
    # What several people share accepts something when it does so for one of them.
    for number, regimen in enumerate(reading.regimens):
        hints = check_waivers(regimen.waivers, as_of, useful, in_force, desk.known_rules)
        results[number] = replace(results[number], problems=_in_order((*results[number].problems, *hints)))
    return results


def _review_regimen(
    reading: Reading, regimen: Regimen, own: tuple[Problem, ...], part: Part, desk: Desk
) -> tuple[FileResult, frozenset[Place]]:
    bench, asked = desk.bench, desk.asked
    region = asked.region or (regimen.region.name if regimen.region else part.region)
    stance = asked.stance or regimen.stance or part.stance or USUAL
    as_of = asked.as_of
    assert as_of is not None
    if part.day is not None and not regimen.clock.stated:
        regimen = replace(regimen, clock=replace(regimen.clock, stated=part.day.stated))
    names = check_names(regimen, bench.world)
    # Without a routine (only wishes, or a mistake in all of them) there is nothing to lay out and nothing to judge.
    found, hints = judge(bench, regimen, AskedOfCase(as_of, region, stance)) if regimen.phases else ((), ())
    findings, accepting = waive(with_severities(found, part), regimen.waivers, as_of)
    result = FileResult(
        path=reading.path,
        regimen=regimen.title,
        person=regimen.person_name,
        region=region,
        stance=stance,
        problems=_in_order((*own, *names, *hints)),
        findings=findings,
        sources=reading.sources,
        plan=_plan(regimen) if asked.plan and regimen.phases else None,
    )
    return result, accepting


def with_severities(findings: Iterable[Finding], part: Part) -> Iterator[Finding]:
    """The findings with the severities that are set for their rules, without those that are set to "off"."""
    if not part.severities:
        yield from findings
        return
    for finding in findings:
        severity = part.severity_of(finding.rule)
        if severity is None or severity == finding.severity:
            yield finding
        elif severity != OFF:
            yield replace(finding, severity=severity)


def _plan(regimen: Regimen) -> Plan:
    from dermalint.timeline.plan import draw_plan  # only pages that draw the regimen pay for it

    return draw_plan(regimen)


def _in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    def key(problem: Problem) -> tuple[int, str, int, str]:
        place = problem.place
        start, path = (place.start, place.path or "") if place else (-1, "")
        return (0 if problem.level == ERROR else 1, path, start, problem.message)

    return tuple(sorted(problems, key=key))


_Part = tuple[int, Sequence[FileResult | bytes], tuple[Fault, ...]]
"""How many files, their results in order (packed where another process made them), and the faults of plugins that showed."""


def _review_files(files: Sequence[str], desk: Desk, asked: Asked) -> Iterator[_Part]:
    if asked.jobs > 1 and len(files) >= FILES_THAT_PAY_FOR_A_PROCESS:
        yield from _review_in_processes(files, asked)
    else:
        for path in files:
            yield 1, *_review_or_fetch(path, desk)


def _review_or_fetch(path: str, desk: Desk) -> tuple[list[FileResult], tuple[Fault, ...]]:
    """A file's results, kept from an earlier run where nothing they follow from has changed."""
    kept, plugins = desk.kept, desk.bench.plugins
    data = None if kept is None or plugins.reads(Path(path)) else read_bytes(path)
    if kept is None or data is None:
        return _review_file(path, desk), plugins.take_faults()
    settings = desk.asked.settings
    name = kept.name(path, data, repr(settings.part_for(path)) if settings else "")
    results = kept.fetch(name)
    if results is not None:
        return results, ()
    results = _review_file(path, desk)
    faults = plugins.take_faults()
    if not faults:  # a fault is told in every run that meets it
        kept.keep(name, path, data, results)
    return results, faults


@dataclass(slots=True)
class _Worker:
    """What a worker process keeps between files."""

    desk: Desk | None = None


_worker = _Worker()


def _start_worker(asked: Asked) -> None:
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the keyboard stops the run, and the run its workers
    _worker.desk, _ = _lay_out(asked)


def _review_chunk(paths: Sequence[str]) -> _Part:
    desk = _worker.desk
    assert desk is not None
    results: list[bytes] = []
    faults: list[Fault] = []
    for path in paths:
        part, found = _review_or_fetch(path, desk)
        results += map(packed, part)
        faults += found
    return len(paths), results, tuple(faults)


def _review_in_processes(files: Sequence[str], asked: Asked) -> Iterator[_Part]:
    from concurrent.futures import ProcessPoolExecutor  # only many files pay for it

    size = max(1, min(64, len(files) // (asked.jobs * 4)))
    chunks = [files[start : start + size] for start in range(0, len(files), size)]
    with ProcessPoolExecutor(asked.jobs, initializer=_start_worker, initargs=(asked,)) as pool:
        try:
            yield from pool.map(_review_chunk, chunks)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
