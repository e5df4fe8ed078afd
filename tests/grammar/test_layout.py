"""The layout of rule files: what it looks like, that it changes no meaning, and that it is stable."""

from __future__ import annotations

import pytest
from grammar_trees import strip_places
from hypothesis import given, settings
from hypothesis import strategies as st
from test_packs import ACIDS
from test_requirements import SENTENCES

from dermalint_grammar.breaking import WIDTH
from dermalint_grammar.layout import layout_pack
from dermalint_grammar.parse import parse_pack

SPREAD = """\


#   about this file

pack   p 1.0.0 title "Small" # one line
uses core,sun   1.2 or later
kind a "a" kind b
# the third
kind c

kind d "d"
base oil
substance x inci "X","Y"cas 79-14-1 # glycolic
  # properties

  in acid
group strong means (a or b)with strength at least 5%. rule r caution,avoid if strict separate a # from here
from b
# alone
by 12hours unless person is pregnant if routine has(a or b). topic sun
why "Because." breaks evening:a 5%(on lips,ph 3.5);event waxing on day 3 holds morning:b
# the end
"""

LAID = """\
#   about this file

pack p 1.0.0
title "Small"  # one line
uses core, sun 1.2 or later

kind a "a"
kind b
# the third
kind c

kind d "d"

base oil

substance x
  inci "X", "Y"
  cas 79-14-1  # glycolic
  # properties
  in acid

group strong means
  (a or b) with strength at least 5 %.

rule r caution, avoid if strict
  separate a  # from here
    from b
    # alone
    by 12 hours
  unless person is pregnant
  if routine has (a or b).
  topic sun
  why "Because."
  breaks evening: a 5 % (on lips, ph 3.5); event waxing on day 3
  holds  morning: b
# the end
"""


def lay_out(text: str) -> str:
    laid = layout_pack(text)
    assert laid.mistakes == ()
    return laid.text


def test_the_layout() -> None:
    assert lay_out(SPREAD) == LAID


def test_what_is_laid_out_stays() -> None:
    assert lay_out(LAID) == LAID


def test_the_documented_pack_is_laid_out_but_for_the_wider_blanks_behind_breaks_and_holds() -> None:
    assert lay_out(ACIDS) == ACIDS.replace("breaks  ", "breaks ").replace("holds   ", "holds  ")


def test_the_alternatives_of_a_long_group_stand_below_each_other() -> None:
    names = [f"some-long-name-{number} with strength at least 5 %" for number in range(4)]
    lines = lay_out(f"pack p 1.0.0 group g means {' or '.join(names)}.").splitlines()
    assert lines[3:] == [f"  {names[0]}", f"  or {names[1]}", f"  or {names[2]}", f"  or {names[3]}."]


def test_bare_names_fill_the_lines_of_a_long_group() -> None:
    names = [f"some-long-name-{number}" for number in range(8)]
    lines = lay_out(f"pack p 1.0.0 group g means {' or '.join(names)}.").splitlines()
    assert lines[3:] == [f"  {' or '.join(names[:6])}", f"  or {' or '.join(names[6:])}."]


def test_what_stands_inside_something_else_stands_further_in() -> None:
    acids = [f"acid-number-{number} with strength at least 5 %" for number in range(3)]
    group = f"({' or '.join(acids)}) except (moisturiser or balm)"
    lines = lay_out(f"pack p 1.0.0 group g means {group}. rule r avoid separate a from {group} by routine.").splitlines()
    assert lines[3:7] == [
        f"  ({acids[0]}",
        f"    or {acids[1]}",
        f"    or {acids[2]})",
        "  except (moisturiser or balm).",
    ]
    assert lines[9:] == [
        "  separate a",
        f"  from ({acids[0]}",
        f"      or {acids[1]}",
        f"      or {acids[2]})",
        "    except (moisturiser or balm)",
        "  by routine.",
    ]


def test_a_long_sentence_is_broken_between_its_parts() -> None:
    term = "(" + " or ".join(f"long-name-{number}" for number in range(6)) + ")"
    lines = lay_out(f"pack p 1.0.0 rule r avoid separate {term} from {term} by routine if skin is x.").splitlines()
    assert lines[3:] == [f"  separate {term}", f"  from {term} by routine", "  if skin is x."]
    lines = lay_out(f"pack p 1.0.0 rule r avoid use {term} except {term} at most 3 days per week.").splitlines()
    assert lines[3:] == [f"  use {term}", f"    except {term}", "  at most 3 days per week."]
    lines = lay_out(f"pack p 1.0.0 rule r avoid use at most 2 products of ({term} except {term}) per day.").splitlines()
    assert lines[3:] == ["  use at most 2 products", f"  of ({term}", f"    except {term})", "  per day."]


