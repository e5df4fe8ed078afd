"""A mistake in one declaration or rule leaves the others whole, and gives one message."""

from __future__ import annotations

from dermalint_grammar.parse import build_parser, parse_pack

WRONG = (
    "rule r separate a from b by routine.",
    "rule r avoid seperate a from b by routine.",
    "rule r avoid separate a from b by routine",
    'rule r avoid separate a from b by routine. why "It stings',
    "rule r avoid use a onyl in the evening.",
    "rule r avoid limit strength of a to at most 0,3 %.",
    "rule r avoid never use a. topic separtion",
    "rule r avoid never use a. review-by 2026-02-30",
    "rule r avoid never use a. breaks evening retinol",
    "rule r avoid never use Retinol.",
)


def test_the_grammar_has_no_conflict() -> None:
    assert build_parser(strict=True).parse("pack p 1.0.0", start="file").data == "file"


def test_ten_mistakes_in_ten_rules_give_ten_messages() -> None:
    text = "pack p 1.0.0\n" + "\n".join(rule.replace(" r ", f" r{number} ") for number, rule in enumerate(WRONG))
    parsed = parse_pack(text)
    assert [text.count("\n", 0, mistake.span.start) for mistake in parsed.mistakes] == list(range(1, 11))
    assert [name.text for name in sorted(parsed.unread, key=lambda name: name.span)] == [f"r{number}" for number in range(10)]


def test_sound_rules_between_wrong_ones_are_read() -> None:
    lines = [line for number, rule in enumerate(WRONG) for line in (rule, f"rule sound-{number} advice\n  never use a.")]
    parsed = parse_pack("pack p 1.0.0\n" + "\n".join(lines))
    assert len(parsed.mistakes) == 10
    assert parsed.pack is not None
    assert [rule.name.text for rule in parsed.pack.rules] == [f"sound-{number}" for number in range(10)]


def test_rules_read_after_a_mistake_have_their_places_in_the_whole_text() -> None:
    text = "pack p 1.0.0\nkind 3\nrule r avoid never use a with strength at least 5 %."
    parsed = parse_pack(text)
    whole = parse_pack(text.replace("3", "x"))
    assert parsed.pack is not None
    assert whole.pack is not None
    assert parsed.pack.rules == whole.pack.rules


def test_a_misspelt_declaration_in_the_first_column_leaves_the_one_before_it_whole() -> None:
    parsed = parse_pack(
        'pack p 1.0.0\nrule a avoid never use x.\n  why "y"\nrul b avoid never use x.\nRule c avoid never use x.\nkind d'
    )
    assert [mistake.suggestion for mistake in parsed.mistakes] == ["rule", "rule"]
    assert parsed.pack is not None
    assert [rule.name.text for rule in parsed.pack.rules] == ["a"]
    assert [one.name.text for one in parsed.pack.declarations] == ["d"]
    assert [name.text for name in parsed.unread] == ["b", "c"]


def test_a_misspelt_note_in_the_first_column_belongs_to_its_rule() -> None:
    parsed = parse_pack('pack p 1.0.0\nrule a avoid never use x.\nwhi "y"\n')
    assert [mistake.suggestion for mistake in parsed.mistakes] == ["why"]
    assert parsed.pack is not None
    assert parsed.pack.rules == ()


def test_words_that_begin_declarations_may_begin_lines_inside_a_sentence() -> None:
    text = (
        "pack p 1.0.0\nrule broken avoid\nrule r avoid\n  separate a from\n  base oil or\n  event waxing by routine\n"
        "  if\n  reason is acne and\n  region is eu.\n"
    )
    parsed = parse_pack(text)
    assert len(parsed.mistakes) == 1
    assert parsed.pack is not None
    assert [rule.name.text for rule in parsed.pack.rules] == ["r"]


def test_indented_declarations_behind_a_rule_are_read() -> None:
    parsed = parse_pack("pack p 1.0.0\nrule broken avoid\nrule r avoid never use a.\n  kind a\n  base b\n")
    assert parsed.pack is not None
    assert len(parsed.mistakes) == 1
    assert [one.name.text for one in parsed.pack.declarations] == ["a", "b"]


def test_words_in_strings_and_comments_begin_nothing() -> None:
    text = 'pack p 1.0.0\n# rule x\nkind 3\nkind a "rule y avoid" # rule z\nkind b "# kind c"'
    parsed = parse_pack(text)
    assert len(parsed.mistakes) == 1
    assert parsed.pack is not None
    assert [one.name.text for one in parsed.pack.declarations] == ["a", "b"]


def test_a_wrong_line_in_the_head_leaves_the_others() -> None:
    parsed = parse_pack('pack p 1.0.0\ntitle Acids\nabout "All."\nuses core\nkind a')
    assert len(parsed.mistakes) == 1
    assert parsed.pack is not None
    assert (parsed.pack.about, parsed.pack.uses[0].name.text) == ("All.", "core")


def test_without_its_first_line_a_file_has_no_pack_but_all_its_mistakes() -> None:
    parsed = parse_pack("pack 1.0.0\nkind 3\nkind b")
    assert parsed.pack is None
    assert len(parsed.mistakes) == 2


def test_a_declaration_with_a_wrong_figure_keeps_its_name() -> None:
    parsed = parse_pack("pack p 1.0.0\nsubstance a cas 79-14-2")
    assert parsed.pack is not None
    assert parsed.pack.declarations[0].name.text == "a"
    assert parsed.unread == ()


def test_two_wrong_figures_in_one_rule_are_both_told() -> None:
    parsed = parse_pack("pack p 1.0.0\nrule r avoid never use a. topic x review-by 2026-13-01")
    assert len(parsed.mistakes) == 2


def test_what_no_one_could_read_is_refused_and_not_passed_on() -> None:
    deep = "not " * 500 + "a"
    parsed = parse_pack(f"pack p 1.0.0\nrule r avoid never use {deep}.\ngroup g means {deep}.\nkind k")
    assert [mistake.message.startswith("Here more than 50") for mistake in parsed.mistakes] == [True, True]
    assert parsed.pack is not None
    assert [one.name.text for one in parsed.pack.declarations] == ["k"]
    assert parsed.pack.rules == ()
