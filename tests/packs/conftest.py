"""Packs written as texts, linked without touching what is installed."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from dermalint.packs.link import link_files
from dermalint.packs.model import GIVEN, PackFile, PackSet

CORE = """\
pack core 1.2.0
title "Core"

kind serum "serum"
kind sunscreen "sunscreen"
base oil "oil"
base water
event waxing "waxing"
trait pregnant "pregnant"
symptom peeling "peeling"
allergy aspirin "aspirin"
reason acne "acne"
region eu "European Union"
slot morning "morning"
slot midday "midday"
slot afternoon "afternoon"
slot evening "evening"
measure strength "%" adds
measure ph ""
measure spf ""
measure months-open "months"
area face contains forehead, cheeks, jaw, beard.
area beard overlaps cheeks, jaw.
area lips.

family retinoid "retinoids"
family hydroxy-acid "hydroxy acids"
family alpha-hydroxy-acid "alpha hydroxy acids" in hydroxy-acid
substance retinol inci "Retinol" cas 68-26-8 in retinoid
substance adapalene inci "Adapalene" in retinoid
substance glycolic-acid
  inci "Glycolic Acid"
  cas 79-14-1
  also "hydroxyacetic acid"
  pka 3.83
  molar-mass 76.05
  in alpha-hydroxy-acid
group strong-acid means alpha-hydroxy-acid with strength at least 5 %.
"""


@pytest.fixture
def core() -> str:
    """A small vocabulary to build on."""
    return CORE


@pytest.fixture
def link() -> Callable[..., PackSet]:
    """Link texts as if each stood in a file given by the user, called ``1.rules``, ``2.rules`` …"""

    def link_texts(*texts: str) -> PackSet:
        files = [PackFile(f"/given/{n}.rules", f"{n}.rules", GIVEN) for n in range(1, len(texts) + 1)]
        return link_files([(file, text.encode()) for file, text in zip(files, texts, strict=True)])

    return link_texts


@pytest.fixture
def messages() -> Callable[[PackSet], list[str]]:
    """The messages of all problems."""
    return lambda packs: [problem.message for problem in packs.problems]
