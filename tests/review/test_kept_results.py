"""Results kept between runs: the same report, from whatever they follow changed anew, and doubtful ones never used."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

import dermalint.review as engine
from dermalint import results
from dermalint.review import FILES_THAT_PAY_FOR_A_PROCESS, Asked, review_paths
from dermalint.settings.model import Part, Settings
from dermalint.verdict.report_model import Review

DEMO = Path(__file__).parents[2] / "examples" / "larkspur-row"
AS_OF = date(2026, 3, 2)
PLAN = """regimen: x
use: [products.yaml]
routines:
  - {slot: evening, steps: [acid, cream]}
"""
PRODUCTS = """products:
  acid: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  cream: {kind: treatment, base: emulsion, contains: {retinol: 0.3 %}}
"""
RULES = """pack house 1.0.0
uses core, substances

rule calm advice
  never use retinol.
  why "House."
  advise "House."
  source practice "House rule."
  breaks  evening: retinol 0.3 %
  holds   evening: moisturiser
"""


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """The names of the files that were judged and not taken from the cache; the cache is one of the test's own."""
    monkeypatch.setenv("DERMALINT_CACHE", str(tmp_path / "cache"))
    seen: list[str] = []
    judge_file = engine._review_file

    def noting(path: str, desk: engine.Desk) -> object:
        seen.append(Path(path).name)
        return judge_file(path, desk)

    monkeypatch.setattr(engine, "_review_file", noting)
    return seen


@pytest.fixture
def library(tmp_path: Path) -> Path:
    folder = tmp_path / "library"
    folder.mkdir()
    (folder / "a.regimen.yaml").write_text(PLAN)
    (folder / "b.regimen.yaml").write_text(PLAN)
    (folder / "products.yaml").write_text(PRODUCTS)
    (folder / "house.rules").write_text(RULES)
    return folder


def review(folder: Path, **asked: object) -> Review:
    return review_paths([str(folder)], Asked(**{"as_of": AS_OF, **asked}))


def kept(tmp_path: Path) -> list[Path]:
    return sorted((tmp_path / "cache" / "results").rglob("*.result"))


def test_the_second_run_judges_nothing_and_says_the_same(tmp_path: Path, judged: list[str]) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    first = review(tmp_path / "demo")
    count = len(judged)
    assert count == len(first.files) > 5
    assert review(tmp_path / "demo") == first
    readable = [result for result in first.files if not any(problem.level == "error" for problem in result.problems)]
    assert len(judged) == 2 * count - len(readable)


def test_a_changed_file_is_judged_anew(library: Path, judged: list[str]) -> None:
    review(library)
    del judged[:]
    (library / "a.regimen.yaml").write_text(PLAN.replace("regimen: x", "regimen: y"))
    assert [result.regimen for result in review(library).files] == ["y", "x"]
    assert judged == ["a.regimen.yaml"]


@pytest.mark.parametrize("moment", [0, 4_102_444_800], ids=["1970", "2100"])
def test_times_of_files_count_for_nothing(moment: int, library: Path, tmp_path: Path, judged: list[str]) -> None:
    """A clock that is wrong, or a copy that brings its times along, neither hides a change nor costs a result."""
    first = review(library)
    del judged[:]
    for path in (*library.iterdir(), *kept(tmp_path)):
        os.utime(path, (moment, moment))
    assert review(library) == first
    assert judged == []
    path = library / "a.regimen.yaml"
    path.write_text(PLAN.replace("regimen: x", "regimen: y"))  # of the same size
    os.utime(path, (moment, moment))
    assert [result.regimen for result in review(library).files] == ["y", "x"]
    assert judged == ["a.regimen.yaml"]


def test_files_that_use_a_changed_file_are_judged_anew(library: Path, judged: list[str]) -> None:
    rule = "retinoids.acid-off-retinoid-routines"
    before = review(library)
    del judged[:]
    (library / "products.yaml").write_text(PRODUCTS.replace("retinol: 0.3 %", "squalane: 5 %"))
    after = review(library)
    assert judged == ["a.regimen.yaml", "b.regimen.yaml"]
    assert [{rule} <= {found.rule for found in files.findings} for files in (before.files[0], after.files[0])] == [True, False]
    del judged[:]
    (library / "products.yaml").unlink()
    assert any(problem.level == "error" for problem in review(library).files[0].problems)
    assert judged == ["a.regimen.yaml", "b.regimen.yaml"]


@pytest.mark.parametrize(
    "change",
    [
        {"as_of": date(2026, 3, 3)},
        {"region": "eu"},
        {"stance": "strict"},
        {"only": ("acids",)},
        {"without": ("acids",)},
        {"plugins": ()},
        {"settings": Settings("s", "/", Part(severities={"acids": "off"}))},
        {"settings": Settings("s", "/", Part(region="eu"))},
        {"cache": False},
        {"plan": True},
    ],
)
def test_whatever_is_asked_otherwise_is_judged_anew(change: dict[str, object], library: Path, judged: list[str]) -> None:
    review(library)
    del judged[:]
    review(library, **change)
    assert judged == ["a.regimen.yaml", "b.regimen.yaml"]


