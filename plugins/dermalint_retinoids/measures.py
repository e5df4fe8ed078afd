"""Retinol equivalents: how much retinol the retinol and its esters in a product come to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from dermalint.plugins.specification import Part, ProductFacts, Span, provides

DERMALINT_INTERFACE = 1

_RETINOL = "retinol"
_ESTERS = "retinol-ester"
_RETINOIDS = "retinoid"
_DIGITS = 3


@provides
def measures() -> Mapping[str, Callable[[ProductFacts], Span | None]]:
    """``retinol-equivalent``, in per cent of the product."""
    return {"retinol-equivalent": retinol_equivalent}


def retinol_equivalent(product: ProductFacts) -> Span | None:
    """The retinol equivalents of the retinol and retinol esters that the rule means, summed, in billionths of a
    per cent.

    Regulation (EU) 2024/996 limits retinol, retinyl acetate and retinyl palmitate by retinol equivalents.  One molecule of an
    ester holds one of retinol, so a strength counts by the ratio of the molar masses: 0.3 % is reached by 0.344 % acetate
    and by 0.550 % palmitate.  The result is rounded to three significant figures, as those published figures are;
    without that, 0.550 % of the palmitate would be 0.3002 % and over the limit that it was made for.

    Retinal, retinoic acid and its esters are no retinol equivalents and count for nothing.
    """
    carriers = [part for part in product.meant if _carries(part)]
    if not carriers:
        return None
    retinol = product.substances.get(_RETINOL)
    own_mass = retinol.molar_mass if retinol is not None else None
    low, high = Fraction(0), Fraction(0)
    bounded = True
    for part in carriers:
        least, most = _share(part, own_mass)
        low += least * part.low
        if part.high is None:
            bounded = False
        else:
            high += most * part.high
    return _rounded(low), _rounded(high) if bounded else None


def _carries(part: Part) -> bool:
    """Whether a part is retinol or an ester of it, or the total of a family that may hold some."""
    if part.substance is None:
        return part.name in (_ESTERS, _RETINOIDS) or _RETINOIDS in part.families
    return part.name == _RETINOL or _ESTERS in part.families


def _share(part: Part, own_mass: int | None) -> tuple[Fraction, Fraction]:
    """The least and the most retinol in a unit of a part: the ratio of the molar masses, none to all where that is unknown."""
    if part.name == _RETINOL:
        return Fraction(1), Fraction(1)
    mass = part.substance.molar_mass if part.substance is not None else None
    if mass is None or own_mass is None:
        return Fraction(0), Fraction(1)
    ratio = Fraction(own_mass, mass)
    return ratio, ratio


def _rounded(value: Fraction) -> int:
    """Three significant figures, ties to the even one."""
    whole = round(value)
    return round(whole, min(0, _DIGITS - len(str(whole))))
