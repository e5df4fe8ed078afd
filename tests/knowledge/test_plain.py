"""Plain regimens of common guidance: nothing to say above advice, and very little at all."""

from __future__ import annotations

from pathlib import Path

import pytest
from practice import ABOVE_ADVICE, HERE, judge_data, read_yaml, tell

PLAIN = sorted((HERE / "plain").glob("*.regimen.yaml"))
IDS = [path.name.removesuffix(".regimen.yaml") for path in PLAIN]


@pytest.mark.parametrize("undated", [False, True], ids=["dated", "undated"])
@pytest.mark.parametrize("path", PLAIN, ids=IDS)
def test_plain(path: Path, undated: bool) -> None:
    """With its start and history, and without them: nobody is told off for leaving them out."""
    regimen = read_yaml(path.read_text("utf-8"))
    if undated:
        del regimen["starts"], regimen["history"]
    findings = judge_data(regimen)
    assert [tell(finding) for finding in findings if finding.severity in ABOVE_ADVICE] == []
    assert [tell(finding) for finding in findings] == []


@pytest.mark.parametrize("path", PLAIN, ids=IDS)
def test_plain_without_bases_and_acidity(path: Path) -> None:
    """Most files leave vehicles and pH out: a finding that only asks for them would be told on nearly every one."""
    regimen = read_yaml(path.read_text("utf-8"))
    for product in regimen["products"].values():
        product.pop("base", None)
        product.pop("ph", None)
    assert [tell(finding) for finding in judge_data(regimen)] == []


def test_there_are_enough_plain_regimens() -> None:
    assert len(PLAIN) >= 30
