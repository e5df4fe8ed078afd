"""A pytest plugin that makes tests of rule files: one that every name in them is known, one of each example of each rule.

Packages of packs name it in their ``pyproject.toml``; other pytest runs never load it, and so pay nothing for it::

    [tool.pytest.ini_options]
    addopts = "-p dermalint.testing.pytest_plugin"
    testpaths = ["larkspur_house", "tests"]

A rule file is judged with the packs that are installed, those in files beside it, and those that the setting
``dermalint_packs`` names (files or folders, seen from the settings' folder).  With ``dermalint_proof = true`` each file is
proven as ``dermalint proof`` does, as one more test, which takes longer.  ``pytest -k NAME`` chooses among the tests by the
names of rules, ``-k holds`` the examples of one sort.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from dermalint.checks.examples import ExampleResult, try_examples
from dermalint.checks.judge import Bench
from dermalint.packs.link import decode
from dermalint.packs.load import load_packs
from dermalint.packs.model import LinkedRule, PackSet
from dermalint.plugins.catalogue import read_catalogue
from dermalint.plugins.faults import merge
from dermalint.plugins.installed import Installed
from dermalint.regimen.model import ERROR, Problem
from dermalint.spans import SourceText
from dermalint.testing.expecting import tell_problem
from dermalint.verdict.findings import Finding
from dermalint_grammar.nodes import Example, Pack, Rule
from dermalint_grammar.parse import parse_pack

SETTING = "dermalint_packs"
PROOF = "dermalint_proof"


class _Untrue(Exception):
    """A rule file does not do what it says; the text is the whole report."""


class _Loaded:
    """All packs that the files of one folder are judged with, and the plugins that compute their measures."""

    def __init__(self, paths: Sequence[Path]) -> None:
        self.plugins = Installed(read_catalogue)
        self.packs: PackSet = load_packs(paths, cache=False, plugins=self.plugins)
        self.plugins.take_faults()  # of packs that plugins give, which are among the packs' problems
        self.bench = Bench(self.packs.world, self.packs.rules, self.plugins)
        self.rules = {linked.id: linked for linked in self.packs.rules}
        self._tried: dict[str, tuple[list[ExampleResult], tuple[Problem, ...]]] = {}

    def try_rule(self, linked: LinkedRule, folder: Path) -> tuple[list[ExampleResult], tuple[Problem, ...]]:
        """What came of the examples of a rule, and the faults of plugins that it asked for."""
        if linked.id not in self._tried:
            results = try_examples(self.bench, linked, folder)
            self._tried[linked.id] = results, merge(self.plugins.take_faults())
        return self._tried[linked.id]


_LOADED = pytest.StashKey[dict[Path, _Loaded]]()


def pytest_addoption(parser: pytest.Parser) -> None:
    """The settings."""
    parser.addini(SETTING, "Rule packs that rule files under test use: files or folders.", "paths", default=[])
    parser.addini(PROOF, "Whether rule files are proven too, as `dermalint proof` does.", "bool", default=False)


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """A file of tests for each rule file."""
    if file_path.suffix != ".rules":
        return None
    file: pytest.Collector = RuleFile.from_parent(parent, path=file_path)
    return file


class RuleFile(pytest.File):
    """A rule file, as tests of its names and its examples."""

    def collect(self) -> Iterator[pytest.Item]:
        """The test of its names, then its rules' examples in their order, then its proof where that is asked for."""
        source = decode(self.path.name, self.path.read_bytes())
        pack = parse_pack(source.text).pack if isinstance(source, SourceText) else None
        yield Names.from_parent(self, name="names")
        for rule in pack.rules if pack is not None else ():
            for number, example in enumerate(rule.examples, start=1):
                word = "breaks" if example.breaks else "holds"
                name = f"{rule.name.text}-{number}-{word}"
                yield ExampleOfRule.from_parent(self, name=name, source=source, pack=pack, rule=rule, number=number)

        if pack is not None and self.config.getini(PROOF):
            yield ProofOfPack.from_parent(self, name="proof", pack=pack)

    def loaded(self) -> _Loaded:
        """The packs that this file is judged with; they are loaded once for all files of a folder."""
        by_folder = self.config.stash.setdefault(_LOADED, {})
        folder = self.path.parent
        if folder not in by_folder:
            by_folder[folder] = _Loaded([*sorted(folder.glob("*.rules")), *self.config.getini(SETTING)])
        return by_folder[folder]


class _OfRules(pytest.Item):
    """A test whose failure is told in its own words, without a trace of Python."""

    parent: RuleFile

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        if isinstance(excinfo.value, _Untrue):
            return str(excinfo.value)
        return super().repr_failure(excinfo, style)