def test_the_parts_of_a_long_condition_stand_below_each_other() -> None:
    parts = [f"person has symptom-number-{number}" for number in range(5)]
    lines = lay_out(f"pack p 1.0.0 rule r avoid never use a unless {' or '.join(parts)}.").splitlines()
    assert lines[4:] == [f"  unless {parts[0]}", *(f"    or {part}" for part in parts[1:4]), f"    or {parts[4]}."]


def test_examples_begin_in_one_column_and_so_do_the_routines_of_a_long_one() -> None:
    routine = "monday evening: " + ", ".join(f"long-name-{number} 5 %" for number in range(3))
    notes = f'breaks {routine}; {routine} holds person pregnant: {routine}; {routine} holds evening: a holds file "x"'
    lines = lay_out(f"pack p 1.0.0 rule r avoid never use a. {notes}").splitlines()
    assert lines[4:] == [
        f"  breaks {routine};",
        f"         {routine}",
        "  holds  person pregnant:",
        f"         {routine};",
        f"         {routine}",
        "  holds  evening: a",
        '  holds  file "x"',
    ]


def test_the_steps_of_a_long_routine_fill_lines() -> None:
    steps = [f"some-long-name-{number} 5 % (left-on, on face)" for number in range(4)]
    lines = lay_out(f"pack p 1.0.0 rule r avoid never use a. breaks evening: {', '.join(steps)}").splitlines()
    assert lines[4:] == [f"  breaks evening: {steps[0]}, {steps[1]},", f"           {steps[2]}, {steps[3]}"]


def test_a_clause_that_says_holds_is_no_example() -> None:
    assert "\n  assume unknown holds.\n" in lay_out("pack p 1.0.0 rule r avoid never use a assume unknown holds.")


def test_what_has_no_joints_is_broken_between_words_and_never_in_a_figure() -> None:
    names = ", ".join(f"area-number-{number}" for number in range(20))
    lines = lay_out(f"pack p 1.0.0 area a contains {names}.").splitlines()
    assert len(lines) == 5
    assert all(len(line) <= WIDTH for line in lines)
    assert all(line.startswith("  area-number") for line in lines[3:])
    steps = ", ".join(f"some-long-name-{number} 5 %" for number in range(12))
    lines = lay_out(f"pack p 1.0.0 rule r avoid never use a. breaks evening: {steps}").splitlines()
    assert len(lines) > 6
    assert not any(line.lstrip().startswith(("%", "5")) for line in lines)


def test_a_figure_that_would_not_fit_begins_the_next_line_whole() -> None:
    name = "some-name-" + "x" * 42
    lines = lay_out(
        f"pack p 1.0.0 group g means left-on {name} with strength at least 5 % on {'y' * 14} with ph below 3.5."
    ).splitlines()
    assert lines[3:] == [f"  left-on {name} with strength at least 5 % on {'y' * 14} with ph", "    below 3.5."]


def test_a_text_in_quotation_marks_is_not_broken() -> None:
    words = "word " * 60
    notes = f'why "{words}" source verified "{words}"'
    assert lay_out(f"pack p 1.0.0 rule r avoid never use a. {notes}").splitlines()[4:] == [
        f'  why "{words}"',
        f'  source verified "{words}"',
    ]


def test_a_text_that_cannot_be_read_stays_as_it_is() -> None:
    text = "pack p 1.0.0\nkind   3\n"
    laid = layout_pack(text)
    assert laid.text == text
    assert [text[slice(*mistake.span)] for mistake in laid.mistakes] == ["3"]


def test_a_wrong_figure_does_not_hinder() -> None:
    assert lay_out("pack p 1.0.0\nsubstance a cas 79-14-2") == "pack p 1.0.0\n\nsubstance a\n  cas 79-14-2\n"


def test_a_byte_order_mark_and_carriage_returns_go() -> None:
    assert lay_out("\ufeff" + LAID.replace("\n", "\r\n")) == LAID


@pytest.mark.parametrize("sentence", [sentence for sentence, _ in SENTENCES])
def test_a_sentence_keeps_its_meaning(sentence: str) -> None:
    text = f"pack p 1.0.0 rule r avoid {sentence}."
    assert strip_places(parse_pack(lay_out(text)).pack) == strip_places(parse_pack(text).pack)


BLANKS = st.sampled_from([" ", "\n", "\n\n", "\t", " # note\n", "\n# alone\n", "\n\n  # far\n\n\n", "\r\n"])


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_comments_and_blanks_anywhere(data: st.DataObject) -> None:
    lines = data.draw(st.sampled_from([LAID, ACIDS])).splitlines()
    words = " ".join(line.split("  #")[0] for line in lines if not line.lstrip().startswith("#")).split(" ")
    quoted = False
    text = data.draw(BLANKS).lstrip(" ")
    for word in words:
        quoted ^= word.count('"') % 2 == 1
        text += word + (" " if quoted else data.draw(BLANKS))
    laid = lay_out(text)
    assert lay_out(laid) == laid
    assert strip_places(parse_pack(laid).pack) == strip_places(parse_pack(text).pack)
    assert laid.count("#") == text.count("#")
