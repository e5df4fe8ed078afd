"""Settings: which file is in force, what it says, what is told of a wrong one, and that the command line wins."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from dermalint.cli.main import run
from dermalint.review import Asked, review_paths
from dermalint.settings.effective import BUILT_IN, effective
from dermalint.settings.locate import locate_settings
from dermalint.settings.model import Settings, SettingsError
from dermalint.settings.read import find_settings

RULE = "retinoids.acid-off-retinoid-routines"
PLAN = """regimen: x
products:
  acid: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  cream: {kind: treatment, base: emulsion, contains: {retinol: 0.3 %}}
  day: {kind: sunscreen, base: emulsion, spf: 50}
routines:
  - {slot: morning, steps: [day]}
  - {slot: evening, days: [monday], steps: [acid, cream]}
"""
Write = Callable[[str, str], Path]


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "project" / ".git").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "project")
    monkeypatch.setenv("DERMALINT_CACHE", str(tmp_path / "cache"))
    return tmp_path / "project"


def put(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def severities(path: Path, **asked: object) -> dict[str, str]:
    settings = find_settings([str(path)])
    (result,) = review_paths([str(path)], Asked(as_of=date(2026, 3, 2), settings=settings, **asked)).files
    return {finding.rule: finding.severity for finding in result.findings}


# --- which file ---


def test_the_nearest_above_counts_up_to_the_repository(project: Path) -> None:
    put(project.parent / "dermalint.toml", "")  # above the repository: another's
    put(project / "courses" / "calm" / "x.regimen.yaml", PLAN)
    put(project / "courses" / "other" / "dermalint.toml", "")  # beside
    put(project / "courses" / "calm" / "deep" / "dermalint.toml", "")  # below
    path = "courses/calm/x.regimen.yaml"
    assert locate_settings([path]) is None
    top = put(project / "dermalint.toml", "")
    assert locate_settings([path]) == str(top)
    assert locate_settings(["courses"]) == locate_settings([]) == str(top)
    near = put(project / "courses" / "dermalint.toml", "")
    assert locate_settings([path]) == str(near)
    assert locate_settings(["courses"]) == str(near)
    assert locate_settings([]) == str(top)
    assert locate_settings(["courses/other", path]) == str(project / "courses" / "other" / "dermalint.toml")


def test_without_a_repository_up_to_the_working_directory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    above = put(tmp_path / "dermalint.toml", "")
    (tmp_path / "a" / "b").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "a")
    assert locate_settings(["b"]) is None
    monkeypatch.chdir(tmp_path)
    assert locate_settings(["a/b"]) == str(above)
    monkeypatch.chdir(tmp_path / "a" / "b")
    assert locate_settings([str(tmp_path)]) == str(above)
    assert locate_settings([str(tmp_path / "a")]) is None


def test_an_own_file_before_the_shared_one_and_a_shared_one_only_with_our_table(project: Path) -> None:
    shared = put(project / "pyproject.toml", '[project]\nname = "dermalint"\n[tool.other]\nx = 1\n')
    assert locate_settings([]) is None
    tables = ('[tool.dermalint]\nregion = "eu"\n', '[tool]\ndermalint = {region = "eu"}\n', 'tool.dermalint.region = "eu"\n')
    for table in tables:
        put(shared, table)
        assert locate_settings([]) == str(shared)
        found = find_settings([])
        assert found is not None
        assert found.everywhere.region == "eu"
    own = put(project / "dermalint.toml", "")
    assert locate_settings([]) == str(own)


def test_a_run_without_settings_reads_no_toml(project: Path) -> None:
    put(project / "x.regimen.yaml", PLAN)
    script = "import sys; from dermalint.cli.main import run; run(['review', 'x.regimen.yaml'])"
    script += "; print(*sys.modules, file=sys.stderr)"
    loaded = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stderr.split()
    assert "dermalint.settings.locate" in loaded
    assert not {"tomllib", "pathspec", "dermalint.settings.read", "dermalint.settings.exclude"} & set(loaded)


# --- what it says ---

WHOLE = """packs = ["house"]
plugins = ["dermalint"]
region = "eu"
stance = "strict"
fail-at = "advice"
possible = "fail"
exclude = ["drafts/"]
known = "known.json"

[severities]
acids = "advice"
retinoids.acid-off-retinoid-routines = "off"

[day]
morning = "06:30"

