"""How much of an acid is free: the part that is not dissociated at the product's pH, which is the part that enters skin."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import ROUND_HALF_EVEN, Decimal, localcontext

from dermalint.plugins.specification import Part, ProductFacts, Span, provides

DERMALINT_INTERFACE = 1

_BILLION = 1_000_000_000
_ALL = 100 * _BILLION  # no strength exceeds 100 %
_SALTS = "acid-salt"


@provides
def measures() -> Mapping[str, Callable[[ProductFacts], Span | None]]:
    """``free-acid``, in per cent of the product."""
    return {"free-acid": free_acid}


def free_acid(product: ProductFacts) -> Span | None:
    """The free acid of all acids that the rule means, summed, in billionths of a per cent.

    The fraction of each is that of Henderson and Hasselbalch, over all its constants (:func:`protonated_fraction`).  Where the
    pH is not stated, means nothing (a base without water), or a constant is missing, it lies between none and all of the acid;
    where the strength is not stated, it is at most what 100 % would give.  Salts are left out: their strength is one of the
    salt.  Rounded to three significant figures, which is more than the constants are known to.
    """
    acids = [part for part in product.meant if _SALTS not in part.families]
    if not acids:
        return None
    ph = None if product.has_water is False else product.ph
    low, high = 0, 0
    for acid in acids:
        least, most = _free_part(acid, ph)
        low += least
        high += most
    return _rounded(low), _rounded(min(high, _ALL))


def _free_part(acid: Part, ph: int | None) -> tuple[int, int]:
    most = _ALL if acid.high is None else acid.high
    constants = acid.substance.pka if acid.substance is not None else ()
    if ph is None or not constants:
        return 0, most
    fraction = protonated_fraction(ph, constants)
    return _times(acid.low, fraction), _times(most, fraction)


def protonated_fraction(ph: int, constants: Sequence[int]) -> Decimal:
    """The share of an acid's molecules that have all their protons, between 0 and 1; pH and pKa values in billionths.

    With H the activity of hydrogen ions and K1, K2 … the acid constants it is 1 / (1 + K1/H + K1·K2/H² + …), which for one
    constant is 1 / (1 + 10^(pH − pKa)).  Activities are taken as concentrations, at 25 °C in water.
    """
    with localcontext() as context:
        context.prec = 28  # decimal numbers, so that every machine gives the same digits
        total, term = Decimal(1), Decimal(1)
        for constant in sorted(constants):
            term *= Decimal(10) ** (Decimal(ph - constant) / _BILLION)
            total += term
        return 1 / total


def _rounded(value: int) -> int:
    return round(value, min(0, 3 - len(str(value))))


def _times(strength: int, fraction: Decimal) -> int:
    return int((strength * fraction).to_integral_value(ROUND_HALF_EVEN))