def test_other_packs_are_judged_anew(library: Path, judged: list[str]) -> None:
    house = {"packs": (library / "house.rules",)}
    review(library, **house)
    del judged[:]
    (library / "house.rules").write_text(RULES.replace("advice\n", "caution\n"))
    found = {finding.rule: finding.severity for finding in review(library, **house).files[0].findings}
    assert found["house.calm"] == "caution"
    assert judged == ["a.regimen.yaml", "b.regimen.yaml"]


def test_another_version_is_judged_anew(library: Path, judged: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    review(library)
    del judged[:]
    monkeypatch.setattr(results, "__version__", "9.9.9")
    review(library)
    assert judged == ["a.regimen.yaml", "b.regimen.yaml"]


def test_a_copy_elsewhere_speaks_of_itself(library: Path, judged: list[str]) -> None:
    review(library)
    shutil.copytree(library, library.parent / "copy")
    assert {Path(result.path).parent.name for result in review(library.parent / "copy").files} == {"copy"}
    assert len(judged) == 4


def test_what_could_not_be_read_is_not_kept(library: Path, tmp_path: Path, judged: list[str]) -> None:
    (library / "a.regimen.yaml").write_text("regimen: [")
    (library / "b.regimen.yaml").write_text(PLAN.replace("cream", "creme"))
    review(library)
    assert kept(tmp_path) == []
    review(library)
    assert len(judged) == 4


@pytest.mark.parametrize(
    "damage",
    [
        lambda path: path.write_bytes(path.read_bytes()[:-9]),
        lambda path: path.write_bytes(b""),
        lambda path: path.write_bytes(path.read_bytes()[:-1] + b"x"),
        lambda path: path.chmod(0o666),
    ],
    ids=["cut short", "empty", "changed", "writable by others"],
)
def test_a_doubtful_result_is_not_used_and_is_mended(damage: object, library: Path, tmp_path: Path, judged: list[str]) -> None:
    first = review(library)
    for path in kept(tmp_path):
        damage(path)  # type: ignore[operator]
    del judged[:]
    assert review(library) == first
    assert judged == ["a.regimen.yaml", "b.regimen.yaml"]
    del judged[:]
    assert review(library) == first
    assert judged == []


def test_one_result_in_the_place_of_another_is_told_apart_by_its_name(library: Path, tmp_path: Path, judged: list[str]) -> None:
    review(library)
    one, other = kept(tmp_path)
    one.write_bytes(other.read_bytes())
    del judged[:]
    assert {Path(result.path).name for result in review(library).files} == {"a.regimen.yaml", "b.regimen.yaml"}
    assert len(judged) == 1


@pytest.mark.parametrize("folder", ["", "no/such"])
def test_without_a_folder_nothing_is_kept_and_all_is_well(
    folder: str, library: Path, judged: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (library / "no").write_text("a file where the folder should be")
    monkeypatch.setenv("DERMALINT_CACHE", str(library / folder) if folder else "")
    assert review(library) == review(library)
    assert len(judged) == 4


def test_the_folder_stays_within_its_bounds(
    library: Path, tmp_path: Path, judged: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    review(library)
    old, new = kept(tmp_path)
    os.utime(old, (1, 1))
    monkeypatch.setattr(results, "MOST_FILES", 1)
    results.KeptResults(tmp_path / "cache" / "results", b"").forget_oldest()
    assert kept(tmp_path) == [old, new]
    results.KeptResults(tmp_path / "cache" / "results", b"").forget_oldest(surely=True)
    assert kept(tmp_path) == [new]
    monkeypatch.setattr(results, "MOST_BYTES", 10)
    results.KeptResults(tmp_path / "cache" / "results", b"").forget_oldest(surely=True)
    assert kept(tmp_path) == []
    assert len(judged) == 2


def command(*arguments: str) -> list[str]:
    return [sys.executable, "-c", "import sys; from dermalint.cli.main import run; sys.exit(run())", "review", *arguments]


def test_runs_at_once_and_with_processes_agree(tmp_path: Path) -> None:
    for number in range(FILES_THAT_PAY_FOR_A_PROCESS // 8 + 1):
        shutil.copytree(DEMO, tmp_path / "many" / f"copy-{number}")
    arguments = [str(tmp_path / "many"), "--as-of", "2026-03-02", "--as", "json", "--fail-at", "never"]
    environment = {**os.environ, "DERMALINT_CACHE": str(tmp_path / "cache")}
    running = [
        subprocess.Popen(command(*arguments, "--jobs", jobs), env=environment, stdout=subprocess.PIPE) for jobs in ("1", "2")
    ]
    told = [process.communicate()[0] for process in running]
    again = subprocess.run(command(*arguments, "--jobs", "2"), env=environment, capture_output=True, check=False).stdout
    anew = subprocess.run(command(*arguments, "--no-cache"), env=environment, capture_output=True, check=False).stdout
    assert told[0] == told[1] == again == anew != b""
    assert not list((tmp_path / "cache").rglob(".writing-*"))
