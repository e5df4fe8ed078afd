"""What a hand-out says of products: their dates, and how much is needed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dermalint.handout import said
from dermalint.handout.expiry import use_by
from dermalint.handout.language import Language
from dermalint.handout.plan import HandOut
from dermalint.handout.sheet import Section, Table
from dermalint.handout.supply import PROGRAMME, Supply, plan_supply
from dermalint.handout.telling_days import product_name

UNKNOWN = "–"


def product_sections(plan: HandOut, language: Language, packages: Mapping[str, int]) -> Iterator[Section]:
    """The list of products, and how much of each is needed."""
    t = language.t
    rows = []
    for key, product in plan.products.items():
        ends = use_by(product)
        months = product.lasts_after_opening_months
        rows.append(
            (
                product_name(plan, key, language),
                language.short_date(product.opened) if product.opened else t("write it here:\N{NO-BREAK SPACE}________"),
                language.n("one month", "%(count)s months", months) if months else t("see the package"),
                language.short_date(ends) if ends else t("see the package"),
            )
        )
    heads = (t("Product"), t("Opened on"), t("Keeps after opening"), t("Use until"))
    yield Section("products", t("Your products"), table=Table(heads, tuple(rows)))
    yield from _supply(plan, language, packages)


def _supply(plan: HandOut, language: Language, packages: Mapping[str, int]) -> Iterator[Section]:
    t = language.t
    days, supplies = plan_supply(plan.regimen, plan.line, packages)
    known = [supply for supply in supplies if supply.programme is not None and supply.programme.most]
    if not known:
        return
    total = t("In three months") if days == PROGRAMME else language.n("In one day", "In %(count)s days", days)
    with_packages = any(supply.package for supply in known)
    heads = [t("Product"), t("Each time"), t("In a week, on average"), total]
    if with_packages:
        heads += [t("A package lasts"), t("Packages to buy")]
    rows = [tuple(_cells(plan, supply, with_packages, language)) for supply in known]
    lines = [
        t(
            "Weights are estimates from published figures. A finger-tip unit is a strip of cream from the last crease of the "
            "index finger to its tip: 0.43–0.49\N{NO-BREAK SPACE}g. A drop is 0.05\N{NO-BREAK SPACE}g, "
            "sunscreen 2\N{NO-BREAK SPACE}mg on each cm²."
        )
    ]
    if not all(supply.stated for supply in known):
        lines.append(t("* The plan names no amount: a published figure for this area stands here."))
    if any(supply.uses[0] != supply.uses[1] for supply in known):
        lines.append(t("The lower figure is without what is used only at times."))
    others = [product_name(plan, supply.product, language) for supply in supplies if supply not in known]
    if others:
        lines.append(t("Not reckoned, as no amount is known: %(products)s.", products=language.listed(others)))
    yield Section("supply", t("How much you need"), tuple(lines), Table(tuple(heads), tuple(rows)))


def _cells(plan: HandOut, supply: Supply, with_packages: bool, language: Language) -> Iterator[str]:
    t = language.t
    assert supply.each is not None
    assert supply.week is not None
    assert supply.programme is not None
    yield product_name(plan, supply.product, language)
    yield said.weight(language, supply.each) + ("" if supply.stated else " *")
    yield said.weight(language, supply.week)
    yield said.weight(language, supply.programme)
    if not with_packages:
        return
    if supply.lasts is None or supply.packages is None:
        yield from (UNKNOWN, UNKNOWN)
        return
    least, most = supply.lasts
    lasts = language.n("one day", "%(count)s days", most)
    if least != most:
        lasts = t("%(least)s to %(most)s", least=language.number(least), most=lasts)
    if supply.longer_than_it_keeps:
        too_long = t("longer than it keeps: a smaller package does")
        lasts += f" – {too_long}"
    yield lasts
    fewest, many = supply.packages
    yield language.number(many) if fewest == many else f"{language.number(fewest)}–{language.number(many)}"
