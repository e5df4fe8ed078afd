"""What a plugin written in Python may provide: everything such a plugin imports is here.

A package names in the entry point group ``dermalint.plugins`` what it offers (:mod:`dermalint.plugins.catalogue`); the value is
a module (or ``module:object``) that says which interface it is written for and marks its hooks::

    from dermalint.plugins.specification import ProductFacts, Span, provides

    DERMALINT_INTERFACE = 1


    @provides
    def measures():
        return {"parts": count_parts}


    def count_parts(product: ProductFacts) -> Span | None:
        number = len(product.meant) * 1_000_000_000
        return number, number

Most packages need none of this: one whose rules are text names their folder in ``dermalint.packs`` and is never imported.

Promise: within interface 1 nothing here changes its meaning or goes away.  Fields and hooks may be added; a plugin that keeps
to ``DERMALINT_INTERFACE = 1`` keeps working.  What breaks a plugin gets the number 2, and a version of dermalint that offers 2
says of a plugin for 1 that it is out of date, and leaves it out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pluggy

from dermalint.plugins.product_facts import Part, ProductFacts, Span
from dermalint.regimen.model import Reading
from dermalint.verdict.report_model import Review

INTERFACE = 1
PROJECT = "dermalint"

Measuring = Callable[[ProductFacts], Span | None]
Reader = Callable[[Path, str], Reading]
Renderer = Callable[[Review], str]

__all__ = [
    "INTERFACE",
    "PROJECT",
    "Hooks",
    "Measuring",
    "Part",
    "ProductFacts",
    "Reader",
    "Reading",
    "Renderer",
    "Review",
    "Span",
    "provides",
]

provides = pluggy.HookimplMarker(PROJECT)
_specifies = pluggy.HookspecMarker(PROJECT)


class Hooks:
    """The hooks.  Each plugin's answer is taken by itself, so that one at fault costs its own answer only."""

    @_specifies
    def packs(self) -> Sequence[Path]:
        """Further rule files, or folders of them, by absolute path.

        For rules that are found only at run time: in a folder that a setting names, or written from another source.
        """
        raise NotImplementedError  # a specification is never called

    @_specifies
    def measures(self) -> Mapping[str, Measuring]:
        """Functions that compute a measure, by its name; a pack declares it (``measure free-acid "%" adds``).

        A function takes the facts of one product and gives the lowest and the highest value that they allow, in billionths
        of the measure's unit, None for the highest where there is no bound; or None where the measure does not apply.  What
        is unknown goes in as a range and comes out as a range.  The same facts must always give the same answer.
        """
        raise NotImplementedError

    @_specifies
    def regimen_formats(self) -> Mapping[str, Reader]:
        """Readers of regimen files, by ending: ``csv`` is for files named ``….csv``, and in folders ``….regimen.csv``.

        A reader takes the file's path and what messages call it, and gives what
        :func:`dermalint.regimen.read.read_regimen` gives.  What is wrong with a file is among the reading's problems.
        """
        raise NotImplementedError

    @_specifies
    def report_formats(self) -> Mapping[str, Renderer]:
        """Renderers of a review, by the name that ``--as`` takes: from the review to the text that is printed.

        A report that people read ends with :data:`dermalint.report.text_report.CARE`.
        """
        raise NotImplementedError