[[folder]]
path = "archive"
fail-at = "never"
"""


def test_every_key_is_shown_with_where_it_is_set(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(project / "dermalint.toml", WHOLE)
    found = find_settings([])
    rows = {(row.key, row.folder): (row.value, row.origin) for row in effective(found)}
    assert rows == {
        ("packs", None): ("house", "dermalint.toml, line 1"),
        ("plugins", None): ("dermalint", "dermalint.toml, line 2"),
        ("region", None): ("eu", "dermalint.toml, line 3"),
        ("stance", None): ("strict", "dermalint.toml, line 4"),
        ("fail-at", None): ("advice", "dermalint.toml, line 5"),
        ("possible", None): ("fail", "dermalint.toml, line 6"),
        ("exclude", None): ("drafts/", "dermalint.toml, line 7"),
        ("known", None): ("known.json", "dermalint.toml, line 8"),
        ("severities", None): (f"acids advice, {RULE} off", "dermalint.toml, line 10"),
        ("day", None): ("morning 06:30", "dermalint.toml, line 14"),
        ("fail-at", "archive"): ("never", "dermalint.toml, line 17"),
    }
    assert all(row.origin == BUILT_IN for row in effective(None))
    assert [row.key for row in effective(None)] == [row.key for row in effective(found)][:-1]
    assert run(["rules", "--settings", "--as", "json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown["format"] == "dermalint-settings/1"
    assert [(row["key"], row["folder"]) for row in shown["settings"]] == list(rows)
    assert run(["rules", "--settings"]) == 0
    assert "stance │ strict (dermalint.toml, line 4)" in capsys.readouterr().out


def test_paths_count_from_the_settings_file(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(project / "dermalint.toml", 'packs = ["house"]\nknown = "known.json"\n')
    (project / "courses").mkdir()
    monkeypatch.chdir(project / "courses")
    found = find_settings(["."])
    assert found is not None
    assert [os.path.normpath(path) for path in (*found.packs, found.known or "")] == [
        str(project / "house"),
        str(project / "known.json"),
    ]


def test_severities_of_rules_packs_and_folders(project: Path) -> None:
    near, archived = put(project / "x.regimen.yaml", PLAN), put(project / "archive" / "x.regimen.yaml", PLAN)
    assert severities(near)[RULE] == "caution"
    put(project / "dermalint.toml", '[severities]\nretinoids = "advice"\n')
    assert {severity for rule, severity in severities(near).items() if rule.startswith("retinoids.")} == {"advice"}
    put(project / "dermalint.toml", f'[severities]\nretinoids = "advice"\n"{RULE}" = "avoid"\n')
    assert severities(near)[RULE] == "avoid"
    folder = '[[folder]]\npath = "archive"\nseverities.retinoids = "off"\n'
    put(project / "dermalint.toml", f'[severities]\n{RULE} = "avoid"\n{folder}')
    assert severities(near)[RULE] == "avoid"
    assert not any(rule.startswith("retinoids.") for rule in severities(archived))


def test_deeper_folders_count_over_higher_ones() -> None:
    part = Settings("s", "/p").everywhere
    from dermalint.settings.model import Folder
    from dermalint_grammar.record import replace

    settings = replace(
        Settings("s", "/p", replace(part, region="us", stance="strict")),
        folders=(
            Folder("a/b", 3, replace(part, region="uk")),
            Folder("a", 5, replace(part, region="eu", fail_at="never")),
        ),
    )
    said = {path: settings.part_for(path) for path in ("/p/x", "/p/a/x", "/p/a/b/x", "/p/ab/x", "/q/a/x")}
    assert {path: part.region for path, part in said.items()} == {
        "/p/x": "us", "/p/a/x": "eu", "/p/a/b/x": "uk", "/p/ab/x": "us", "/q/a/x": "us",
    }  # fmt: skip
    assert {part.stance for part in said.values()} == {"strict"}
    assert said["/p/a/b/x"].fail_at == "never"
    assert said["/p/x"].fail_at is None


def test_what_a_regimen_says_counts_over_settings_and_the_command_line_over_both(project: Path) -> None:
    put(project / "dermalint.toml", 'region = "eu"\nstance = "strict"\n')
    silent = put(project / "a.regimen.yaml", PLAN)
    speaking = put(project / "b.regimen.yaml", PLAN + "region: us\nstance: usual\n")
    settings = find_settings([str(silent)])
    for path, asked, expected in (
        (silent, {}, ("eu", "strict")),
        (speaking, {}, ("us", "usual")),
        (silent, {"region": "uk", "stance": "usual"}, ("uk", "usual")),
        (speaking, {"region": "uk", "stance": "strict"}, ("uk", "strict")),
    ):
        (result,) = review_paths([str(path)], Asked(settings=settings, **asked)).files
        assert (result.region, result.stance) == expected


def test_clocks_are_for_regimens_that_state_none(project: Path) -> None:
    near = "  - {slot: midday, at: '12:00', steps: [cream]}\n"
    rules = put(
        project / "house.rules",
        "pack house 1.0.0\nuses core, substances\n\nrule rest caution\n  separate glycolic-acid from retinol by 6 hours.\n"
        '  why "House."\n  advise "House."\n  source practice "House rule."\n'
        "  breaks  evening: glycolic-acid 7 %, retinol 0.3 %\n  holds   evening: retinol 0.3 %\n",
    )
    plan = PLAN.replace("steps: [day]", "steps: [acid]").replace("[acid, cream]", "[day]") + near
    put(project / "dermalint.toml", f'packs = ["{rules.name}"]\n[day]\nmorning = "05:00"\n')

    def rests(text: str) -> bool:
        path = put(project / "x.regimen.yaml", text)
        return "house.rest" not in severities(path, packs=(rules,))

    assert rests(plan)  # seven hours from 05:00 to 12:00
    assert not rests(plan + 'day: {morning: "07:00"}\n')
    assert not rests(plan + 'day: {evening: "21:00"}\n')  # who states one clock states his day


def test_excluded_files_are_left_out_of_searches_and_taken_when_named(project: Path) -> None:
    for name in ("x", "drafts/y", "deep/drafts/z", "a.old", "keep.old"):
        put(project / f"{name}.regimen.yaml", PLAN)
    put(project / "dermalint.toml", 'exclude = ["drafts/", "*.old.regimen.yaml", "!keep.old.regimen.yaml"]\n')
    settings = find_settings(["."])
    asked = Asked(settings=settings)
    assert [result.path for result in review_paths(["."], asked).files] == ["./keep.old.regimen.yaml", "./x.regimen.yaml"]
    named = "drafts/y.regimen.yaml"
    assert [result.path for result in review_paths([named], asked).files] == [named]
    assert [result.path for result in review_paths(["drafts"], asked).files] == ["drafts"]


def test_the_command_line_wins(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(put(project / "x.regimen.yaml", PLAN))
    review = ["review", path, "--as-of", "2026-03-02"]
    assert run(review) == 1
    put(project / "dermalint.toml", 'fail-at = "avoid"\n')
    assert run(review) == 0
    assert run([*review, "--fail-at", "caution"]) == 1
    put(project / "dermalint.toml", '[[folder]]\npath = "."\nfail-at = "never"\n')
    assert run(review) == 0
    assert run([*review, "--fail-at", "caution"]) == 1
    put(project / "dermalint.toml", "plugins = []\n")
    assert run([*review, "--fail-at", "never"]) == 0
    capsys.readouterr()


# --- what is wrong ---


@pytest.mark.parametrize(
    ("text", "line", "column", "message", "suggestion"),
    [
        ('regon = "eu"', 1, 1, "A settings file has no field `regon`.", "Did you mean `region`?"),
        ('x = 1\nstance = "strickt"', 2, 10, "`stance` can be `usual` or `strict`, not `strickt`.", "Did you mean `strict`?"),
        ('region = "eur"', 1, 11, "There is no region `eur`.", "Did you mean `eu`?"),
        ('[severities]\nlayring = "off"', 2, 1, "There is no rule or pack `layring`.", "Did you mean `layering`?"),
        (f'[severities]\n{RULE}s = "off"', 2, 1, f"There is no rule or pack `{RULE}s`.", f"Did you mean `{RULE}`?"),
        (
            '[severities]\nacids = "warn"', 2, 9,
            "`acids` can be `avoid`, `caution`, `advice` or `off`, not `warn`.", "Write `avoid`, `caution`, `advice` or `off`.",
        ),
        ('[day]\nmornin = "06:30"', 2, 1, "`day` has no field `mornin`.", "Did you mean `morning`?"),
        ('[[folder]]\nregion = "eu"', 1, 1, "This folder has no `path`.", "Write it like `path = "),
        ('[[folder]]\npath = "../x"', 2, 8, "`../x` is no folder below this file.", "Write it with `/`"),
        ('exclude = "drafts/"', 1, 11, "`exclude` is a list", 'Write it like `exclude = ["drafts/"]`.'),
        ("region = eu", 1, 10, "This is no value in TOML.", "Put texts in quotes"),
        ('region = "eu"\nregion = "us"', 2, 14, "This field is written twice.", "Delete one of the two"),
    ],
)  # fmt: skip
def test_a_wrong_file_is_told_at_its_place_and_nothing_is_done(
    text: str, line: int, column: int, message: str, suggestion: str, project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = put(project / "x.regimen.yaml", PLAN)
    put(project / "dermalint.toml", text + "\n")
    with pytest.raises(SettingsError) as error:
        review_paths([str(path)], Asked(settings=find_settings([str(path)])))
    source = error.value.source
    assert source is not None
    told = [
        (source.position(problem.place.start), problem.message, problem.suggestion or "")
        for problem in error.value.problems
        if problem.place
    ]
    fitting = [said for at, *said in told if at == (line, column)]
    assert any(said.startswith(message) and hint.startswith(suggestion) for said, hint in fitting), told
    assert run(["review", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert f"dermalint.toml, line {line}, column {column}:" in said.err


@pytest.mark.parametrize("content", [b"\xff", b"region = 'eu'\r", b"a = " + b"[" * 5000])
def test_odd_bytes_are_told_too(content: bytes, project: Path) -> None:
    (project / "dermalint.toml").write_bytes(content)
    with pytest.raises(SettingsError) as error:
        find_settings([])
    assert error.value.problems
