"""Packs for tests of proofs: texts linked beside the shipped vocabulary, which is read once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from functools import cache
from pathlib import Path

from dermalint.packs.ledger import Ledger, ReadPack
from dermalint.packs.link import link_packs, problem_of
from dermalint.packs.model import GIVEN, PackFile, PackSet
from dermalint.proof.ground import Ground
from dermalint.spans import SourceText
from dermalint_grammar.parse import parse_pack

RULESETS = Path(__file__).resolve().parents[2] / "rulesets" / "dermalint_rulesets"
AS_OF = date(2026, 3, 2)
_HEAD = "pack a 1.0.0\nuses core, substances\n"


def _read(file: PackFile, text: str, ledger: Ledger) -> ReadPack:
    parsed = parse_pack(text)
    ledger.problems.extend(problem_of(mistake, file.shown) for mistake in parsed.mistakes)
    assert parsed.pack is not None, text
    return ReadPack(file, SourceText(file.shown, text), parsed.pack, frozenset(name.text for name in parsed.unread))


@cache
def vocabulary() -> tuple[ReadPack, ...]:
    """The shipped names, without any rule."""
    return tuple(
        _read(PackFile(str(RULESETS / f"{name}.rules"), f"{name}.rules", GIVEN), _text(name), Ledger())
        for name in ("core", "substances")
    )


def _text(name: str) -> str:
    return (RULESETS / f"{name}.rules").read_text(encoding="utf-8")


def packs_of(text: str) -> tuple[PackSet, dict[str, str]]:
    """One or several packs linked beside the vocabulary, and their texts by name."""
    ledger = Ledger()
    texts = [part for part in re.split(r"^(?=pack )", _HEAD + text, flags=re.MULTILINE) if part.strip()]
    read = [_read(PackFile(f"{part.split()[1]}.rules", f"{part.split()[1]}.rules", GIVEN), part, ledger) for part in texts]
    return link_packs([*vocabulary(), *read], ledger, {}), {part.split()[1]: part for part in texts}


def ground_of(text: str, asked: Sequence[str] = ()) -> Ground:
    """What a proof of these packs stands on; all of them are proven unless some are ``asked`` for."""
    packs, texts = packs_of(text)
    ground = Ground(packs, tuple(asked) or tuple(texts), AS_OF)
    ground.know_texts(texts)
    return ground
