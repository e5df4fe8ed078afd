"""How sources are told."""

from __future__ import annotations

import pytest

from dermalint.checks.tell import tell_source
from dermalint_grammar.parse import parse_pack

RULE = """pack house 1.0.0

rule calm caution
  never use retinol.
  why "House."
  advise "House."
  source STATUS "TEXT"
  breaks  evening: retinol 0.3 %
  holds   evening: moisturiser
"""


@pytest.mark.parametrize(
    ("status", "text", "told"),
    [
        ("practice", "Common practice, no published source.", "Common practice, no published source."),
        ("practice", "Clinics' sheets.", "Clinics' sheets. (common practice)"),
        ("verified", "Regulation, Annex III.", "Regulation, Annex III. (text read)"),
        ("secondary", "A guideline.", "A guideline. (reported by others)"),
        ("memory", "A textbook.", "A textbook. (from memory)"),
        ("memory", "From memory of a textbook.", "From memory of a textbook."),
        ("secondary", "Common practice as a guideline has it.", "Common practice as a guideline has it. (reported by others)"),
    ],
)
def test_how_well_a_source_is_known_stands_behind_it_once(status: str, text: str, told: str) -> None:
    parsed = parse_pack(RULE.replace("STATUS", status).replace("TEXT", text))
    assert parsed.pack is not None
    (rule,) = parsed.pack.rules
    (source,) = rule.sources
    assert tell_source(source) == told
