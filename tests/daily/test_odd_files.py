"""Files as they lie about: odd names, links, locks, sockets, odd bytes; and runs that are cut short."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from dermalint.cli import progress as progress_module
from dermalint.cli.main import run
from dermalint.cli.progress import Progress
from dermalint.regimen.search import find_files
from dermalint.review import FILES_THAT_PAY_FOR_A_PROCESS, Asked, review_paths

GOOD = """regimen: Calm
history: []
products:
  wash: {kind: cleanser, base: water, contact: rinsed}
routines:
  - {slot: evening, steps: [wash]}
"""
HOT = """regimen: Hot
products:
  acid: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  cream: {kind: treatment, base: emulsion, contains: {retinol: 0.3 %}}
routines:
  - {slot: evening, steps: [acid, cream]}
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def messages(path: str) -> list[str]:
    (result,) = review_paths([path], Asked(as_of=date(2026, 3, 2))).files
    return [problem.message for problem in result.problems if problem.level == "error"]


# --- names ---

ODD_NAMES = ["a b", "a#b", "a%20b", "a\nb", "夜", "-rf", "--as", "a'b\"c", "a\u202eb"]


@pytest.mark.parametrize("name", ODD_NAMES)
@pytest.mark.parametrize("as_", ["text", "json", "sarif", "html", "fhir"])
def test_odd_names_are_read_and_told(name: str, as_: str, folder: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    path = f"{name}.regimen.yaml"
    (folder / path).write_text(HOT)
    arguments = ["review", "--as", as_, "--as-of", "2026-03-02"]
    assert run([*arguments, "--", path]) == 1
    named = capsysbinary.readouterr().out
    if as_ == "json":
        assert [file["path"] for file in json.loads(named)["files"]] == [path]
    assert run([*arguments, "."]) == 1  # a search finds it too
    assert capsysbinary.readouterr().out


@pytest.mark.skipif(sys.platform != "linux", reason="only here file names may be any bytes")
@pytest.mark.parametrize("as_", ["text", "json", "sarif", "html", "fhir"])
def test_names_that_are_no_text(as_: str, folder: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    path = os.fsdecode(b"caf\xe9.regimen.yaml")
    (folder / path).write_text(HOT)
    assert run(["review", "--as", as_, "."]) == 1
    capsysbinary.readouterr().out.decode("utf-8")


# --- what is no file, or none for us ---


def test_a_link_to_itself_and_a_folder_that_holds_itself(folder: Path) -> None:
    (folder / "loop.regimen.yaml").symlink_to("loop.regimen.yaml")
    (folder / "gone.regimen.yaml").symlink_to("nowhere")
    (folder / "inside").mkdir()
    (folder / "inside" / "again").symlink_to("..")
    (folder / "circle").symlink_to("circle")
    (folder / "a.regimen.yaml").write_text(GOOD)
    found = find_files(["."])
    assert found == ["./a.regimen.yaml", "./gone.regimen.yaml", "./loop.regimen.yaml"]
    assert messages("gone.regimen.yaml") == ["There is no file gone.regimen.yaml."]
    assert messages("loop.regimen.yaml") == ["loop.regimen.yaml cannot be read."]


def test_a_socket_and_a_pipe_are_not_waited_for(folder: Path) -> None:
    os.mkfifo(folder / "pipe.regimen.yaml")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind("socket.regimen.yaml")
        for name in ("pipe", "socket"):
            assert messages(f"{name}.regimen.yaml") == [f"{name}.regimen.yaml is no ordinary file."]
        assert run(["review", "."]) == 2


def test_a_folder_that_may_not_be_read_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "a.regimen.yaml").write_text(GOOD)
    (folder / "locked").mkdir()
    scan, access = os.scandir, os.access

    def refuse(path: str) -> object:
        if str(path).endswith("locked"):
            raise PermissionError(13, "Permission denied")
        return scan(path)

    monkeypatch.setattr(os, "scandir", refuse)
    monkeypatch.setattr(os, "access", lambda path, mode: not str(path).endswith("locked") and access(path, mode))
    results = {result.path: result for result in review_paths(["."], Asked(as_of=date(2026, 3, 2))).files}
    assert [problem.message for problem in results["./locked"].problems] == ["The folder ./locked may not be read."]
    assert results["./a.regimen.yaml"].readable


def test_an_empty_folder_says_so(folder: Path) -> None:
    (folder / "empty").mkdir()
    assert messages("empty") == ["empty is a folder, not a file."]


def test_findings_and_files_that_cannot_be_read_together(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "a.regimen.yaml").write_text(HOT)
    assert run(["review", "a.regimen.yaml", "--as-of", "2026-03-02"]) == 1
    (folder / "b.regimen.yaml").write_bytes(b"regimen: \xff")
    for order in (["a.regimen.yaml", "b.regimen.yaml"], ["b.regimen.yaml", "a.regimen.yaml"]):
        capsys.readouterr()
        assert run(["review", *order, "--as-of", "2026-03-02"]) == 2
        assert "retinoids.acid-off-retinoid-routines" in capsys.readouterr().out


# --- odd texts ---


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + HOT,
        HOT.replace("\n", "\r\n"),
        HOT.rstrip("\n"),
        HOT + "\n\n# the end\n",
        "# " + "x" * 300 + "\n" * 120 + HOT,
    ],
    ids=["byte order mark", "CRLF", "no last line end", "remarks behind", "three-digit lines"],
)
def test_the_same_regimen_however_it_is_saved(text: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "a.regimen.yaml").write_bytes(text.encode())
    assert run(["review", "a.regimen.yaml", "--as-of", "2026-03-02", "--only", "acid-off-retinoid-routines"]) == 1
    lines = capsys.readouterr().out.splitlines()
    (quoted,) = (number for number, line in enumerate(lines) if "steps: [acid, cream]" in line)
    at = lines[quoted].index("acid")
    assert lines[quoted + 1][at : at + 11] == "^^^^  ~~~~~"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("regimen: T\u0085about: x\n", "U+0085"),
        ("regimen: T\u2028about: x\n", "U+2028"),
        ("regimen: T\nproducts: {1: {kind: toner}, true: {kind: toner}}\nroutines: [{slot: evening, steps: [tru]}]\n", "tru"),
        ("regimen: T\nproducts: {a: {kind: toner, spf: " + "9" * 5000 + "}}\nroutines: []\n", "`spf`"),
        ("regimen: T\nproducts:\n  a: {kind: toner", "A group in braces is not closed."),
    ],
    ids=["NEL", "line separator", "keys that are no text", "a huge number", "the end of the file"],
)
def test_odd_texts_are_told_at_their_place(text: str, said: str, folder: Path) -> None:
    (folder / "a.regimen.yaml").write_text(text, encoding="utf-8")
    (result,) = review_paths(["a.regimen.yaml"], Asked(as_of=date(2026, 3, 2))).files
    fitting = [problem for problem in result.problems if problem.level == "error" and said in problem.message]
    assert fitting
    assert all(problem.place is not None and problem.place.start <= len(text) for problem in fitting)


