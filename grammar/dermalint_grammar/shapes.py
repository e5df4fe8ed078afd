"""The shape of what a parser has read: one short line that says in which place of which sentence it stands."""

from __future__ import annotations

import re
from typing import Any

# How the parts on the parser's stack are written in a shape (see ``constructs``).
_SHAPES = {
    "N": "one_of all_of except_for not_term first_use patch_test contacted marked named literal any_product base_is event_is "
    "measured on_area names used NAME",
    "C": "any_condition every_condition not_condition person_is person_has allergic_to takes took reason_is age phototype "
    "region_is skin_is has shortly_after shortly_before during from_date until_date",
    "R": "separate separate_uses apply_chain apply_edge apply_directly wait use_only never_use use_count use_in_a_row "
    "use_products use_for expect_after expect_before expect_every renew limit",
    "apart": "by_routine by_day by_distance by_before by_after by_both",
    "reach": "in_the_same reach_within every_for ahead",
    "clause": "if_clause unless_clause suspends assume pauses one_area",
    "note": "topic why advise disputed review_by breaks holds source",
    "property": "inci also cas pka molar_mass member_of",
    "item": "substance family group area plain measure rule",
    "head": "title about uses pack_line",
    "S": "standing strict_only severity",
    "T": "duration",
    "X": "quantity",
    "cmp": "bound comparison",
    "period": "span rolling",
    "mark": "mark contact",
    "given": "given_person given_region given_as_of given_for given_cycle",
    "fact": "given_trait given_age given_takes given_allergic given_reason given_phototype",
    "when": "example_day weekday",
    "step": "example_step example_wait _step",
    "part": "example_routine example_event _part",
    "remark": "remark_area remark_base remark_used remark_timed remark_contact remark_mark remark_measure remark_content "
    "without_end flag",
    "products": "_products",
    "#": "NUMBER",
    '"': "STRING",
    "D": "DATE",
    "K": "CAS",
    "V": "VERSION",
    "Q": "QNAME",
}
_LABELS = {kind: label for label, kinds in _SHAPES.items() for kind in kinds.split()}

# The parts at the end of the stack may not be put together yet, since what follows them is wrong; these put them together in
# the shape.  Tried in turn until none changes it.
_JOINS = tuple(
    (re.compile(rf"(?:^|(?<= ))(?:{pattern})$"), label)
    for pattern, label in (
        (r"# (?:minutes?|hours?|days?|weeks?|months?|years?)", "T"),
        (r"at (?:least|most)|above|below", "cmp"),
        (r"(?:(?<=rule N )|(?<=S , ))(?:avoid|caution|advice)", "S"),
        (r"verified|secondary|practice|memory", "status"),
        (r"(?<=cmp )# (?:times?|mornings?|middays?|afternoons?|evenings?)", "# counted"),
        (r"(?:person fact|region N|as-of D|for T|cycle T) :", "given"),
        (r"(?:(?<=[N%] \( )|(?<=remark , ))(?:(?:on|base) N|(?:used|timed) T|N(?: #)?(?: %)?|rinsed|left-on|flag)", "remark"),
        (r"(?<![N%] \( )(?<!remark , )(?:left-on|rinsed|timed|prescribed|encapsulated|made-up)", "mark"),
        (r"(?:N|N # %) \( remark \)", "step"),
        (r"(?:breaks|holds) file \"", "note"),
        (r"any product|base N|(?:(?<!breaks )(?<!holds )(?<!; )(?<!given ))event N", "N"),
        (r"N (?:or|and|except) N|(?:not|first use of|patch-test of|mark) N", "N"),
        (r"N with N cmp (?:X|T|#|# [%g])|N on N|N , N|\( N \)", "N"),
        (r"person (?:is|has|takes|is allergic to) N|person took N within T|(?:reason|region|skin) is N", "C"),
        (r"age cmp T|phototype cmp #|place has N(?: side N)?|within T after N|before N within T", "C"),
        (r"during the first T of N(?: after a pause of T)?|from D|until D|not C|C or C|C and C|\( C \)", "C"),
        (r"(?:if|unless) C|suspends [QN](?: , [QN])*|assume unknown \w+|allowing pauses of T|counting N as one area", "clause"),
        (r"topic N|(?:why|advise|disputed) \"|source status \"|review-by D", "note"),
        (
            r"(?:inci|also) \"(?: , \")*|(?:cas K(?: , K)*|(?:pka|molar-mass) #(?: , #)*)(?: origin| status \")?"
            r"|(?<=substance N )in N(?: , N)*",
            "property",
        ),
        (r"(?:title|about) \"", "head"),
    )
)
_LONGEST_SHAPE = 40


def describe_shape(stack: list[Any]) -> str:
    """Write the end of a parser's stack as a shape: one label for each part, and what is complete put together."""
    labels = []
    for part in stack[-_LONGEST_SHAPE:]:
        if isinstance(part, str):
            labels.append(_LABELS.get(part.type, str(part)))  # type: ignore[attr-defined]
        elif not part.data.startswith("__"):  # repetitions that are not yet part of anything
            labels.append(_LABELS.get(part.data, part.data))
    shape = " ".join(labels)
    changed = True
    while changed:
        changed = False
        for pattern, label in _JOINS:
            joined = pattern.sub(label, shape)
            changed = changed or joined != shape
            shape = joined
    return shape
