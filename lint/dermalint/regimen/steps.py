"""Reading the steps of a routine."""

from __future__ import annotations

from dermalint.regimen.declared import Declared
from dermalint.regimen.model import ApplyStep, Mention, Step, WaitStep
from dermalint.regimen.notes import Notes, excerpt
from dermalint.regimen.products import read_contact
from dermalint.regimen.shapes import Group, group_of, read_mention
from dermalint.regimen.tree import Mapping, Node, Scalar, Sequence
from dermalint.regimen.values import minutes_of, read_minutes, read_text, split_length

FIELDS = (
    "product",
    "mix",
    "areas",
    "except",
    "amount",
    "contact",
    "as-needed",
    "at-most",
    "repeat",
    "until",
    "skin",
    "wait",
)
SKINS = ("damp", "dry")
DRY = "skin is dry"
_EXAMPLE = "{product: night-cream, areas: [face]}"
_WAIT = "wait: 20 min"


def read_step(notes: Notes, node: Node, declared: Declared) -> Step | None:
    """One step; None, with a note, when it says nothing that could be checked."""
    if isinstance(node, Scalar):
        product = declared.product(notes, read_mention(notes, node, "A step", "- foam-wash"))
        return None if product is None else ApplyStep((product,), notes.place(node))
    group = group_of(notes, node, "A step", FIELDS, _EXAMPLE)
    if group is None:
        return None
    if "wait" in group or ("until" in group and not ("product" in group or "mix" in group or "repeat" in group)):
        return _wait(notes, group)
    if "product" in group and "mix" in group:
        group.complain_of_name(
            "mix", "A step has either `product` or `mix`.", "Name all products under `mix`, or make two steps of it."
        )
    products = _products(notes, group, declared)
    if not products:
        return None
    repeat, until = _repeat(notes, group)
    contact = group.value("contact")
    return ApplyStep(
        products=products,
        place=notes.place(group.node),
        areas=group.names("areas", "[face, neck]"),
        without=group.names("except", "[eye-area]"),
        amount=group.text("amount", "0.5 g"),
        contact=None if contact is None else read_contact(notes, contact),
        as_needed=group.truth("as-needed") or False,
        at_most=_at_most(group),
        repeat_minutes=repeat,
        repeat_until=until,
        skin=group.word("skin", SKINS),
    )


def _products(notes: Notes, group: Group, declared: Declared) -> tuple[Mention, ...]:
    if "product" in group:
        product = declared.product(notes, group.name("product", "night-cream"))
        return () if product is None else (product,)
    mix = group.value("mix")
    if mix is None:
        notes.error(group.node, "This step names no product.", f"Write it like `{_EXAMPLE}`, or `{_WAIT}`.")
        return ()
    if not isinstance(mix, Sequence) or len(mix.items) < 2:
        group.complain("mix", "`mix` is a list of two products or more.", "Write it like `mix: [face-oil, night-cream]`.")
        return ()
    return declared.those(notes, group.names("mix", "[face-oil, night-cream]"))


def _wait(notes: Notes, group: Group) -> WaitStep | None:
    field = "wait" if "wait" in group else "until"
    for other in group.entries:
        if other in FIELDS and other != field:
            group.complain_of_name(other, f"`{other}` does not belong to a step that waits.", "Make a step of its own of it.")
    place = notes.place(group.node)
    node = group.entries[field].value
    if isinstance(node, Mapping) and field == "wait":
        inner = group_of(notes, node, "`wait`", ("until",), f"wait: {{until: {DRY}}}")
        if inner is None or "until" not in inner:
            if not node.entries:
                notes.error(node, "`wait` says neither how long nor until when.", f"Write it like `{_WAIT}`.")
            return None
        node, field = inner.entries["until"].value, "until"
    if field == "until":
        text = read_text(notes, node, "`until`", f"until: {DRY}")
        if text is None:
            return None
        if text != DRY:
            notes.error(
                node,
                f"A step can wait until the skin is dry, not until `{excerpt(text)}`.",
                f"Write `until: {DRY}`, or `{_WAIT}`.",
            )
            return None
        return WaitStep(None, place, "dry")
    minutes = read_minutes(notes, node, "wait")
    return None if minutes is None else WaitStep(minutes, place)


def _at_most(group: Group) -> int | None:
    text = group.text("at-most", "1 per day")
    if text is None:
        return None
    count, _, rest = text.partition(" ")
    if count.isascii() and count.isdigit() and 1 <= len(count) <= 3 and 1 <= int(count) <= 100:
        if rest.removeprefix("times ").removeprefix("time ") == "per day":
            return int(count)
        if not rest:
            group.complain("at-most", f"`at-most: {text}` does not say in how long.", f"Write `{count} per day`.")
            return None
    group.complain(
        "at-most", f"`at-most` is a number of times per day, not `{excerpt(text)}`.", "Write it like `at-most: 1 per day`."
    )
    return None


def _repeat(notes: Notes, group: Group) -> tuple[int | None, int | None]:
    """Minutes from one application of a chain to the next, and the clock it ends at; both or neither."""
    if "repeat" not in group:
        if "until" in group:
            group.complain_of_name(
                "until", "`until` belongs to a step with `repeat`.", 'Write it like `repeat: every 2 hours, until: "18:00"`.'
            )
        return None, None
    until = group.clock("until")
    text = group.text("repeat", "every 2 hours")
    if text is None:
        return None, None
    if not text.startswith("every "):
        better = f"Write `every {text}`." if split_length(text) else "Write it like `repeat: every 2 hours`."
        group.complain("repeat", f"`repeat` says every how long, not `{excerpt(text)}`.", better)
        return None, None
    length = text.removeprefix("every ").strip()
    length = "1 hour" if length == "hour" else length
    minutes = minutes_of(notes, group.entries["repeat"].value, length, "repeat: every", 720)
    if "until" not in group:
        group.complain_of_name("repeat", "`repeat` does not say how long it goes on.", 'Add `until: "18:00"`.')
    return (minutes, until) if minutes is not None and until is not None else (None, None)