@pytest.mark.parametrize(
    ("ending", "text"),
    [
        ("yaml", "regimen: T\nregimen: U\n"),
        ("json", '{"regimen": "T", "regimen": "U"}'),
        ("toml", "regimen = 'T'\nregimen = 'U'\n"),
    ],
)
def test_a_field_twice_is_told_in_every_language(ending: str, text: str, folder: Path) -> None:
    (folder / f"a.regimen.{ending}").write_text(text)
    assert any("written twice" in message for message in messages(f"a.regimen.{ending}"))


@pytest.mark.parametrize("as_", ["text", "json", "sarif", "html", "fhir"])
def test_a_regimen_without_routines_is_no_fault(as_: str, folder: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    wishes = GOOD.partition("routines:")[0] + "wishes:\n  - {product: wash, evenings: every}\ncycle: 7 days\n"
    (folder / "wishes.regimen.yaml").write_text(wishes)
    assert run(["review", "wishes.regimen.yaml", "--as", as_]) == 0
    (folder / "title.regimen.yaml").write_text("regimen: T\n")
    assert run(["review", "title.regimen.yaml", "--as", as_]) == 2
    assert capsysbinary.readouterr().out


def test_a_regimen_in_toml_with_a_huge_number(folder: Path) -> None:
    (folder / "a.regimen.toml").write_text("regimen = 'T'\nx = " + "9" * 5000)
    assert messages("a.regimen.toml") == ["A number in this file has too many digits."]


# --- terminals, days, interruptions ---


def test_the_narrowest_page(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "a.regimen.yaml").write_text(HOT)
    monkeypatch.setenv("COLUMNS", "20")
    assert run(["review", "a.regimen.yaml"]) == 1
    assert max(len(line) for line in capsys.readouterr().out.splitlines()) <= 40


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Etc/GMT+12", "UTC"])
def test_today_is_the_same_day_in_every_zone(zone: str, folder: Path) -> None:
    (folder / "a.regimen.yaml").write_text(GOOD)
    script = "import sys; from dermalint.cli.main import run; sys.exit(run(['review', 'a.regimen.yaml', '--as', 'json']))"
    days = set()
    for name in (zone, "UTC"):
        done = subprocess.run(
            [sys.executable, "-c", script], env={**os.environ, "TZ": name}, capture_output=True, check=True
        )
        days.add(json.loads(done.stdout)["asked"]["as_of"])
    assert len(days) == 1


INTERRUPTED = """
import os, signal, sys
import dermalint.review as engine
from dermalint.cli.main import run
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever runs the tests may have let it be ignored
asked = engine._review_in_processes
def stopped(files, asked_of):
    parts = asked(files, asked_of)
    yield next(parts)
    os.kill(0, signal.SIGINT)  # the whole group, as a terminal does
    yield from parts
engine._review_in_processes = stopped
sys.exit(run(["review", ".", "--jobs", "2", "--no-cache"]))
"""


def test_an_interrupt_ends_all_processes_in_one_line(folder: Path) -> None:
    for number in range(FILES_THAT_PAY_FOR_A_PROCESS * 4):
        (folder / f"{number}.regimen.yaml").write_text(HOT)
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED], capture_output=True, check=False, start_new_session=True, timeout=120
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"Stopped.\n")


