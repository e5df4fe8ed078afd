"""The text after a mend: comments, quoting, line ends and every other byte stay, in every layout; the rest is refused."""

from __future__ import annotations

import pytest
from files import document, judges, plan, search_one

from dermalint.mend.splices import Refused, Splice, apply_edits, as_edits, spliced
from dermalint.spans import SourceText
from dermalint.verdict.findings import Edit

ORDER = "apply cleanser before moisturiser."
APART = "separate hydroxy-acid from retinoid by routine."


def mended(text: str, requirement: str, suffix: str = "yaml") -> str:
    """The text after the first proposal."""
    found = search_one(judges(requirement), document(text, suffix), enough=1)
    assert found.proven, found.refused
    return found.proven[0].document.data.decode("utf-8")


def test_comments_go_with_their_step_and_the_rest_stays() -> None:
    head = "regimen: x   # the title\nproducts:\n  wash: {kind: cleanser}\n  cream: {kind: moisturiser}\nroutines:\n"
    steps = (
        "  - slot: evening\n    steps:\n      # rich\n      - cream   # a pea\n\n      - wait: 5 min\n"
        '      # cool\n      - "wash"\n# end\n'
    )
    after = mended(head + steps, ORDER)
    assert after == head + (
        "  - slot: evening\n    steps:\n\n      - wait: 5 min\n      # cool\n"
        '      - "wash"\n      # rich\n      - cream   # a pea\n# end\n'
    )


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_marks_stay(newline: str, mark: str) -> None:
    text = "regimen: x\nproducts:\n  wash: {kind: cleanser}\n  cream: {kind: moisturiser}\nroutines:\n"
    text += "  - slot: evening\n    steps:\n      - cream\n      - wash\n"
    after = mended((mark + text).replace("\n", newline), ORDER)
    assert after == (mark + text.replace("      - cream\n      - wash\n", "      - wash\n      - cream\n")).replace(
        "\n", newline
    )


def test_a_file_without_a_last_line_end() -> None:
    text = "regimen: x\nproducts:\n  wash: {kind: cleanser}\n  cream: {kind: moisturiser}\nroutines:\n"
    text += "- slot: evening\n  steps:\n  - cream\n  - wash"
    assert mended(text, ORDER).endswith("  steps:\n  - wash\n  - cream")


def test_flow_style_keeps_its_spacing() -> None:
    text = "regimen: x\nproducts: {wash: {kind: cleanser}, cream: {kind: moisturiser}, oil: {kind: face-oil}}\n"
    text += "routines: [ {slot: evening, steps: [ oil,  cream,  'wash' ]} ]\n"
    assert "steps: [ oil,  'wash',  cream ]" in mended(text, ORDER) or "steps: [ 'wash',  oil,  cream ]" in mended(text, ORDER)


def test_json_keeps_its_indentation() -> None:
    text = """{
  "regimen": "x",
  "products": {"wash": {"kind": "cleanser"}, "cream": {"kind": "moisturiser"}},
  "routines": [
    {
      "slot": "evening",
      "steps": [
        {"product": "cream", "amount": "1 g"},
        "wash"
      ]
    }
  ]
}
"""
    expected = text.replace(
        '        {"product": "cream", "amount": "1 g"},\n        "wash"\n',
        '        "wash",\n        {"product": "cream", "amount": "1 g"}\n',
    )
    assert mended(text, ORDER, "json") == expected


TOML = """regimen = "x"
[products]
acid = { kind = "serum", contains = { glycolic-acid = "8 %" } }
night = { kind = "serum", contains = { retinol = "0.3 %" } }

# the evenings
[[routines]]
slot = "evening"   # late
days = ["monday", "tuesday"]
steps = ["acid", "night"]   # both

[[routines]]
slot = "evening"
days = ["wednesday"]
steps = ["night"]
"""


