"""What a run was asked, for one regimen."""

from __future__ import annotations

from datetime import date

from dermalint_grammar.record import Record


class Asked(Record):
    """Judged on ``as_of``; ``region`` and ``stance`` as resolved for this regimen."""

    as_of: date
    region: str | None
    stance: str
