"""A rule may be skipped only when what it needs cannot be there."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from dermalint.packs.model import PackSet

CASES = [
    ("separate glycolic-acid or adapalene from retinoid by routine.", {"retinoid"}),
    ("separate retinoid from (glycolic-acid or adapalene) by routine.", {"retinoid"}),
    ("separate any product from retinoid by 12 hours.", {"retinoid"}),
    ("separate event waxing from retinoid by 2 days before.", {"retinoid"}),
    ("separate event waxing from base oil by day.", None),
    ("separate strong-acid from any product by routine.", {"alpha-hydroxy-acid"}),
    ("separate uses of retinoid by 2 days.", {"retinoid"}),
    ("apply serum before sunscreen.", {"sunscreen"}),  # either would do
    ("apply base water before sunscreen.", {"sunscreen"}),
    ("apply base water before base oil.", None),
    ("apply serum then retinol then sunscreen.", {"retinol", "sunscreen"}),
    ("apply base water then serum then sunscreen.", {"serum", "sunscreen"}),
    ("apply base water then base oil then sunscreen.", None),
    ("apply sunscreen last.", {"sunscreen"}),
    ("apply any product last.", None),
    ("apply serum directly before sunscreen.", {"serum"}),
    ("wait 10 minutes after retinol before any product.", {"retinol"}),
    ("use retinol only in the evening.", {"retinol"}),
    ("never use not retinol.", None),
    ("never use base oil.", None),
    ("never use base oil and retinol.", {"retinol"}),
    ('never use "Glycolic Acid".', None),
    ("never use (retinol or base oil).", None),
    ("never use retinoid except adapalene.", {"retinoid"}),
    ("never use left-on prescribed retinol with strength at least 1 % on face.", {"retinol"}),
    ("never use first use of retinol.", {"retinol"}),
    ("use retinol at most 3 times per week.", {"retinol"}),
    ("use at most 2 products of retinoid per routine.", {"retinoid"}),
    ("use at least 2 products of retinoid per routine.", None),
    ("use retinol for at most 8 weeks.", {"retinol"}),
    ("after retinol expect sunscreen in the same day.", {"retinol"}),
    ("before first use of retinol expect patch-test of retinol at least 24 hours ahead.", {"retinol"}),
    ("after event waxing expect sunscreen within 1 day.", None),
    ("expect sunscreen in every morning.", None),
    ("expect sunscreen in every routine that has retinol.", {"retinol"}),
    ("in daylight expect sunscreen every 2 hours.", None),
    ("limit strength of retinol to at most 1 %.", {"retinol"}),
    ("limit total strength of strong-acid per routine to at most 10 %.", {"alpha-hydroxy-acid"}),
    ("limit total strength of retinol per day to at least 1 %.", None),
    ("limit spf of any product to at least 15.", None),
]


@pytest.mark.parametrize(("sentence", "triggers"), CASES)
def test_triggers(link: Callable[..., PackSet], core: str, sentence: str, triggers: set[str] | None) -> None:
    packs = link(core, f'pack one 1.0.0\nuses core\nrule it caution\n  {sentence}\n  why "A reason."\n')
    assert packs.problems == ()
    assert packs.rules[0].triggers == triggers