def test_toml_tables_are_split_and_stay_tables() -> None:
    found = search_one(judges(APART, "never use hydroxy-acid in the morning."), document(TOML, "toml"), enough=99)
    texts = [proven.document.data.decode() for proven in found.proven]
    after = next(text for text in texts if text.count('slot = "evening"   # late') == 2)
    assert after.startswith(TOML[: TOML.index("days")])
    assert after.count("[[routines]]") >= 3
    assert after.count("# the evenings\n[[routines]]") == 2


def test_a_new_toml_routine_is_a_table() -> None:
    found = search_one(judges(APART), document(TOML, "toml"), enough=1)
    after = found.proven[0].document.data.decode()
    assert found.proven[0].mend.say == "Move acid from Monday and Tuesday evening to Monday and Tuesday morning."
    assert after.endswith('[[routines]]\nslot = "morning"\ndays = ["monday", "tuesday"]\nsteps = ["acid"]\n')


def test_a_routine_is_split_where_only_some_days_change() -> None:
    read = plan("routines:\n  - slot: evening\n    steps:   # all of them\n      - wash\n      - acid\n")
    found = search_one(judges("use hydroxy-acid at most 6 days per week."), read, enough=1)
    after = found.proven[0].document.source.text
    assert after.count("# all of them") == 2
    assert after.count("- acid") == 1
    assert after.count("- wash") == 2


SHARED = """regimen: x
products:
  wash: {kind: cleanser}
  cream: {kind: moisturiser}
  acid: {kind: serum, contains: {glycolic-acid: 8 %}}
routines:
"""


def test_what_an_alias_repeats_is_changed_in_both_places_or_not_at_all() -> None:
    text = SHARED + "  - slot: morning\n    steps: &all\n      - cream\n      - wash\n  - slot: evening\n    steps: *all\n"
    assert "- wash\n      - cream\n" in mended(text, ORDER)
    text = SHARED + "  - slot: morning\n    steps: &all [wash, acid]\n  - slot: evening\n    steps: *all\n"
    found = search_one(judges("never use hydroxy-acid in the morning."), document(text))
    assert not found.proven
    assert any("alias" in reason or "anchor" in reason for reason in found.refused)


def test_an_anchor_elsewhere_is_no_obstacle() -> None:
    text = SHARED + "  - {slot: morning, steps: &rest [wash]}\n  - {slot: midday, steps: *rest}\n"
    text += "  - {slot: evening, steps: [cream, wash]}\n"
    assert "steps: [wash, cream]" in mended(text, ORDER)


def test_a_routine_with_an_anchor_is_not_copied() -> None:
    text = (
        SHARED
        + "  - slot: evening\n    steps: [wash, &one {product: acid}]\n  - {slot: morning, days: [monday], steps: [*one]}\n"
    )
    found = search_one(judges("use hydroxy-acid at most 3 times per week."), document(text))
    for proven in found.proven:
        assert proven.document.source.text.count("&one") == 1


def test_a_list_that_several_people_share_is_changed_for_all_of_them() -> None:
    text = (
        SHARED + "  - {slot: evening, steps: [cream, wash]}\npeople:\n  anna: {person: {age: 30}}\n  ben: {person: {age: 40}}\n"
    )
    engine = judges(ORDER)
    read = document(text)
    before = engine.verdict(read.reading)
    assert len(before.found) == 2
    from dermalint.mend.whole import mend_document

    outcome = mend_document(engine, read)
    assert len(outcome.changes) == 1
    assert not outcome.verdict.found


def test_changes_that_meet_are_refused() -> None:
    with pytest.raises(Refused):
        spliced("abcdef", [Splice(0, 3, "x"), Splice(2, 4, "y")])
    with pytest.raises(ValueError, match="overlap"):
        apply_edits(b"abcdef", [Edit(0, 3, "x"), Edit(2, 4, "y")])


def test_edits_are_ranges_of_bytes() -> None:
    source = SourceText("x", "ä–b", bom=True)
    edits = as_edits(source, [Splice(1, 2, "ü")])
    assert edits == (Edit(5, 8, "ü"),)
    assert apply_edits("\ufeffä–b".encode(), edits) == "\ufeffäüb".encode()
