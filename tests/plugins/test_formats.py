"""Regimens and reports in formats of plugins: really read, judged and printed, and kept from harming the run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from fake_distributions import HEAD, OTHERS, Ran, install

Review = Callable[..., Ran]

# Reads `….trial` files as YAML by dermalint's own reader, then changes the reading as the test asks.
READER = (
    HEAD
    + """
from dermalint.regimen.read import read_regimen
from dermalint_grammar.record import replace

@provides
def regimen_formats():
    return {{"trial": read}}

def read(path, shown):
    plain = path.with_suffix(".regimen.yaml")
    plain.write_bytes(path.read_bytes())
    try:
        reading = read_regimen(plain, shown=shown)
    finally:
        plain.unlink()
    regimen = reading.regimens[0]
    return {answer}
"""
)
QUICK = {"DERMALINT_PLUGIN_SECONDS": "1.5"}


def with_reader(site: Path, answer: str) -> tuple[str, Path]:
    """A plugin that reads files ending in ``.trial``, and such a file beside the usual one."""
    origin = install(site, "larkspur-broken", "regimen_formats.trial", READER.format(answer=answer))
    folder = site.parent / "files"
    folder.mkdir()
    text = (site.parent / "trial.regimen.yaml").read_text(encoding="utf-8")
    (folder / "b.regimen.trial").write_text(text, encoding="utf-8")
    (folder / "a.regimen.yaml").write_text(text, encoding="utf-8")
    return origin, folder


def review_folder(review: Review, folder: Path) -> Ran:
    return review(folder, folder / "b.regimen.trial", only=("trial.asks-for-parts", "trial.asks-for-nothing"), **QUICK)


def test_a_folder_is_searched_for_files_of_plugins_too(site: Path, review: Review) -> None:
    _, folder = with_reader(site, "reading")
    ran = review_folder(review, folder)
    assert [Path(file["path"]).name for file in ran.document["files"]] == ["a.regimen.yaml", "b.regimen.trial"]
    usual, foreign = ran.document["files"]
    assert [finding["rule"] for finding in foreign["findings"]] == [finding["rule"] for finding in usual["findings"]]
    assert foreign["findings"][0]["where"] == usual["findings"][0]["where"]
    assert (ran.problems, ran.status) == ([], 1)


UNREADABLE = {
    "raises": ("1 / 0", "raised ZeroDivisionError: division by zero when it read "),
    "leaves": ("exit(1)", "raised SystemExit: 1 when it read "),
    "hangs": ("__import__('threading').Event().wait()", "did not come back within 1.5 seconds when it read "),
    "gives nothing": ("None", ": the reading is nothing (None) where Reading was expected"),
    "gives a text": ("'regimen'", ": the reading is 'regimen' (str) where Reading was expected"),
    "of another file": ("replace(reading, path='x')", ": the reading is of x"),
    "a pH in words": (
        "replace(reading, regimens=(replace(regimen, products={'x': replace(regimen.products['clay'], ph='5.5')}),))",
        "products x, ph is '5.5' (str) where int or nothing (None) was expected",
    ),
    "a list of phases": (
        "replace(reading, regimens=(replace(regimen, phases=[*regimen.phases]),))",
        "phases is [Phase(",
    ),
    "a cycle without days": (
        "replace(reading, regimens=(replace(regimen, phases=(replace(regimen.phases[0], cycle=0),)),))",
        "gave a regimen that cannot be judged (",
    ),
}


@pytest.mark.parametrize(("answer", "told"), UNREADABLE.values(), ids=list(UNREADABLE))
def test_a_reader_at_fault_costs_its_files_only(site: Path, review: Review, answer: str, told: str) -> None:
    origin, folder = with_reader(site, answer)
    ran = review_folder(review, folder)
    (problem,) = ran.problems
    assert problem["message"].startswith(f"The plugin {origin} ")
    assert told in problem["message"]
    assert problem["message"].endswith(f"Not read: {folder / 'b.regimen.trial'}.")
    assert (problem["level"], problem["plugin"], ran.status) == ("error", origin, 3)
    assert problem["suggestion"]
    assert ran.rules() == OTHERS
    assert ran.document["summary"]["unreadable"] == 1


def test_a_reader_that_nobody_needs_is_not_imported(site: Path, review: Review) -> None:
    install(site, "larkspur-broken", "regimen_formats.trial", "raise RuntimeError")
    ran = review(only=("trial.asks-for-parts", "trial.asks-for-nothing"))
    assert (ran.status, ran.problems, ran.rules()) == (1, [], OTHERS)


def test_without_its_plugin_a_file_is_no_regimen(site: Path, review: Review) -> None:
    _, folder = with_reader(site, "reading")
    ran = review(folder / "b.regimen.trial", "--without-plugins", only=("trial.asks-for-nothing",))
    assert ran.status == 2
    assert "is no regimen file" in ran.document["files"][0]["problems"][0]["message"]


def reporting(answer: str) -> str:
    hook = "@provides\ndef report_formats():\n    return {'trial': render}\n"
    return f"{HEAD}{hook}\ndef render(review):\n    return {answer}\n"


SOUND_REPORT = reporting("'\\n'.join(finding.rule for file in review.files for finding in file.findings) + '\\n'")
WELL = ("trial.asks-for-parts", "trial.asks-for-nothing")


def test_a_report_of_a_plugin(site: Path, review: Review) -> None:
    install(site, "larkspur-report", "report_formats.trial", SOUND_REPORT)
    ran = review(only=WELL, as_="trial")
    assert (sorted(ran.out.split()), ran.err, ran.status) == (OTHERS, "", 1)
    target = site.parent / "report.txt"
    ran = review("--to", target, only=WELL, as_="trial")
    assert (ran.out, ran.status) == ("", 1)
    assert sorted(target.read_text(encoding="utf-8").split()) == OTHERS


NO_REPORTS = {
    "raises": ("1 / 0", "raised ZeroDivisionError: division by zero when it was to write the report."),
    "hangs": ("__import__('threading').Event().wait()", "did not come back within 1.5 seconds"),
    "gives bytes": ("b''", "gave a value of the type bytes where the text of a report was expected."),
    "gives nothing": ("None", "gave a value of the type NoneType where the text of a report was expected."),
}


@pytest.mark.parametrize(("answer", "told"), NO_REPORTS.values(), ids=list(NO_REPORTS))
def test_instead_of_a_report_at_fault_the_usual_one_is_printed(site: Path, review: Review, answer: str, told: str) -> None:
    origin = install(site, "larkspur-report", "report_formats.trial", reporting(answer))
    target = site.parent / "report.txt"
    ran = review("--to", target, only=WELL, as_="trial", COLUMNS="300", **QUICK)
    text = " ".join(ran.out.replace("│", " ").split())
    assert f"The plugin {origin} {told.rstrip('.')}" in text
    assert "The report is given as text instead." in text
    assert all(rule in text for rule in OTHERS)
    assert (ran.status, target.exists()) == (3, False)


def test_a_report_that_prints_is_told_beside_it(site: Path, review: Review) -> None:
    origin = install(site, "larkspur-report", "report_formats.trial", reporting("print('hello') or 'the report\\n'"))
    ran = review(only=WELL, as_="trial")
    assert (ran.out, ran.status) == ("the report\n", 1)
    assert ran.err.startswith(f"The plugin {origin} prints to standard output")


def test_a_report_that_nobody_has(site: Path, review: Review) -> None:
    install(site, "larkspur-report", "report_formats.trial", SOUND_REPORT)
    ran = review(only=WELL, as_="trail")
    assert ran.status == 2
    assert "or trial, not “trail”." in ran.err
    assert "Did you mean trial?" in ran.err
    ran = review("--without-plugins", only=WELL, as_="trial")
    assert ran.status == 2
    assert "not “trial”" in ran.err
