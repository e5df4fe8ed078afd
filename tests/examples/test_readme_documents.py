"""The excerpts of documents in the README stand in what its first regimen gives."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
EXCERPTS = [json.loads(text) for text in re.findall(r"```json\n(.*?)```", README, re.DOTALL)]
COMMAND = (sys.executable, "-c", "import sys; from dermalint.cli.main import run; sys.exit(run())")


def stands_in(part: Any, whole: Any) -> bool:
    """Whether everything of ``part`` is in ``whole``; lists agree item by item."""
    if isinstance(part, dict) and isinstance(whole, dict):
        return all(key in whole and stands_in(value, whole[key]) for key, value in part.items())
    if isinstance(part, list) and isinstance(whole, list):
        return len(part) == len(whole) and all(map(stands_in, part, whole))
    return bool(part == whole)


def things(data: Any) -> list[Any]:
    if isinstance(data, dict):
        return [data, *(thing for value in data.values() for thing in things(value))]
    return [thing for value in data for thing in things(value)] if isinstance(data, list) else []


@pytest.mark.parametrize(("format_", "key"), [("sarif", "ruleId"), ("fhir", "resourceType")])
def test_an_excerpt_is_what_the_command_gives(format_: str, key: str, tmp_path: Path) -> None:
    (regimen,) = re.findall(r"```yaml\n(regimen: My first evening\n.*?)```", README, re.DOTALL)
    (tmp_path / "first.regimen.yaml").write_text(regimen, encoding="utf-8")
    (excerpt,) = (excerpt for excerpt in EXCERPTS if key in excerpt)
    call = [*COMMAND, "review", "--as", format_, "--as-of", "2026-03-02", "first.regimen.yaml"]
    done = subprocess.run(call, cwd=tmp_path, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode == 1, done.stderr
    assert any(stands_in(excerpt, thing) for thing in things(json.loads(done.stdout)))
