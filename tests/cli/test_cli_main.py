"""The entry point: help, wrong commands, faults, interrupts, odd terminals, closed pipes, and what is imported when."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import build_review as built
import pytest
from stand_in_engine import Engine

import dermalint
from dermalint.cli.main import COMMANDS, run
from dermalint.cli.writing import page_for_stdout
from dermalint.report.page import Page

# Runs the command with a stand-in engine in a process of its own.
SCRIPT = """
import sys
sys.path.insert(0, {reports!r})
from types import ModuleType
module = ModuleType("dermalint.review")
class Asked:
    def __init__(self, **asked): pass
def review_paths(paths, asked):
    import build_review as built
    return built.review(*([built.wide()] * {times}))
module.Asked, module.review_paths = Asked, review_paths
sys.modules["dermalint.review"] = module
from dermalint.cli.main import run
status = run({arguments!r})
{after}
sys.exit(status)
"""


def script(arguments: list[str], times: int = 1, after: str = "") -> list[str]:
    reports = str(Path(__file__).resolve().parents[1] / "report")
    return [sys.executable, "-c", SCRIPT.format(reports=reports, arguments=arguments, times=times, after=after)]


def environment(**changes: str) -> dict[str, str]:
    left_out = ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "DERMALINT_TRACE", "PYTHONIOENCODING", "PYTHONUTF8")
    return {name: value for name, value in os.environ.items() if name not in left_out} | changes


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"dermalint {dermalint.__version__}\n"


def test_help_teaches_by_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    said = capsys.readouterr().out
    assert "dermalint review calm.regimen.yaml" in said
    assert all(f"\n  {name} " in said for name in COMMANDS)
    for name in COMMANDS:
        assert run([name, "--help"]) == 0
        assert f"\n      dermalint {name} " in capsys.readouterr().out


def test_every_command_says_of_itself_what_the_list_says() -> None:
    for name, words in COMMANDS.items():
        command = import_module(f"dermalint.cli.{name}").command
        assert (command.name, command.get_short_help_str(200)) == (name, words)


def test_without_a_command_there_is_help_and_status_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([]) == 2
    assert "Commands:" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "lines"),
    [
        (["revew", "x"], ["There is no command “revew”.", "Did you mean review?", "All about this command: dermalint --help"]),
        (
            ["calm.regimen.yaml"],
            [
                "There is no command “calm.regimen.yaml”.",
                "To check it: dermalint review calm.regimen.yaml",
                "All about this command: dermalint --help",
            ],
        ),
        (
            ["--verzion"],
            ["There is no option --verzion.", "Did you mean --version?", "All about this command: dermalint --help"],
        ),
    ],
)
def test_wrong_commands(arguments: list[str], lines: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(arguments) == 2
    assert capsys.readouterr().err.splitlines() == lines


def fault() -> None:
    raise ZeroDivisionError("odd")


def test_a_fault_inside_is_one_sentence(engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answer = fault
    assert run(["review", "x"]) == 3
    (said,) = capsys.readouterr().err.splitlines()
    assert said.startswith("Something went wrong inside dermalint (dermalint/cli/review.py, line ")
    assert "ZeroDivisionError" not in said


def test_a_fault_is_traced_on_request(
    engine: Engine, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DERMALINT_TRACE", "1")
    engine.answer = fault
    assert run(["review", "x"]) == 3
    assert "ZeroDivisionError: odd" in capsys.readouterr().err


def interrupt() -> None:
    raise KeyboardInterrupt


def test_an_interrupt_is_one_line(engine: Engine, capsys: pytest.CaptureFixture[str]) -> None:
    engine.answer = interrupt
    assert run(["review", "x"]) == 130
    assert capsys.readouterr().err == "Stopped.\n"


@pytest.mark.parametrize("arguments", [["review", "x"], ["review", "x", "--as", "json"]])
def test_a_closed_pipe_is_no_error(arguments: list[str]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(
            script(arguments, times=200), stdout=writing, stderr=subprocess.PIPE, env=environment(), check=False
        )
    finally:
        os.close(writing)
    assert (done.returncode, done.stderr) == (1, b"")


def test_help_into_a_closed_pipe() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(script(["--help"]), stdout=writing, stderr=subprocess.PIPE, env=environment(), check=False)
    finally:
        os.close(writing)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize("arguments", [["review", "x"], ["review", "x", "--as", "json"], ["--help"], ["--version"]])
def test_closed_streams_change_no_status(arguments: list[str]) -> None:
    """Standard output and standard error closed by the caller, as ``>&- 2>&-`` does in a shell."""
    expected = subprocess.run(script(arguments), capture_output=True, env=environment(), check=False).returncode
    for closing in (">&-", "2>&-", ">&- 2>&-"):
        call = ["sh", "-c", f'exec "$@" {closing}', "sh", *script(arguments)]
        done = subprocess.run(call, capture_output=True, env=environment(), check=False)
        assert (done.returncode, done.stderr) == (expected, b""), closing
        assert bool(done.stdout) is (closing == "2>&-")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no device that is always full")
@pytest.mark.parametrize("arguments", [["review", "x"], ["review", "x", "--as", "json"], ["--help"]])
def test_a_full_disk_is_said_in_plain_words(arguments: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(script(arguments), stdout=full, stderr=subprocess.PIPE, env=environment(), check=False)
    assert done.returncode == 2
    assert done.stderr.startswith(b"Standard output cannot be written to: ")


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252"])
def test_a_terminal_without_the_letters_never_ends_the_run(encoding: str) -> None:
    env = environment(PYTHONIOENCODING=encoding)
    done = subprocess.run(script(["review", "x"]), capture_output=True, env=env, check=False)
    text = done.stdout.decode(encoding)
    assert (done.returncode, done.stderr) == (1, b"")
    assert "   Caution | ?????? and cr" in text
    assert "line 5 | - {product: ??????, areas" in text


def test_json_is_utf_8_whatever_the_terminal() -> None:
    env = environment(PYTHONIOENCODING="ascii")
    done = subprocess.run(script(["review", "x", "--as", "json"]), capture_output=True, env=env, check=False)
    assert done.returncode == 1
    assert "夜用クリーム" in done.stdout.decode("utf-8")
    assert b"\r" not in done.stdout


LOADED = "print(*sorted(name for name in sys.modules), file=sys.stderr)"
SLOW = ("lark", "jsonschema", "rich", "importlib.metadata", "pluggy", "traceback", "unittest", "asyncio")


def loaded_by(arguments: list[str]) -> set[str]:
    """The modules that a call imports over those that an empty process has."""
    bare = subprocess.run([sys.executable, "-c", f"import sys; {LOADED}"], capture_output=True, text=True, check=True)
    done = subprocess.run(script(arguments, after=LOADED), capture_output=True, env=environment(), check=False)
    return set(done.stderr.decode().split()) - set(bare.stderr.split())


def test_help_imports_no_command_and_no_report() -> None:
    own = {name for name in loaded_by(["--help"]) if name.startswith("dermalint")}
    assert own - {"dermalint_grammar", "dermalint_grammar.record"} == {
        "dermalint", "dermalint.cli", "dermalint.cli.calls", "dermalint.cli.main", "dermalint.review",
        "dermalint.cli.writing", "dermalint.report", "dermalint.report.page", "dermalint.spans",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("as_", "report", "other"),
    [
        ("text", "text_report", "json_report"),
        ("json", "json_report", "text_report"),
        ("sarif", "sarif_report", "text_report"),
        ("html", "html_report", "json_report"),
        ("fhir", "fhir_report", "text_report"),
    ],
)
def test_a_report_is_imported_for_its_format_alone(as_: str, report: str, other: str) -> None:
    loaded = loaded_by(["review", "x", "--as", as_])
    assert f"dermalint.report.{report}" in loaded
    assert f"dermalint.report.{other}" not in loaded
    documents = {"sarif_report", "html_report", "html_week", "html_remarks", "markup", "fhir_report"}
    if as_ in ("text", "json"):
        assert not {f"dermalint.report.{name}" for name in (*documents, "plain_data")} & loaded
        assert "dermalint.timeline.plan" not in loaded
    assert not {"dermalint.report.rules_report", "dermalint.cli.rules", "dermalint.cli.names", "dermalint.packs"} & loaded
    assert not set(SLOW) & loaded


class Screen(io.StringIO):
    """Standard output as a terminal shows it, or as a pipe takes it."""

    def __init__(self, terminal: bool, encoding: str = "utf-8") -> None:
        super().__init__()
        self._terminal, self._encoding = terminal, encoding

    def isatty(self) -> bool:
        return self._terminal

    @property
    def encoding(self) -> str:  # type: ignore[override]
        return self._encoding


@pytest.mark.parametrize(
    ("terminal", "variables", "page"),
    [
        (False, {}, Page(80)),
        (True, {}, Page(80, colour=True)),
        (True, {"NO_COLOR": "1"}, Page(80)),
        (True, {"NO_COLOR": ""}, Page(80, colour=True)),
        (True, {"TERM": "dumb"}, Page(80)),
        (False, {"FORCE_COLOR": "1"}, Page(80, colour=True)),
        (True, {"FORCE_COLOR": "0"}, Page(80)),
        (False, {"FORCE_COLOR": "1", "NO_COLOR": "1"}, Page(80)),
        (False, {"COLUMNS": "64"}, Page(64)),
        (False, {"COLUMNS": "12"}, Page(40)),
        (False, {"COLUMNS": "300"}, Page(110)),
        (False, {"COLUMNS": "wide"}, Page(80)),
    ],
)
def test_the_page_suits_the_terminal(
    terminal: bool, variables: dict[str, str], page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setattr(sys, "platform", "linux")
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "stdout", Screen(terminal))
    assert page_for_stdout() == page


def test_a_terminal_without_line_signs_gets_plain_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", Screen(False, "latin-1"))
    assert page_for_stdout().plain
    monkeypatch.setattr(sys, "stdout", Screen(False, "utf-8"))
    assert not page_for_stdout().plain


def test_output_replaced_by_a_text_stream_gets_the_document(engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Screen(False)
    monkeypatch.setattr(sys, "stdout", screen)
    engine.answer = built.review(built.wide())
    assert run(["review", "x", "--as", "json"]) == 1
    assert "夜用クリーム" in screen.getvalue()
