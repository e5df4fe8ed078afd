"""How much a product stings: the strength of its acids, times how far its pH lies below that of a scalp."""

from dermalint.plugins.specification import ProductFacts, Span, provides

DERMALINT_INTERFACE = 1
BILLION = 1_000_000_000
SCALP = 5_500_000_000  # pH 5.5, the invented house's figure


@provides
def measures():
    return {"larkspur-sting": find_sting}


def find_sting(product: ProductFacts) -> Span:
    """Per cents times steps of pH, in billionths; a range where the strength or the pH is not stated."""
    low = sum(part.low for part in product.meant)
    high = sum(part.high or 0 for part in product.meant)
    unbounded = any(part.high is None for part in product.meant)
    if product.ph is None:
        return 0, None
    steps = max(SCALP - product.ph, 0)
    return low * steps // BILLION, None if unbounded and steps else high * steps // BILLION