# --- progress ---


class Terminal:
    """Standard error, as a terminal or not."""

    def __init__(self, terminal: bool) -> None:
        self.written = ""
        self._terminal = terminal

    def isatty(self) -> bool:
        return self._terminal

    def write(self, text: str) -> None:
        self.written += text

    def flush(self) -> None:
        pass


@pytest.mark.parametrize(
    ("terminal", "wanted", "written"),
    [
        (True, None, "\r300 of 400 files\r400 of 400 files"),
        (True, True, "\r100 of 400 files\r200 of 400 files\r300 of 400 files\r400 of 400 files"),
        (False, True, "100 of 400 files\n300 of 400 files\n"),
    ],
)
def test_progress(terminal: bool, wanted: bool | None, written: str, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter((0.0, 0.4, 0.8, 1.4, 1.9))
    screen = Terminal(terminal)
    monkeypatch.setattr(progress_module, "monotonic", lambda: next(clock))
    monkeypatch.setattr(sys, "stderr", screen)
    progress = Progress(wanted)
    for done in (100, 200, 300, 400):
        progress(done, 400)
    assert screen.written == written
    progress.clear()
    assert screen.written.endswith("\r" + " " * 16 + "\r") is terminal


def test_a_short_run_and_one_into_a_pipe_say_nothing_on_the_way(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "a.regimen.yaml").write_text(GOOD)
    run(["review", "a.regimen.yaml"])
    assert capsys.readouterr().err == ""
    run(["review", "a.regimen.yaml", "--progress"])
    assert capsys.readouterr().err == "1 of 1 files\n"
    run(["review", "a.regimen.yaml", "--progress", "--no-progress"])
    assert capsys.readouterr().err == ""