class Names(_OfRules):
    """Whether the file can be read, every name in it is known, and nothing of it is left out."""

    def runtest(self) -> None:
        """Raise for mistakes in this file; those in others are told there."""
        packs = self.parent.loaded().packs
        path = self.parent.path.resolve()
        shown = {pack.path for pack in packs.packs if Path(pack.file).resolve() == path}
        named = {pack.name for pack in packs.packs if pack.path in shown}
        own = [problem for problem in packs.problems if self._is_own(problem, shown, named)]
        if own:
            raise _Untrue("\n\n".join(_problem(problem, packs) for problem in own))
        if not shown:
            raise _Untrue(
                "The pack in this file is not in force: another of its name stands in its place, or it has no first line."
            )

    def _is_own(self, problem: Problem, shown: set[str], named: set[str]) -> bool:
        if problem.level != ERROR:
            return False
        if problem.place is not None and problem.place.path is not None:
            where = problem.place.path
            return where in shown or Path(where).resolve() == self.parent.path.resolve()
        return problem.pack in named or str(self.parent.path) in problem.message

    def reportinfo(self) -> tuple[Path, int | None, str]:
        return self.parent.path, None, f"{self.parent.path.name}: names"


class ExampleOfRule(_OfRules):
    """Whether an example does what it says: ``breaks`` gives a finding of its rule, ``holds`` none."""

    def __init__(self, *, source: SourceText, pack: Pack, rule: Rule, number: int, **more: Any) -> None:
        super().__init__(**more)
        self.source = source
        self.rule = rule
        self.number = number
        self.full_name = f"{pack.name.text}.{rule.name.text}"

    @property
    def example(self) -> Example:
        return self.rule.examples[self.number - 1]

    def runtest(self) -> None:
        """Raise where the example is untrue, or its rule cannot be judged."""
        loaded = self.parent.loaded()
        linked = loaded.rules.get(self.full_name)
        if linked is None or len(linked.rule.examples) < self.number:
            raise _Untrue(
                f"{self._quoted()}\nThe rule {self.full_name} is not in force, so it cannot be judged: see the test of names."
            )
        results, faults = loaded.try_rule(linked, self.parent.path.parent)
        if faults:
            raise _Untrue("\n".join([self._quoted(), *map(tell_problem, faults)]))
        result = results[self.number - 1]
        if not result.kept:
            raise _Untrue(f"{self._quoted()}\n{self._told(result)}")

    def _told(self, result: ExampleResult) -> str:
        if result.problem is not None:
            return f"This example cannot be judged: {result.problem}"
        if result.example.breaks:
            return f"This example should break {self.full_name}, which finds nothing in it."
        return "\n".join([f"This example should hold, but {self.full_name} finds:", *_findings(result.findings)])

    def _quoted(self) -> str:
        span = self.example.span
        return f"{self.parent.path.name}, line {self._line}:\n    {self.source.text[span.start : span.end]}"

    @property
    def _line(self) -> int:
        return self.source.position(self.example.span.start).line

    def reportinfo(self) -> tuple[Path, int | None, str]:
        return self.parent.path, self._line - 1, f"{self.parent.path.name}: {self.name}"


class ProofOfPack(_OfRules):
    """Whether ``dermalint proof`` finds a fault: rules that contradict each other, that never apply, and the like."""

    def __init__(self, *, pack: Pack, **more: Any) -> None:
        super().__init__(**more)
        self.pack_name = pack.name.text

    def runtest(self) -> None:
        """Raise for the faults of the proof; its remarks are for ``dermalint proof`` to tell."""
        from dermalint.proof.ground import Ground
        from dermalint.proof.prove import prove

        loaded = self.parent.loaded()
        if self.pack_name not in {pack.name for pack in loaded.packs.packs}:
            raise _Untrue(f"The pack {self.pack_name} is not in force, so it cannot be proven: see the test of names.")
        proof = prove(Ground(loaded.packs, (self.pack_name,), plugins=loaded.plugins))
        if proof.faults:
            raise _Untrue("\n\n".join(f"{flaw.message} {flaw.suggestion}".rstrip() for flaw in proof.faults))

    def reportinfo(self) -> tuple[Path, int | None, str]:
        return self.parent.path, None, f"{self.parent.path.name}: proof"


def _problem(problem: Problem, packs: PackSet) -> str:
    source = packs.sources.get(problem.place.path or "") if problem.place is not None else None
    if problem.place is None or source is None:
        return tell_problem(problem)
    line = source.position(problem.place.start).line
    quoted = source.text.splitlines()[line - 1].strip()
    return f"{Path(source.path).name}, line {line}:\n    {quoted}\n{tell_problem(problem)}"


def _findings(findings: Iterable[Finding]) -> Iterator[str]:
    for finding in findings:
        possibly = " (possibly)" if finding.certainty != "certain" else ""
        yield f"  {finding.message}{possibly}"
        if finding.unknown:
            yield f"  This depends on {', '.join(finding.unknown)}."
