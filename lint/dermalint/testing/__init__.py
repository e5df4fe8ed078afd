"""For authors of rule packs: Hypothesis strategies that make rule packs and regimens over a vocabulary.

With them a pack's own tests can ask what must hold whatever a regimen says::

    from hypothesis import given
    from dermalint.testing import regimen_texts, words_of

    @given(regimen_texts(words_of(load_packs([folder]).world)))
    def test_no_regimen_upsets_our_pack(text): ...

``packs``, ``rules``, ``terms``, ``conditions`` and ``examples`` give trees (:mod:`dermalint_grammar.nodes`), every place in
them nowhere; :mod:`dermalint_grammar.write` writes them as text, and :mod:`dermalint_grammar.layout` lays that out.
``regimens`` gives regimen files as plain data, ``regimen_texts`` as YAML.

Importing this needs the package hypothesis, which dermalint itself does without.
"""

from __future__ import annotations

try:
    import hypothesis as _hypothesis  # noqa: F401
except ImportError as missing:
    raise ImportError(
        "dermalint.testing makes its examples with the package hypothesis, which is not installed: pip install hypothesis"
    ) from missing

from dermalint.testing.examples import examples
from dermalint.testing.packs import packs, rules
from dermalint.testing.regimens import regimen_texts, regimens
from dermalint.testing.requirements import requirements
from dermalint.testing.terms import conditions, terms
from dermalint.testing.words import WORDS, Words, declarations_of, words_of

__all__ = [
    "WORDS",
    "Words",
    "conditions",
    "declarations_of",
    "examples",
    "packs",
    "regimen_texts",
    "regimens",
    "requirements",
    "rules",
    "terms",
    "words_of",
]
