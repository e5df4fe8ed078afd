"""The hooks before a commit: pre-commit's, as .pre-commit-hooks.yaml offers them, and the plain one of docs/daily-work.md."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

PROJECT = Path(__file__).resolve().parents[2]
GOOD = """regimen: Calm
history: []
products:
  wash: {kind: cleanser, base: water, contact: rinsed}
routines:
  - {slot: evening, steps: [wash]}
"""
BAD = """regimen: Hot
products:
  acid: {kind: toner, base: water, ph: 3.6, contains: {glycolic-acid: 7 %}}
  cream: {kind: treatment, base: emulsion, contains: {retinol: 0.3 %}}
routines:
  - {slot: evening, steps: [acid, cream]}
"""

needs_pre_commit = pytest.mark.skipif(
    importlib.util.find_spec("pre_commit") is None, reason="pre-commit is not installed (it is in the extra dev)"
)


class Repository:
    """A scratch repository on whose search path the command `dermalint` is."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "repository"
        self.folder.mkdir()
        tools = folder / "tools"
        tools.mkdir()
        command = tools / "dermalint"
        command.write_text(f"#!{sys.executable}\nimport sys\nfrom dermalint.cli.main import run\nsys.exit(run())\n")
        command.chmod(0o755)
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("GIT_", "PRE_COMMIT"))}
        self.environment = kept | {
            "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}",
            "HOME": str(folder),
            "DERMALINT_CACHE": str(folder / "cache"),
            "PRE_COMMIT_HOME": str(folder / "pre-commit"),
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_SYSTEM": os.devnull,
            **{f"GIT_{who}_{what}": "someone@example.org" for who in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")},
        }
        self.git("init", "--quiet")

    def call(self, *command: str) -> tuple[int, str]:
        done = subprocess.run(
            command, cwd=self.folder, env=self.environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
        )
        return done.returncode, done.stdout.decode()

    def git(self, *arguments: str) -> tuple[int, str]:
        return self.call("git", *arguments)

    def put(self, name: str, text: str) -> None:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)

    def commit(self) -> tuple[int, str]:
        return self.git("commit", "--quiet", "-m", "x")


def plain_hook() -> str:
    text = (PROJECT / "docs" / "daily-work.md").read_text(encoding="utf-8")
    (found,) = re.findall(r"```sh\n(#!/bin/sh\n.*?)```", text, re.DOTALL)
    assert isinstance(found, str)
    return found


def with_plain_hook(repository: Repository) -> None:
    hook = repository.folder / ".git" / "hooks" / "pre-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(plain_hook())
    hook.chmod(0o755)


