"""Reviews in which any text can stand anywhere, for properties of reports."""

from __future__ import annotations

import build_review as built
from hypothesis import strategies as st

from dermalint.regimen.model import ERROR, Problem
from dermalint.spans import Place, SourceText
from dermalint.verdict.findings import POSSIBLE, Match, Measured, Mend, Related, Waived
from dermalint.verdict.report_model import Review

texts = st.text(st.characters(exclude_categories=()), max_size=30)  # half surrogate pairs and control characters among them


def odd_review(words: str, other: str, start: int, end: int) -> Review:
    """Two texts everywhere a text can stand, and places that may lie outside the source."""
    where = Place(start, end, words)
    common = {
        "message": words, "why": other, "advise": words, "unknown": (words, other), "sources": (other,), "disputed": words,
        "products": (other,), "matched": (Match(other, words, other),), "measured": Measured(words, 0.5, other, words),
        "mends": (Mend(other),), "rule": words, "group": other,
    }  # fmt: skip
    found = (
        built.finding(where, related=(Related(Place(end, start), other), Related(Place(0, 3, "", other), words)), **common),
        built.finding(where, certainty=POSSIBLE, **common),
        built.finding(where, waived=Waived(words, other, other), **common),
        built.finding(where, **{**common, "suspended_by": words}),
    )
    problem = Problem(ERROR, words, other, where, pack=words, plugin=other)
    path = other or "a"
    file = built.file_result(
        path=path, regimen=words, person=other, region=words, findings=found, problems=(problem,),
        sources={path: SourceText(path, f"{words}\n{other}\n\t{words}")},
    )  # fmt: skip
    return built.review(file, problems=(problem,), region=words)
