"""Every format gives the same bytes whatever the hash seed; a plan changes nothing but the page that draws it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from samples import REVIEWS

from dermalint.report import fhir_report, json_report, sarif_report
from dermalint_grammar.record import replace

TESTS = Path(__file__).resolve().parents[1]
WRITE = """
import sys
from samples import REVIEWS
from dermalint.report import fhir_report, html_report, sarif_report
for review in REVIEWS.values():
    for text in (sarif_report.render(review, 1), fhir_report.render(review), html_report.render(review)):
        sys.stdout.buffer.write(text.encode("utf-8"))
"""


def written(seed: str) -> bytes:
    environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join([str(TESTS), str(TESTS / "report")])}
    return subprocess.run([sys.executable, "-c", WRITE], env=environment, capture_output=True, check=True).stdout


def test_documents_do_not_depend_on_the_hash_seed() -> None:
    assert written("1") == written("2")


@pytest.mark.parametrize("name", ["calm", "studio"])
def test_a_plan_changes_only_the_page_that_draws_it(name: str) -> None:
    drawn = REVIEWS[name]
    bare = replace(drawn, files=tuple(replace(file, plan=None) for file in drawn.files))
    assert bare != drawn
    assert json_report.render(bare) == json_report.render(drawn)
    assert sarif_report.render(bare, 1) == sarif_report.render(drawn, 1)
    assert fhir_report.render(bare) == fhir_report.render(drawn)