def with_pre_commit(repository: Repository) -> None:
    hooks = yaml.safe_load((PROJECT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert [hook["id"] for hook in hooks] == ["dermalint-review", "dermalint-layout"]
    local = [{**hook, "language": "system"} for hook in hooks]  # what is installed here, instead of from the network
    repository.put(".pre-commit-config.yaml", yaml.safe_dump({"repos": [{"repo": "local", "hooks": local}]}))
    status, said = repository.call(sys.executable, "-m", "pre_commit", "install")
    assert status == 0, said


HOOKS = [pytest.param(with_plain_hook, id="plain"), pytest.param(with_pre_commit, id="pre-commit", marks=needs_pre_commit)]


@pytest.fixture(params=HOOKS)
def repository(request: pytest.FixtureRequest, tmp_path: Path) -> Repository:
    made = Repository(tmp_path)
    request.param(made)
    made.git("add", ".")
    return made


def test_a_commit_with_findings_is_refused_and_a_good_one_passes(repository: Repository) -> None:
    repository.put("a b.regimen.yaml", BAD)
    repository.git("add", ".")
    status, said = repository.commit()
    assert status != 0
    assert "retinoids.acid-off-retinoid-routines" in said
    repository.put("a b.regimen.yaml", GOOD)
    repository.git("add", ".")
    assert repository.commit()[0] == 0


def test_what_is_not_staged_does_not_count(repository: Repository) -> None:
    repository.put("a.regimen.yaml", GOOD)
    repository.git("add", ".")
    repository.put("a.regimen.yaml", BAD)
    repository.put("new.regimen.yaml", BAD)
    status, said = repository.commit()
    assert status == 0, said
    assert (repository.folder / "a.regimen.yaml").read_text() == BAD
    repository.git("add", "a.regimen.yaml")
    repository.put("a.regimen.yaml", GOOD)
    assert repository.commit()[0] != 0


def test_deleted_files_are_not_looked_for_and_renamed_ones_are_judged(repository: Repository) -> None:
    repository.put("a.regimen.yaml", BAD)
    repository.put("b.regimen.yaml", GOOD)
    repository.git("add", ".")
    assert repository.git("commit", "--quiet", "--no-verify", "-m", "x")[0] == 0
    repository.git("mv", "a.regimen.yaml", "c.regimen.yaml")
    status, said = repository.commit()
    assert status != 0
    assert "c.regimen.yaml" in said
    repository.git("rm", "--quiet", "--force", "c.regimen.yaml")
    repository.git("add", ".")
    status, said = repository.commit()
    assert status == 0, said


@pytest.mark.parametrize("name", ["-odd.regimen.yaml", "--jobs.regimen.yaml", "a 'b\".regimen.yaml"])
def test_names_that_look_like_options_or_end_a_quotation(name: str, repository: Repository) -> None:
    repository.put(name, BAD)
    repository.git("add", ".")
    status, said = repository.commit()
    assert status != 0
    assert "retinoids.acid-off-retinoid-routines" in said
    repository.put(name, GOOD)
    repository.git("add", ".")
    status, said = repository.commit()
    assert status == 0, said


@needs_pre_commit
def test_arguments_of_ones_own_as_the_guide_writes_them(tmp_path: Path) -> None:
    guide = (PROJECT / "docs" / "daily-work.md").read_text(encoding="utf-8")
    (written,) = re.findall(r"args: (\[--fail-at.*?\])", guide)
    repository = Repository(tmp_path)
    with_pre_commit(repository)
    config = yaml.safe_load((repository.folder / ".pre-commit-config.yaml").read_text())
    config["repos"][0]["hooks"][0]["args"] = yaml.safe_load(written)
    repository.put(".pre-commit-config.yaml", yaml.safe_dump(config))
    repository.put("-odd.regimen.yaml", BAD)
    repository.git("add", ".")
    status, said = repository.commit()
    assert status == 0, said  # a caution, and nothing that is to be avoided


def test_shared_products_are_found_and_a_mistake_in_a_file_refuses_the_commit(repository: Repository) -> None:
    own = "products:\n  wash: {kind: cleanser, base: water, contact: rinsed}\n"
    repository.put("shelf/products.yaml", own)
    shared = GOOD.replace(own, "use: [../shelf/products.yaml]\n")
    repository.put("courses/a.regimen.yaml", shared)
    repository.git("add", ".")
    status, said = repository.commit()
    assert status == 0, said
    repository.put("courses/a.regimen.yaml", shared.replace("steps: [wash]", "steps: [wosh]"))
    repository.git("add", ".")
    status, said = repository.commit()
    assert status != 0
    assert "wosh" in said


@needs_pre_commit
def test_rule_files_are_laid_out_and_have_to_be_staged_again(tmp_path: Path) -> None:
    repository = Repository(tmp_path)
    with_pre_commit(repository)
    ragged = 'pack   house 1.0.0\ntitle "House"\nkind  tonic   "tonic"\n'
    repository.put("house.rules", ragged)
    repository.git("add", ".")
    assert repository.commit()[0] != 0
    assert (repository.folder / "house.rules").read_text().startswith("pack house 1.0.0\n")
    repository.git("add", ".")
    status, said = repository.commit()
    assert status == 0, said
