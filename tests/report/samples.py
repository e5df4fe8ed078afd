"""The reviews that every document format is tried on, and how samples of them are kept."""

from __future__ import annotations

import os
from pathlib import Path

import build_review as built

from dermalint.timeline.plan import Plan, draw_plan
from dermalint.verdict.report_model import FileResult, Review
from dermalint_grammar.record import replace
from judging import read_file

GOLDEN = Path(__file__).parent / "golden"

SHARED_WITHOUT_USE = "products:" + built.SHARED.removeprefix("products:")


def plan_of(text: str, person: str | None = None) -> Plan:
    """The plan of a regimen's text (of one person in it)."""
    reading, _ = read_file(text)
    (regimen,) = (regimen for regimen in reading.regimens if regimen.person_name == person)
    return draw_plan(regimen)


def drawn(*files: FileResult) -> tuple[FileResult, ...]:
    """The files with their plans, as a page that draws them asks for."""
    texts = {"calm.regimen.yaml": built.CALM, "course/two.regimen.yaml": built.STUDIO + SHARED_WITHOUT_USE}
    return tuple(
        replace(file, plan=plan_of(texts[file.path], file.person)) if file.path in texts else file for file in files
    )


REVIEWS: dict[str, Review] = {
    "calm": built.review(*drawn(built.calm())),
    "studio": built.review(*drawn(*built.studio()), built.unreadable(), problems=(built.bad_pack(),), region=None),
    "wide": built.review(built.wide(), stance="strict"),
    "empty": built.review(packs=()),
}


def is_sample(name: str, text: str) -> bool:
    """Whether a text is the sample of that name; ``WRITE_GOLDEN=1 pytest`` writes it anew, to be read before it is kept."""
    sample = GOLDEN / name
    if os.environ.get("WRITE_GOLDEN"):
        sample.write_text(text, encoding="utf-8", newline="\n")
    return text == sample.read_bytes().decode("utf-8")
