"""Until when a product is used: what its package says, whichever comes first."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

from dermalint.regimen.model import Product


def use_by(product: Product) -> date | None:
    """The earlier of the date on the package and of its months after opening; None where neither is known."""
    ends = [product.expires] if product.expires else []
    if product.opened and product.lasts_after_opening_months:
        ends.append(add_months(product.opened, product.lasts_after_opening_months))
    return min(ends, default=None)


def add_months(day: date, months: int) -> date:
    """The same day so many months later, or the last of that month where it is shorter."""
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
