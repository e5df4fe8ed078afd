"""The page of the demonstration regimens: every regimen has its week, and every remark is marked where it happens."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from dermalint.report import html_report
from dermalint.review import Asked, review_paths

LARKSPUR_ROW = Path(__file__).resolve().parents[2] / "examples" / "larkspur-row"


def test_every_remark_leads_to_a_place_in_the_week() -> None:
    review = review_paths([str(LARKSPUR_ROW)], Asked(as_of=date(2026, 3, 2), plan=True))
    page = html_report.render(review)
    assert page.count("<table ") >= len(review.files) > 5
    remarks = re.findall(r'<li class="remark [^"]*" id="([^"]+)"', page)
    assert len(remarks) > 20
    assert [name for name in remarks if f'href="#{name}"' not in page] == []
