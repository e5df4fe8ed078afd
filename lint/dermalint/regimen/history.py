"""Reading what was before (history) and what is accepted (waivers)."""

from __future__ import annotations

from dermalint.regimen.declared import Declared
from dermalint.regimen.model import PastTest, PastUse, Waiver
from dermalint.regimen.notes import Notes, excerpt, listed, meant
from dermalint.regimen.products import read_contact
from dermalint.regimen.shapes import Group, group_of, items_of
from dermalint.regimen.tree import Mapping, Node, Sequence
from dermalint.regimen.values import DAY_UNITS, days_long_of, read_whole, read_word

USE_FIELDS = ("product", "since", "until", "uses")
TEST_FIELDS = ("patch-test", "from", "hours", "days", "areas", "times-a-day", "contact", "protocol", "reaction")
REACTIONS = ("none", "mild", "strong")
WAIVER_FIELDS = ("rule", "topics", "products", "reason", "by", "until")
TOPICS = ("separation", "order", "timing", "frequency", "strength", "sun", "person", "companion", "shelf")
_USE = "{product: night-cream, since: 2025-11-01}"
_WAIVER = '{rule: acids.acid-off-retinoid-nights, reason: "Prescriber\'s written plan", by: prescriber}'


def read_history(notes: Notes, node: Node, declared: Declared) -> tuple[PastUse | PastTest, ...] | None:
    """What was used and tested before; None when nothing can be made of it."""
    if not isinstance(node, Sequence):
        items_of(notes, node, "`history`", f"- {_USE}` or, when everything is new, `history: []")
        return None
    found: list[PastUse | PastTest] = []
    for item in node.items:
        tested = isinstance(item, Mapping) and "patch-test" in item.entries
        past = _test(notes, item, declared) if tested else _use(notes, item, declared)
        if past is not None:
            found.append(past)
    return tuple(found)


def _use(notes: Notes, node: Node, declared: Declared) -> PastUse | None:
    group = group_of(notes, node, "An item of `history`", USE_FIELDS, f"- {_USE}")
    if group is None:
        return None
    if "product" not in group:
        notes.error(group.node, "This item names no product.", f"Write it like `{_USE}`.")
    product = declared.product(notes, group.name("product", "night-cream"))
    since = group.date("since")
    until = group.not_before("until", group.date("until"), "since", since)
    uses, per_days = _rate(notes, group)
    return None if product is None else PastUse(product, notes.place(group.node), since, until, uses, per_days)


def _rate(notes: Notes, group: Group) -> tuple[int | None, int | None]:
    """How often: so many uses in so many days."""
    text = group.text("uses", "3 per week")
    if text is None:
        return None, None
    if text in ("every day", "daily"):
        return 1, 1
    node = group.entries["uses"].value
    if text.startswith("every "):
        days = days_long_of(notes, node, text[6:].strip(), "uses: every", "2 days")
        return (None, None) if days is None else (1, days)
    count, _, rest = text.partition(" ")
    rest = rest.removeprefix("times ").removeprefix("time ")
    if count.isascii() and count.isdigit() and len(count) < 4 and 1 <= int(count) <= 100 and rest.startswith("per "):
        span = rest[4:].strip()
        if span in ("day", "week", "month"):
            return int(count), {"day": 1, "week": 7, "month": 30}[span]
        number, _, unit = span.partition(" ")
        if unit in DAY_UNITS and number.isascii() and number.isdigit() and 1 <= len(number) <= 3 and int(number):
            return int(count), int(number) * DAY_UNITS[unit]
    notes.error(
        node, f"`uses` is how often, not `{excerpt(text)}`.", "Write it like `uses: 3 per week`, or `uses: every 2 days`."
    )
    return None, None


def _test(notes: Notes, node: Node, declared: Declared) -> PastTest | None:
    group = group_of(
        notes, node, "A patch test", TEST_FIELDS, "- {patch-test: night-cream, from: 2026-02-20, hours: 24, reaction: none}"
    )
    if group is None:
        return None
    product = declared.product(notes, group.name("patch-test", "night-cream"))
    contact_node, reaction_node = group.value("contact"), group.value("reaction")
    contact = None if contact_node is None else read_contact(notes, contact_node)
    reaction = None if reaction_node is None else read_word(notes, reaction_node, "reaction", REACTIONS)
    times_node = group.value("times-a-day")
    first = group.date("from")
    hours = _hours(notes, group)
    if product is None:
        return None
    return PastTest(
        product=product,
        place=notes.place(group.node),
        first=first,
        hours=hours,
        areas=group.names("areas", "[forearms]"),
        times_a_day=None if times_node is None else read_whole(notes, times_node, "times-a-day", 1, 24, "1"),
        reaction=reaction,
        contact=None if contact is None else contact.kind,
        protocol=group.text("protocol", "label"),
    )


def _hours(notes: Notes, group: Group) -> int | None:
    """How long a test ran; days are 24 hours each."""
    days_node, hours_node = group.value("days"), group.value("hours")
    if hours_node is not None:
        if days_node is not None:
            group.complain_of_name("days", "A test has either `hours` or `days`.", "Delete one of the two.")
        return read_whole(notes, hours_node, "hours", 1, 2400, "24")
    days = None if days_node is None else read_whole(notes, days_node, "days", 1, 100, "7")
    return None if days is None else days * 24


def read_waivers(notes: Notes, node: Node, declared: Declared) -> tuple[Waiver, ...]:
    """The waivers; one without a reason, or for nothing, is noted and left out."""
    found = (_waiver(notes, item, declared) for item in items_of(notes, node, "`waivers`", f"- {_WAIVER}"))
    return tuple(waiver for waiver in found if waiver is not None)


def _waiver(notes: Notes, node: Node, declared: Declared) -> Waiver | None:
    group = group_of(notes, node, "A waiver", WAIVER_FIELDS, f"- {_WAIVER}")
    if group is None:
        return None
    if "reason" not in group:
        notes.error(group.node, "This waiver gives no reason.", 'Add `reason: "Prescriber\'s written plan"`.')
    if "rule" not in group and "topics" not in group:
        notes.error(group.node, "This waiver does not say what it accepts.", "Add `rule:` with a rule's name, or `topics:`.")
    if "topics" in group and "products" not in group:
        notes.error(group.node, "A waiver of topics is for named products.", "Add `products: [night-cream]`.")
    reason = group.text("reason", '"Prescriber\'s written plan"')
    rule = group.text("rule", "acids.acid-off-retinoid-nights")
    topics = _topics(notes, group)
    products = declared.those(notes, group.names("products", "[night-cream]"), counts=False)
    by = group.text("by", "prescriber")
    until = group.date("until")
    whole = reason is not None and not ("until" in group and until is None) and not ("products" in group and not products)
    # A waiver wider than what was meant would hide findings.
    if not whole or reason is None or (rule is None and not topics) or (topics and not products):
        return None
    return Waiver(notes.place(group.node), reason, rule, topics, products, by, until)


def _topics(notes: Notes, group: Group) -> tuple[str, ...]:
    found: list[str] = []
    for name in group.names("topics", "[timing]"):
        if name.name in TOPICS:
            found.append(name.name)
        else:
            suggestion = meant(name.name, TOPICS, f"Write {listed(TOPICS)}.")
            notes.error_at(name.place, f"`{excerpt(name.name)}` is no topic of findings.", suggestion)
    return tuple(found)
